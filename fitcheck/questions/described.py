"""What the library knows by a name, in words and numbers: questions and inputs, materials, friction, fits, threads."""

from __future__ import annotations

import inspect
import itertools
import re
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from fitcheck.errors import InputError, brief, did_you_mean, in_short, spelled
from fitcheck.fits import Fit, fit, limit_deviations, limits, preferred_fits
from fitcheck.mechanics import (
    Range,
    clamp_kept,
    clamp_kept_names,
    friction,
    friction_names,
    hand_torque,
    hand_torque_names,
    material,
    material_kinds,
    material_names,
    set_screw,
    set_screw_names,
)
from fitcheck.questions.cells import cell, cell_names
from fitcheck.questions.question import Question
from fitcheck.threads import identify, pitch_over_wires, thread, wires
from fitcheck.threads.coating import coatings

_STEPS = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0)  # mm: to which a size step of ISO 286 reaches
_SIZED = re.compile(r"(?P<size>\S.*?)\s+(?P<name>[A-Za-z]{1,2}\d{1,2})")
_CLASSES = re.compile(r"(?P<name>[A-Za-z]{1,2}\d{1,2})(?:\s*/\s*(?P<shaft>[a-z]{1,2}\d{1,2}))?")


class _Subject(NamedTuple):
    """Something of which there is a list of names."""

    about: str
    names: Callable[[], Iterable[str]]
    line: Callable[[str], str]
    """One of them in a line."""
    whole: Callable[[str], str]
    """One of them with all that is known."""


def _in_a_line(found: Range) -> str:
    unit = f" {found.unit}" if found.unit not in ("", "ratio") else ""
    return f"{found.low:g} to {found.high:g}{unit}, usually {found.middle:g}: {found.meaning}"


def _with_source(found: Range) -> str:
    return f"{found.name}: {_in_a_line(found)}\n  source: {found.source} ({found.rests_on})"


def _strengths(name: str) -> str:
    """The strengths of a material in a line."""
    found = material(name)
    given = {"tensile": found.tensile, "yield": found.yield_, "shear": found.shear}
    said = ", ".join(f"{key} {one.value:.0f} ({one.lower:.0f} to {one.upper:.0f})" for key, one in given.items() if one)
    return f"{said} MPa"


def _coating(name: str) -> str:
    found = coatings()[name]
    film = found.thickness
    thick = f"{1000 * film.lower:g} to {1000 * film.upper:g} µm on each surface"
    return f"{thick}, {found.growth:.0%} of it outwards; {found.note}"


def _cell(name: str) -> str:
    found = cell(name)
    (thin, thick), (short, long) = found.diameter, found.length
    return f"{found.chemistry}, ⌀ {thin:g} to {thick:g} mm, length {short:g} to {long:g} mm; {found.source}"


def _ranges(about: str, names: Callable[[], list[str]], find: Callable[[str], Range]) -> _Subject:
    return _Subject(about, names, lambda name: _in_a_line(find(name)), lambda name: _with_source(find(name)))


def _lines(about: str, names: Callable[[], Iterable[str]], line: Callable[[str], str]) -> _Subject:
    return _Subject(about, names, line, lambda name: f"{name}: {line(name)}")


_SCREW = "set screw "


def _socket(name: str) -> str:
    return f"socket {set_screw(name.removeprefix(_SCREW)).socket:.4g} mm across flats"


_SUBJECTS: Mapping[str, _Subject] = {
    "materials": _Subject("strengths with their bounds", material_names, _strengths, lambda name: repr(material(name))),
    "friction": _ranges("classes, and pairs of materials", friction_names, friction),
    "hands": _ranges("torques of a hand", hand_torque_names, hand_torque),
    "clamp kept": _ranges("what creep leaves of a clamp load, a ratio", clamp_kept_names, clamp_kept),
    "coatings": _lines("films on threads", coatings, _coating),
    "cells": _lines("sizes over the jacket", cell_names, _cell),
    "set screws": _Subject(
        "standard sizes",
        lambda: [f"{_SCREW}{name}" for name in set_screw_names()],
        _socket,
        lambda name: str(set_screw(name.removeprefix(_SCREW))),
    ),
}


def described(what: str, questions: Mapping[str, type[Question]]) -> str:
    """What is known by the name `what`, with its numbers; "" for the list of what may be asked.

    questions: the bench questions by the names of their tables. Raises `InputError`, with the nearest names, where
    nothing is called so.
    """
    if not isinstance(what, str):
        raise InputError(f"describe {brief(what)}: a name is needed as text, such as 'set_screw', 'brass' or 'H7'")
    asked = " ".join(what.replace("_", " ").split())
    key = spelled(what)
    if not key:
        return _everything(questions)
    for name, question in questions.items():
        if key in (spelled(name), spelled(question.title)):
            return question.describe()
    if key == "questions":
        return _questions(questions)
    if key in _SUBJECTS:
        subject = _SUBJECTS[key]
        return "\n".join([f"{key}: {subject.about}", *(f"  {name}: {subject.line(name)}" for name in subject.names())])
    if key in _OTHERS:
        return _OTHERS[key]()
    for subject in _SUBJECTS.values():
        for name in subject.names():
            if name.casefold() == key:
                return subject.whole(name)
    if found := _input(key, questions):
        return found
    return _spoken(asked, questions)


def _input(key: str, questions: Mapping[str, type[Question]]) -> str:
    """What the questions mean by an input of that name; "" where none has one."""
    return "\n".join(
        f"{name}, {one}: {question.meaning(one)}"
        for name, question in questions.items()
        for one in question.inputs()
        if spelled(one) == key
    )


def _spoken(asked: str, questions: Mapping[str, type[Question]]) -> str:
    """What is written in a notation of its own: a kind of material, a thread, a fit."""
    for read in (_material, _cell_by, _thread, _fit):
        if (found := read(asked)) is not None:
            return found
    names = [
        *questions,
        *_SUBJECTS,
        *_OTHERS,
        *material_kinds(),
        *(name for subject in _SUBJECTS.values() for name in subject.names()),
        *(one for question in questions.values() for one in question.inputs()),
    ]
    raise InputError(
        f"describe {brief(in_short(asked, 40))}: nothing is called so{did_you_mean(asked, names)}; a name that "
        "describe() lists is needed, or one such as 'brass', 'short key', 'M6-6g', '25 H7/g6', 'set screw M4'"
    )


def _tried(read: Callable[[str], str], text: str) -> str | None:
    try:
        return read(text)
    except InputError:
        return None


def _material(asked: str) -> str | None:
    """A material that is written in another way than in the table, or those of a kind."""
    weakest = _tried(lambda name: material(name).name, f"{asked}, unknown")
    if weakest is None:
        return _tried(lambda name: repr(material(name)), asked)
    kind = weakest.removesuffix(", unknown")
    lines = [f"  {name}: {_strengths(name)}" for name in material_kinds()[kind]]
    return "\n".join([f"{kind}: which one decides its strength; '{weakest}' is the weakest of", *lines])


def _cell_by(asked: str) -> str | None:
    """A cell by another of its names."""
    return _tried(lambda name: f"{cell(name).name}: {_cell(name)}", asked)


def _thread(asked: str) -> str | None:
    """A thread with its limits; both halves where the class is left open."""
    found = []
    for external in (True, False):
        try:
            one = thread(asked, external=external)
        except InputError:
            continue
        if one not in found:
            found.append(one)
    return "\n".join(f"{one!r}\n{one.limits()!r}" for one in found) or None


def _fit(asked: str) -> str | None:
    """A fit or a class of ISO 286, at its size or over the usual ones."""
    found = _tried(lambda text: str(fit(text)), asked)
    if found is None and (sized := _SIZED.fullmatch(asked)):
        size, name = sized["size"], sized["name"]
        found = _tried(lambda text: str(limits(name, text)), size)
    if found is None and (plain := _CLASSES.fullmatch(asked)):
        found = _over_sizes(plain["name"], plain["shaft"])
    return found


def _over_sizes(name: str, shaft: str | None) -> str | None:
    """A tolerance class, or a fit without its size, over the usual sizes."""
    rows = []
    for over, upto in itertools.pairwise((0.0, *_STEPS)):
        try:
            line = _deviations(name, upto) if shaft is None else _clearance(fit(f"{upto:g} {name}/{shaft}"))
        except InputError:
            continue
        rows.append(f"  over {over:g} up to {upto:g} mm: {line}")
    if not rows:
        return None
    if shaft is None:
        head = f"{name}: tolerance class of a {'hole' if name[0].isupper() else 'shaft'}, deviations in mm"
    else:
        told = [one for one in preferred_fits() if one.pair == f"{name}/{shaft}" and one.name]
        head = f"{name}/{shaft}: fit of a hole and a shaft{''.join(f', {one.name} ({one.standard})' for one in told)}"
    return "\n".join([head, *rows, "  ISO 286-1:2010; with a size, such as '25 H7', the limits and what backs them"])


def _deviations(name: str, nominal: float) -> str:
    low, high = (float(one) for one in limit_deviations(name, nominal))
    return " to ".join(f"{one:+.4f}".rstrip("0") if one else "0" for one in (low, high))


def _clearance(found: Fit) -> str:
    return f"{found.kind} fit, hole less shaft {found.clearance_min:+.3f} to {found.clearance_max:+.3f} mm"


def _questions(questions: Mapping[str, type[Question]]) -> str:
    return "\n".join(f"{key}: {(asked.__doc__ or '').splitlines()[0]}" for key, asked in questions.items())


def _everything(questions: Mapping[str, type[Question]]) -> str:
    """The questions, and what else may be asked for."""
    subjects = [f"{key}: {subject.about}, {len(list(subject.names()))} names" for key, subject in _SUBJECTS.items()]
    return "\n".join(
        [
            _questions(questions),
            *subjects,
            "fits: limits and fits of ISO 286; also 'H7', 'H7/g6', '25 H7/g6'",
            "identify: which thread is this, from a diameter and a pitch",
            "wires: measuring a screw over three wires, and what the reading says",
            "and by their names: 'brass', '6061-T6', 'short key', 'M6-6g', 'set screw M4', 'hand_torque', ...",
        ]
    )


def _preferred() -> str:
    rows = [
        f"  {one.pair}: {f'{one.name}; ' if one.name else ''}at 25 mm a {_clearance(fit(f'25 {one.pair}'))}; "
        f"{one.standard}"
        for one in preferred_fits()
    ]
    return "\n".join(["fits: preferred fits of hole and shaft, from loose to tight", *rows])


def _function(called: str, function: Callable[..., object]) -> str:
    """What a function takes, from its own description, and its examples."""
    said = (inspect.getdoc(function) or "").partition("\n\nReferences\n")[0]
    return f"{called}({', '.join(inspect.signature(function).parameters)})\n{said}"


def _identification() -> str:
    return _function("fitcheck.identify", identify)


def _over_wires() -> str:
    """How a screw is measured over three wires, and what the reading says of it."""
    both: dict[str, Callable[..., object]] = {"wires": wires, "pitch_over_wires": pitch_over_wires}
    return "\n\n".join(_function(f"fitcheck.threads.{name}", function) for name, function in both.items())


_OTHERS: Mapping[str, Callable[[], str]] = {
    "fits": _preferred, "identify": _identification, "wires": _over_wires,
}  # fmt: skip

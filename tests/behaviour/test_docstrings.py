"""What `help(name)` says of every public name: what it takes and gives, in which unit, what it refuses, whose rule.

The rules, which `complaints` checks one by one:

1. A public name has a docstring, and so has each public member of a public class.
2. A parameter is explained in an entry, `name: what it is, unit` (or `name (unit)` in a sentence; `tau_*` stands for
   all that begin so), or in the docstring that this one points at with "as `other`".
3. A number has its unit in its entry, or the paragraph says one for all; a number without unit says what kind it is.
4. A parameter that takes arrays says so: "arrays". One that is annotated `float` takes one number: that is evident.
5. A function that can raise `InputError` or one of its kinds says so; whether it can is read from it and all it calls.
   One that takes nothing has nothing to refuse.
6. A function of numbers, and what a question reckons, has a numbered reference, which may be the model that it stands
   on, or says that it is geometry, statics, a definition, or has none. A model that is cited exists.
7. An input of a question, declared with `given(reader, doc)`, is explained by that `doc`, which must not be empty, and
   by what the reader `expects`: both are what `describe` prints. What the class says of it besides is not needed.
8. A function that is exported, and each question, has an example to type; pytest runs them (`--doctest-modules`).
"""

import ast
import dataclasses
import functools
import importlib
import inspect
import itertools
import pydoc
import re
import textwrap
from pathlib import Path

import pytest

import fitcheck
from fitcheck.errors import InputError
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Toleranced

ROOT = Path(__file__).parents[2]
PACKAGES = ("fitcheck.stack", "fitcheck.threads", "fitcheck.fits", "fitcheck.mechanics", "fitcheck.questions")

_NAME = r"`?[A-Za-z_]\w*\*?`?"
_ENTRY = re.compile(rf"(?:^ *|(?<=[.;:)] ))({_NAME}(?:(?:, | and ){_NAME})*)(?: \([^)]*\))? ?:\s+(?=\S)", re.M)
_UNIT = re.compile(
    r"(?<![\w])(mm[²³]?|µm|nm|inch(es)?|in|N|MPa|N/mm²|N·m|N·mm|kg|rad(ians)?(/s)?|°C|1/K|K|%|percent)(?![\w])"
    r"|\b(same|one) unit\b"
)
_BARE = re.compile(
    r"\b(friction|factor|ratios?|share|part|fraction|number|count|whole|turns?|pitches|percent(age)?|grades?|logarithm"
    r"|probabilit(y|ies)|coverage|standard errors|constraint|concentration|multiple|starts|convention|places"
    r"|coefficient|H)\b"
)
_FOR_ALL = re.compile(
    r"\b(all|both|every length|lengths?|sizes?|diameters?)\b( is| are)?( in)? (mm|µm|inches|one unit)", re.I
)
_ARRAYS = re.compile(r"\b(arrays?|broadcast|at a time)\b", re.I)
_RAISES = re.compile(r"\b(raises|refused|refuses|(Input|Table|Notation|Designation|Unit)Error)\b", re.I)
_SOURCE = re.compile(
    r"^ *\.\. \[\d+\] \S|\b(geometry|statics|definition|no source|arithmetic|tables/\w+\.csv)\b", re.M | re.I
)
_POINTS_AT = re.compile(r"\b(?:as|of|for|see|like)\s+`(\w+)`", re.I)
_NUMBERS = ("Number", "float", "ArrayLike", "FloatArray")


_PLACEHOLDER = ("NAME.csv", "NAME.py", "OLD.csv")
_WITH_DOCSTRING = (ast.Module, ast.ClassDef, ast.FunctionDef)


def _plain(thing):
    return getattr(thing, "__wrapped__", thing)


def _doc(thing):
    return inspect.getdoc(_plain(thing)) or ""


def _with_those_it_points_at(thing, seen=()):
    """The docstring, and those of the functions of its module that it points at."""
    doc, found = _doc(thing), [_doc(thing)]
    scope = getattr(_plain(thing), "__globals__", {})
    for name in _POINTS_AT.findall(doc):
        other = scope.get(name)
        if other is not None and name not in seen and callable(other) and other is not thing:
            found += _with_those_it_points_at(other, (*seen, name))
    return found


def _entries(doc):
    """What a docstring explains: name -> (its text, the paragraph it stands in)."""
    found = {}
    for paragraph in re.split(r"\n\s*\n", doc):
        marks = list(_ENTRY.finditer(paragraph))
        for mark, after in zip(marks, [*marks[1:], None][: len(marks)], strict=True):
            text = paragraph[mark.end() : after.start() if after else len(paragraph)]
            for name in re.findall(r"[A-Za-z_]\w*\*?", mark[1]):
                if name != "and":
                    found[name] = (text, paragraph)
        for name, unit in re.findall(r"\b([A-Za-z_]\w*)\*{0,2}`? \(([^)]*)\)", paragraph):
            if _UNIT.search(unit):
                found.setdefault(name, (unit, paragraph))
    return found


def _explained(name, docs):
    for doc in docs:
        entries = _entries(doc)
        for known, told in entries.items():
            if known == name or (known.endswith("*") and name.startswith(known[:-1])):
                return told
    return None


def _is_ours(module):
    # A shipped table that cannot be read is a fault of the wheel, not of the caller.
    return module.startswith("fitcheck") and module != "fitcheck.tables"


@functools.cache
def _raised_and_called(function):
    """Whether a function itself raises an error of a kind, and the functions of this library that it calls."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    nodes = list(ast.walk(tree))
    raises = any(
        isinstance(one, ast.Raise) and one.exc is not None and "Error" in ast.unparse(one.exc) for one in nodes
    )
    called = [_plain(_called(one.func, function.__globals__)) for one in nodes if isinstance(one, ast.Call)]
    return raises, [one for one in called if inspect.isfunction(one) and _is_ours(one.__module__)]


def _can_raise(function):
    """Whether a function, or one that it calls, however far down, raises an error."""
    known, waiting = set(), [_plain(function)]
    while waiting:
        one = waiting.pop()
        if one in known:
            continue
        known.add(one)
        raises, called = _raised_and_called(one)
        if raises:
            return True
        waiting += called
    return False


def _called(node, scope):
    if isinstance(node, ast.Name):
        return scope.get(node.id)
    if isinstance(node, ast.Attribute):
        return getattr(_called(node.value, scope), node.attr, None) if isinstance(node.value, ast.Name) else None
    return None


def _takes_numbers(annotation):
    return any(re.search(rf"\b{kind}\b", str(annotation)) for kind in _NUMBERS)


def _of_function(function, where, *, method=False):
    doc = _doc(function)
    if not doc:
        yield f"{where}: no docstring"
        return
    docs = _with_those_it_points_at(function)
    every = "\n\n".join(docs)
    signature = inspect.signature(_plain(function))
    parameters = {name: one for name, one in signature.parameters.items() if name not in ("self", "cls")}
    for name, one in parameters.items():
        told = _explained(name, docs)
        numbers = _takes_numbers(one.annotation)
        if told is None and (numbers or not re.search(rf"\b{name}\b", every)):
            yield f"{where}: parameter {name} is not explained"
        elif (
            told is not None
            and numbers
            and not (_UNIT.search(told[0]) or _BARE.search(told[0]) or _FOR_ALL.search(told[1]))
        ):
            yield f"{where}: no unit for {name}"
    arrays = any(re.search("Number|Array", str(one.annotation)) for one in parameters.values())
    if arrays and not _ARRAYS.search(every):
        yield f"{where}: says nothing of arrays"
    if parameters and _can_raise(function) and not _RAISES.search(every):
        yield f"{where}: can raise InputError and does not say so"
    gives = _takes_numbers(signature.return_annotation)
    if gives and not (_UNIT.search(every) or _BARE.search(every)):
        yield f"{where}: no unit of what it gives"
    numbers = gives or any(_takes_numbers(one.annotation) for one in parameters.values())
    if numbers and not method and not _SOURCE.search(every):
        yield f"{where}: no source"


def _fields(cls):
    if dataclasses.is_dataclass(cls):
        return {one.name: one.type for one in dataclasses.fields(cls) if not one.name.startswith("_")}
    return dict.fromkeys(getattr(cls, "_fields", ()), "") | (
        getattr(cls, "__annotations__", {}) if hasattr(cls, "_fields") else {}
    )


def _attribute_docs(cls):
    """The strings that stand below the fields of a class."""
    body = ast.parse(textwrap.dedent(inspect.getsource(cls))).body[0].body
    return {
        before.target.id: after.value.value
        for before, after in itertools.pairwise(body)
        if isinstance(before, ast.AnnAssign) and isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
    }


def _declared_docs(cls):
    """What the declarations of the inputs of a question say, with what their readers accept."""
    declared = {one.name: one.metadata for one in dataclasses.fields(cls)} if dataclasses.is_dataclass(cls) else {}
    return {
        name: f"{about['doc']}; {about['reader'].expects}"
        for name, about in declared.items()
        if about.get("doc", "").strip()
    }


def _of_class(cls, where):
    doc = _doc(cls)
    if not doc or doc.startswith(f"{cls.__name__}("):
        yield f"{where}: no docstring"
        return
    below = _attribute_docs(cls) | _declared_docs(cls)
    entries = _entries(doc)
    for name, kind in _fields(cls).items():
        told = entries.get(name) or ((below[name], below[name]) if name in below else None)
        if told is None and not re.search(rf"`{name}`|\b{name}\b", doc):
            yield f"{where}: field {name} is not explained"
        elif _takes_numbers(kind):
            text, paragraph = told or ("", doc)
            if not (_UNIT.search(text) or _BARE.search(text) or _FOR_ALL.search(paragraph) or _UNIT.search(doc)):
                yield f"{where}: no unit for {name}"
    for name, member in vars(cls).items():
        if name.startswith("_") or name in _fields(cls):
            continue
        if isinstance(member, property):
            if not _doc(member.fget):
                yield f"{where}.{name}: no docstring"
            elif _takes_numbers(inspect.signature(member.fget).return_annotation) and not (
                _UNIT.search(_doc(member.fget) + doc) or _BARE.search(_doc(member.fget))
            ):
                yield f"{where}.{name}: no unit"
        elif inspect.isfunction(_plain(getattr(member, "__func__", member))):
            model = issubclass(cls, Question)  # what it reckons stands on a formula; other classes give what they hold
            yield from _of_function(getattr(member, "__func__", member), f"{where}.{name}", method=not model)


def _public(package):
    module = importlib.import_module(package)
    for name in module.__all__:
        thing = getattr(module, name)
        if not inspect.isclass(thing) and not callable(thing):
            continue  # a constant: its docstring is the string below it
        yield name, thing


def complaints(package):
    """Every breach of the rules among the public names of a package that are defined in it."""
    for name, thing in _public(package):
        home = getattr(_plain(thing), "__module__", package)
        if package == "fitcheck" and any(home.startswith(one) for one in PACKAGES):
            continue  # told where it is defined
        where = f"{package}.{name}"
        yield from _of_class(thing, where) if inspect.isclass(thing) else _of_function(thing, where)


@pytest.mark.parametrize("package", [*PACKAGES, "fitcheck"])
def test_public_names_say_what_they_take_and_give(package):
    found = list(complaints(package))
    assert not found, f"{len(found)} breaches:\n" + "\n".join(found)


def without_example(package):
    """The functions that a package exports, and the questions among its classes, that show no example."""
    for name, thing in _public(package):
        if inspect.isclass(thing) and (thing is Question or not issubclass(thing, Question)):
            continue  # a function makes it
        if ">>> " not in _doc(thing):
            yield f"{package}.{name}"


@pytest.mark.parametrize("package", [*PACKAGES, "fitcheck.planning", "fitcheck.sheet", "fitcheck"])
def test_what_a_person_types_has_an_example(package):
    assert not list(without_example(package))


def test_every_file_that_is_cited_exists():
    # A source that cannot be followed is no source.
    cited = re.compile(r"(?<![\w*{}/.<>-])((?:\w+/)*\w[\w-]*\.(?:md|csv|json|py))\b")
    files = [
        *ROOT.glob("fitcheck/**/*.py"),
        *ROOT.glob("tables/*.csv"),
        *ROOT.glob("tests/**/*.py"),
        ROOT / "README.md",
    ]
    held = {path.name for path in ROOT.glob("*.md")} | {
        path.name for folder in ("fitcheck", "tables", "tests", "notebooks") for path in (ROOT / folder).rglob("*.*")
    }
    missing = []
    for path in files:
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".py":
            tree = ast.parse(text)
            strings = [ast.get_docstring(one) or "" for one in ast.walk(tree) if isinstance(one, _WITH_DOCSTRING)]
            text = "\n".join([*strings, *(line for line in text.splitlines() if line.lstrip().startswith("#"))])
        missing += [
            f"{path.relative_to(ROOT)}: {name}"
            for name in cited.findall(text)
            if Path(name).name not in held and not name.endswith(_PLACEHOLDER)
        ]
    assert not missing


def _exists(dotted):
    """Whether a name such as fitcheck.mechanics.torque.lever_arm can be reached."""
    at = fitcheck
    for i, part in enumerate(parts := dotted.split(".")[1:], 2):
        if not hasattr(at, part):
            try:
                importlib.import_module(".".join(["fitcheck", *parts][:i]))
            except ImportError:
                return False
        at = getattr(at, part)
    return True


def test_every_name_of_ours_that_is_cited_exists():
    missing = []
    for path in ROOT.glob("fitcheck/**/*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            doc = ast.get_docstring(node) or "" if isinstance(node, _WITH_DOCSTRING) else ""
            names = re.findall(r"`(fitcheck(?:\.\w+)+)`", doc)
            missing += [f"{path.relative_to(ROOT)}: {name}" for name in names if not _exists(name)]
    assert not missing
    assert not _exists("fitcheck.mechanics.torque.no_such_model")


def test_a_docstring_that_says_too_little_is_found():
    def strip(F: "Number", mode: str) -> "Number":  # noqa: F821
        """The strip load.

        F: how hard it is pulled.
        """
        if mode:
            raise InputError("no")
        return F

    told = [one.removeprefix("strip: ") for one in _of_function(strip, "strip")]
    assert told == [
        "no unit for F",
        "parameter mode is not explained",
        "says nothing of arrays",
        "can raise InputError and does not say so",
        "no unit of what it gives",
        "no source",
    ]


def test_an_input_of_a_question_without_a_word_on_it_is_found():
    @dataclasses.dataclass(frozen=True, kw_only=True)
    class Gap(Question):
        """Is there a gap?"""

        room: object = given(Toleranced(), "inside length of the tube")
        part: object = given(Toleranced(), "")

    assert [one for one in _of_class(Gap, "Gap") if "field" in one] == ["Gap: field part is not explained"]


@pytest.mark.parametrize("package", ["fitcheck", *PACKAGES, "fitcheck.sheet", "fitcheck.planning", "fitcheck.report"])
def test_help_is_readable(package):
    module = importlib.import_module(package)
    said = pydoc.plain(pydoc.render_doc(module))
    assert inspect.getdoc(module)
    assert " at 0x" not in said
    assert "array(" not in said
    names = dir(module)
    assert not [name for name in names if name[0] == "_" and name[:2] != "__"] or package == "fitcheck.report"
    for name in getattr(module, "__all__", ()):
        assert f"{name}" in names
        assert inspect.getdoc(getattr(module, name)), name


def test_completion_offers_few_names():
    names = [name for name in dir(fitcheck) if name[0] != "_"]
    assert len(names) <= 32
    assert not {"Any", "TYPE_CHECKING", "later", "one_of", "pandas", "QUESTIONS"} & set(names)
    assert all(getattr(fitcheck, name) is not None for name in names)

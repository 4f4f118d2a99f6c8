"""A sheet to fill in: every key of some questions, with what it means, an example, and what is taken without it."""

from __future__ import annotations

import json
from collections.abc import Sequence

from fitcheck.errors import one_of
from fitcheck.expected import items_of
from fitcheck.questions import QUESTIONS, Question
from fitcheck.sheet.build import VERSION

_HEAD = f"""sheet = {VERSION}
title = "what is built"                  # printed on every page
# notes = ["what a reader of the report should know"]
# risk = 0.001                           # accepted probability of missing a requirement, for every question
# confidence = 0.99

[parts]
# A dimension a line, used by its name below: a drawing note, or a table with a measurement and a title for people.
# slug = "8.0 ± 0.1"
# tube = {{ note = "38 ± 0.1", measured = "37.95 measured ± 0.02", title = "tube, as bought" }}
"""


def start(questions: Sequence[str]) -> str:
    """The text of a sheet that asks some questions, by the names of their tables; all of them for none.

    Keys that are needed come first and have no value yet; the others are commented out, with what is taken without
    them. Raises `InputError` for an unknown question.

    >>> "[plug_length]" in start(["plug_length"]).splitlines()
    True
    """
    names = items_of("questions", questions, "a list of questions such as ['plug_length']")
    wanted = [one_of("question", name, QUESTIONS) for name in names] or list(QUESTIONS)
    return "\n".join([_HEAD, *(_table(name) for name in dict.fromkeys(wanted))])


def _example(question: type[Question], key: str) -> str:
    """A value for it as it would stand in the sheet."""
    if key not in question.example:
        return ""
    return f"; for example {json.dumps(question.example[key], ensure_ascii=False)}"


def _table(name: str) -> str:
    question = QUESTIONS[name]
    needed, optional = [], []
    for key, declared in question.inputs().items():
        about = declared.metadata
        said = f"# {about['doc']}; {about['reader'].expects}{_example(question, key)}"
        if key in question.needed():
            needed += [said, f"{key} = "]
        else:
            taken = about["default"]
            otherwise = "" if taken in (None, [], "") else f" [{taken} without it]"
            optional += [f"{said}{otherwise}", f"# {key} = "]
    needed += [f"# besides: {one}" for one in question.alternatives]
    summary = (question.__doc__ or "").splitlines()[0]
    return "\n".join([f"[{name}]", f"# {summary}", "# needed", *needed, "# may be left out", *optional, ""])

"""A JSON Schema of the sheet, made from the declarations of the questions, so that an editor completes and checks it.

    python -m fitcheck.sheet > sheet.schema.json

An editor that reads schemas for TOML shows the keys and what they mean. It cannot tell a good note from a bad one;
`fitcheck.load` can.
"""

from __future__ import annotations

from typing import Any

from fitcheck.planning.workshop import INSTRUMENTS, TOOLS
from fitcheck.questions import QUESTIONS, Question
from fitcheck.questions.readers import PART_NAME
from fitcheck.sheet.build import PROPERTIES, VERSION

_NOTE: dict[str, Any] = {"type": ["string", "number"], "description": "a drawing note"}


def schema() -> dict[str, Any]:
    """The schema of a whole sheet (JSON Schema, draft 2020-12).

    >>> schema()["properties"]["sheet"]["const"]
    1
    """
    head: dict[str, Any] = {
        "sheet": {"const": VERSION, "description": "version of the sheet format"},
        "title": {"type": "string"},
        "shoulder": {**_NOTE, "description": "mouth of the socket to the shoulder in the body, for the drawing"},
        "notes": {"type": "array", "items": {"type": "string"}, "description": "printed in the report"},
        "parts": {
            "type": "object",
            "description": "dimensions with a name, used by several questions",
            "propertyNames": {"pattern": f"^{PART_NAME.pattern}$"},
            "additionalProperties": {
                "type": ["object", *_NOTE["type"]],
                "if": {"type": "object"},
                "then": {
                    "properties": {"note": _NOTE, "measured": _NOTE, "title": {"type": "string"}},
                    "required": ["note"],
                    "additionalProperties": False,
                },
            },
        },
    }
    number = {
        "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 3, "maxItems": 3}]
    }
    head["materials"] = {
        "type": "object",
        "description": "materials of one's own: texts with their unit, or [lower, value, upper]",
        "additionalProperties": {
            "type": "object",
            "properties": {
                **{key: {**number, "description": "with its unit: '180 MPa', '23e-6 1/K'"} for key in PROPERTIES},
                "metal": {"type": "boolean"},
                "note": {"type": "string"},
                "source": {"type": "string", "description": "where the numbers come from"},
            },
            "required": ["source"],
            "additionalProperties": False,
        },
    }
    by_part = {"type": "object", "additionalProperties": {"type": "string"}}
    head["workshop"] = {
        "type": "object",
        "description": "what the workshop measures and cuts with",
        "properties": {
            **{key: {**_NOTE, "description": "expanded uncertainty of a reading, k = 2"} for key in INSTRUMENTS},
            **{key: {"type": "string", "description": "the tolerance it holds, such as '± 0.2'"} for key in TOOLS},
            "measured_with": {**by_part, "description": "the instrument of a part"},
            "cut_with": {**by_part, "description": "the tool of a part"},
        },
        "additionalProperties": False,
    }
    head["open"] = {
        "type": "object",
        "description": "what a plan may choose: a range such as '5.0 .. 8.0', or a list",
        "additionalProperties": {"anyOf": [{"type": "string"}, {"type": "array", "minItems": 2}]},
    }
    # Set for the whole sheet, or in a question.
    shared = {key: value for key, value in _inputs(Question).items() if key != "name"}
    questions: dict[str, Any] = {}
    for table, question in QUESTIONS.items():
        one = {
            "type": "object",
            "description": (question.__doc__ or "").splitlines()[0],
            "properties": _inputs(question),
            "required": question.needed(),
            "additionalProperties": False,
        }
        # By its type, so that an editor points at the key that is misspelt and not at the whole table.
        questions[table] = {
            "type": ["object", "array"],
            "if": {"type": "array"},
            "then": {"items": one, "minItems": 1},
            "else": one,
        }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "fitcheck build sheet",
        "type": "object",
        "properties": {**head, **shared, **questions},
        "required": ["sheet"],
        "anyOf": [{"required": [table]} for table in QUESTIONS],
        "additionalProperties": False,
    }


def _inputs(question: type[Question]) -> dict[str, Any]:
    described = {}
    for key, declared in question.inputs().items():
        reader, doc = declared.metadata["reader"], declared.metadata["doc"]
        described[key] = {**reader.schema(), "description": f"{doc}; {reader.expects}"}
        if key in question.example:
            described[key].setdefault("examples", [question.example[key]])
    return described

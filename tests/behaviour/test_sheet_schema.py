"""The JSON Schema of the sheet: made from the code, it accepts what the sheet accepts and refuses what it refuses."""

import copy
import tomllib
from pathlib import Path

import jsonschema
import pytest

import fitcheck as fc
from fitcheck.bench import QUESTIONS
from fitcheck.sheet import schema

DEMO = tomllib.loads((Path(__file__).parents[2] / "notebooks" / "wand.toml").read_text(encoding="utf-8"))
CHECK = jsonschema.Draft202012Validator(schema())


def test_it_is_a_schema_and_accepts_the_demo():
    jsonschema.Draft202012Validator.check_schema(schema())
    CHECK.validate(DEMO)


@pytest.mark.parametrize("question", QUESTIONS)
def test_it_knows_every_key_and_says_what_it_means(question):
    one = schema()["properties"][question]["anyOf"][0]
    assert set(one["properties"]) == set(QUESTIONS[question].inputs())
    assert all(entry["description"] for entry in one["properties"].values())


@pytest.mark.parametrize(
    "change",
    [
        {"sheet": 3},
        {"plug_lenght": {}},
        {"risk": 2},
        {"blade_depth": {**DEMO["blade_depth"], "cutt": "slug"}},
        {"blade_depth": {"adds": ["40"]}},
        {"blade_depth": {**DEMO["blade_depth"], "adds": "40"}},
        {"set_screw": {**DEMO["set_screw"], "screws": 0}},
        {"set_screw": {**DEMO["set_screw"], "point": "sharp"}},
        {"parts": {"slug": {"measured": "3"}}},
    ],
)
def test_it_refuses_what_the_sheet_refuses(change, tmp_path):
    changed = {**copy.deepcopy(DEMO), **change}
    assert not CHECK.is_valid(changed)


def test_describe_names_the_questions_and_their_keys():
    assert all(key in fc.describe() for key in QUESTIONS)
    text = fc.describe("plug_length")
    assert all(key in text for key in QUESTIONS["plug_length"].inputs())
    assert text.index("travel") < text.index("optional") < text.index("kerf" if "kerf" in text else "bought")
    with pytest.raises(fc.InputError, match="did you mean 'plug_length'"):
        fc.describe("plug_lenght")

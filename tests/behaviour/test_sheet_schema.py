"""The JSON Schema of the sheet: made from the code, it accepts what the sheet accepts and refuses what it refuses."""

import copy
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import jsonschema
import pytest

import fitcheck as fc
from fitcheck.errors import SheetError
from fitcheck.questions import QUESTIONS
from fitcheck.sheet import schema

ROOT = Path(__file__).parents[2]
DEMO = tomllib.loads((ROOT / "notebooks" / "wand.toml").read_text(encoding="utf-8"))
CHECK = jsonschema.Draft202012Validator(schema())


def test_it_is_a_schema_and_accepts_the_demo():
    jsonschema.Draft202012Validator.check_schema(schema())
    CHECK.validate(DEMO)


@pytest.mark.parametrize("question", QUESTIONS)
def test_it_knows_every_key_and_says_what_it_means(question):
    one = schema()["properties"][question]["else"]
    assert set(one["properties"]) == set(QUESTIONS[question].inputs())
    assert all(entry["description"] for entry in one["properties"].values())


@pytest.mark.parametrize(
    "change",
    [
        {"sheet": 3},
        {"plug_lenght": {}},
        {"risk": 2},
        {"blade_depth": {**DEMO["blade_depth"], "cutt": "slug"}},
        {"blade_depth": {"takes": ["40"]}},
        {"blade_depth": {**DEMO["blade_depth"], "adds": "40"}},
        {"set_screw": {**DEMO["set_screw"], "screws": 0}},
        {"set_screw": {**DEMO["set_screw"], "point": "sharp"}},
        {"parts": {"slug": {"measured": "3"}}},
        {"parts": {**DEMO["parts"], "lens": ["3.0 ± 0.1"]}},
        {"parts": {**DEMO["parts"], "lens": {"note": "3.0 ± 0.1", "mesured": "3.01"}}},
        {"title": 3},
        {"notes": "one text"},
        {"confidence": [0.9]},
        {"sheet": "1"},
        {"sheet": 0},
        {"port_clearance": {**DEMO["port_clearance"], "bodies": {"name": "nut", "diameter": "14"}}},
        {"port_clearance": {**DEMO["port_clearance"], "bodies": [{"name": "nut", "diametre": "14"}]}},
        {"port_clearance": {**DEMO["port_clearance"], "bodies": [{"diameter": "14"}]}},
        {"port_clearance": {**DEMO["port_clearance"], "bore": ["body_bore"]}},
        {"set_screw": [DEMO["set_screw"], {"name": "rear"}]},
    ],
)
def test_it_refuses_what_the_sheet_refuses(change, tmp_path):
    changed = {**copy.deepcopy(DEMO), **change}
    assert not CHECK.is_valid(changed)
    # The sheet itself agrees.
    path = tmp_path / "changed.toml"
    path.write_text(toml(changed), encoding="utf-8")
    with pytest.raises(SheetError):
        fc.load(path)


@pytest.mark.parametrize(
    ("change", "where", "said"),
    [
        ({"blade_depth": {**DEMO["blade_depth"], "cutt": "slug"}}, ["blade_depth"], "'cutt' was unexpected"),
        ({"set_screw": [DEMO["set_screw"], {**DEMO["set_screw"], "pul": "60 N"}]}, ["set_screw", 1], "'pul' was"),
        ({"set_screw": {**DEMO["set_screw"], "screws": 0}}, ["set_screw", "screws"], "0 is less than"),
        ({"parts": {"slug": {"note": "8", "titel": "slug"}}}, ["parts", "slug"], "'titel' was unexpected"),
        ({"parts": {"brass slug": "8"}}, ["parts"], "'brass slug' does not match"),
    ],
)
def test_an_editor_points_at_the_key_that_is_wrong(change, where, said):
    (error,) = CHECK.iter_errors({**DEMO, **change})
    assert list(error.absolute_path) == where
    assert said in error.message


def toml(content):
    """A sheet as TOML: JSON writes text, numbers and lists as TOML does; tables become inline ones."""

    def value(one):
        if isinstance(one, dict):
            return "{" + ", ".join(f"{key} = {value(item)}" for key, item in one.items()) + "}"
        if isinstance(one, list):
            return "[" + ", ".join(map(value, one)) + "]"
        return json.dumps(one, ensure_ascii=False)

    return "\n".join(f"{key} = {value(item)}" for key, item in content.items()) + "\n"


def test_what_the_schema_refuses_would_have_been_read_but_for_that(tmp_path):
    """The demo survives the way through `toml`, so it is the change that is refused above."""
    path = tmp_path / "demo.toml"
    path.write_text(toml(DEMO), encoding="utf-8")
    assert len(fc.load(path).questions) == 5


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_asked_several_times_is_accepted(question):
    if question in DEMO:
        CHECK.validate({**DEMO, question: [DEMO[question], DEMO[question]]})


def test_a_user_gets_the_schema_by_the_command_of_the_readme():
    assert "`python -m fitcheck.sheet > sheet.schema.json`" in (ROOT / "README.md").read_text(encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "fitcheck.sheet"], capture_output=True, check=True, cwd=ROOT)
    assert json.loads(done.stdout) == json.loads(json.dumps(schema()))
    assert done.stderr == b""


@pytest.mark.parametrize("version", ["0", "2", "17", '"1"', "1.5", "true"])
def test_a_sheet_of_another_version_is_refused_and_says_which_is_read(version, tmp_path):
    path = tmp_path / "other.toml"
    path.write_text(f"# remark\nsheet = {version}\n[plug_length]\nfuture = 3\n", encoding="utf-8")
    with pytest.raises(SheetError) as refused:
        fc.load(path)
    message = str(refused.value)
    assert message.startswith(f"{path}, line 2: sheet = ")
    assert "version 1" in message
    assert "future" not in message  # what a sheet of another version says is not judged


def test_describe_names_the_questions_and_their_keys():
    assert all(key in fc.describe() for key in QUESTIONS)
    text = fc.describe("plug_length")
    assert all(key in text for key in QUESTIONS["plug_length"].inputs())
    assert text.index("travel") < text.index("optional") < text.index("kerf" if "kerf" in text else "bought")
    with pytest.raises(fc.InputError, match="did you mean 'plug_length'"):
        fc.describe("plug_lenght")

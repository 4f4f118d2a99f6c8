"""A lot of devices: every verdict and margin is that of the device's own sheet; parts are matched best."""

import itertools
import math

import numpy as np
import pandas as pd
import pint
import pytest
from lot_inputs import TEXT, readings

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import PlugLength
from fitcheck.stack import as_built


@pytest.fixture
def build(tmp_path):
    path = tmp_path / "s.toml"
    path.write_text(TEXT, encoding="utf-8")
    return fc.load(path)


def asked_alone(build, tmp_path, row):
    """The findings of one device by a sheet of its own, its readings under [parts]."""
    text = build.text
    for name, value in row.items():
        if not pd.isna(value):
            note = build.parts[name].origin
            text = text.replace(f'{name} = "{note}"', f'{name} = "{value} measured ± 0.02"')
    path = tmp_path / "one.toml"
    path.write_text(text, encoding="utf-8")
    return fc.load(path).findings()


def test_a_lot_says_of_each_device_what_its_own_sheet_says(build, tmp_path):
    frame = readings(build, ["module", "socket", "chassis", "floor", "carrier"], 12)
    frame.loc[[1, 5], "module"] = np.nan
    frame.loc[7, ["chassis", "floor"]] = np.nan
    lot = build.lot(frame, processes=1)
    assert list(lot.index) == list(frame.index)
    seen = set()
    for i, row in frame.iterrows():
        for finding in asked_alone(build, tmp_path, row):
            assert lot.loc[i, finding.title] == str(finding.verdict), (i, finding.title)
            worst, limit = finding.worst_case.min, finding.requirement.at_least
            assert lot.loc[i, f"{finding.title}: margin [mm]"] == pytest.approx(worst - limit, abs=1e-3)
            seen.add(str(finding.verdict))
    assert seen == {"holds", "likely", "fails"}


def test_several_processes_say_the_same(build):
    frame = readings(build, ["chassis", "floor"], 70)
    pd.testing.assert_frame_equal(build.lot(frame, processes=2), build.lot(frame, processes=1))


def test_readings_may_be_texts_and_empty(build):
    frame = pd.DataFrame({"module": ["14.40 mm", "0.567 in", None]})
    lot = build.lot(frame)
    assert lot.filter(like="depth of the blade: margin").iloc[0, 0] == pytest.approx(64 - 14.4 - 8 - 0.3 - 0.02 - 41.2)
    with pytest.raises(InputError, match=r"module, row 0 = 0\.567: cannot be a reading of 14\.5"):
        build.lot(pd.DataFrame({"module": [0.567]}))
    with pytest.raises(InputError, match=r"no part has this name .did you mean 'module'"):
        build.lot(pd.DataFrame({"modul": [14.5]}))
    with pytest.raises(InputError, match=r"a reading such as '14\.50 mm' is needed"):
        build.lot(pd.DataFrame({"module": [[1]]}))


def test_parts_go_where_most_devices_hold(build):
    frame = pd.DataFrame(
        {"socket": [63.85, 64.0, 64.18, 63.82], "module": [14.75, 14.6, 14.3, 14.4]}, index=list("abcd")
    )
    matched = build.match(frame, "module")
    assert sorted(matched["part"]) == list("abcd")
    depth = "blade depth: depth of the blade"
    holds = {}
    for order in itertools.permutations(range(4)):
        tried = frame.assign(module=frame["module"].to_numpy()[list(order)])
        holds[order] = int((build.lot(tried, processes=1)[depth] == "holds").sum())
    chosen = tuple(frame.index.get_loc(part) for part in matched["part"])
    assert holds[chosen] == max(holds.values()) > holds[(0, 1, 2, 3)]


def test_spare_parts_stay_out(build):
    frame = pd.DataFrame({"socket": [63.9, 64.1, np.nan], "module": [14.7, 14.75, 14.3]})
    matched = build.match(frame, ["module"])
    assert list(matched.index) == [0, 1]
    assert 2 in set(matched["part"])
    with pytest.raises(InputError, match="columns of the part are needed"):
        build.match(frame, ["module", "socket"])
    with pytest.raises(InputError, match="a column is needed"):
        build.match(frame, "modul")
    with pytest.raises(InputError, match="at least one body and one part with a reading are needed"):
        build.match(frame.assign(module=np.nan), "module")


def test_parts_that_are_all_alike_are_matched_all_the_same(build):
    frame = pd.DataFrame({"socket": [64.0, 64.0], "module": [14.5, 14.5]})
    matched = build.match(frame, "module")
    assert sorted(matched["part"]) == [0, 1]
    assert matched["room"].nunique() == 1


def test_a_reading_is_the_part_as_built(build):
    d = build.parts["module"]
    assert as_built(d, 14.4, build.workshop.reading("module")[1]).upper == pytest.approx(14.42)


INCH_LOT = """sheet = 1
[workshop]
caliper = "0.001 in"
[parts]
socket = "2.520 ± 0.008 in"
module = "0.571 ± 0.012 in"
[blade_depth]
adds = ["socket"]
takes = ["module"]
at_least = "1.94 in"
"""


def test_readings_are_read_as_a_laboratory_writes_them(tmp_path):
    path = tmp_path / "lot.toml"
    path.write_text(INCH_LOT, encoding="utf-8")
    build = fc.load(path)
    inch = pint.UnitRegistry().inch
    plain = pd.DataFrame({"socket": [2.519, 2.513], "module": [0.570, 0.580]}, index=["a", "b"])
    asked = build.lot(plain, processes=1)
    assert asked["verdict"].tolist() == ["holds", "fails"]
    mm = plain * 25.4
    written = [
        plain.rename(columns={"module": "module [in]", "socket": "socket [inch]"}),
        mm.rename(columns={"module": "module [mm]", "socket": " socket [mm] "}),
        pd.DataFrame({key: [x * inch for x in plain[key]] for key in plain}, index=plain.index),
        pd.DataFrame({key: [f"{x} mm" for x in mm[key]] for key in mm}, index=plain.index),
        plain.astype(str),
    ]
    for frame in written:
        found = build.lot(frame, processes=1)
        assert found["verdict"].tolist() == asked["verdict"].tolist()
        assert found.iloc[:, -1].tolist() == pytest.approx(asked.iloc[:, -1].tolist(), abs=1e-9)
        moved = build.match(frame, frame.columns[1], processes=1)
        assert moved["part"].tolist() == build.match(plain, "module", processes=1)["part"].tolist()
    some = pd.DataFrame({"module [in]": [0.570, None], "socket": [pd.NA, 2.513]}, index=["a", "b"])
    assert len(build.lot(some, processes=1)) == 2
    assert len(build.lot(pd.DataFrame({"module": [0.57 * inch, math.nan * inch]}), processes=1)) == 2


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({"module [in": [0.57]}, r"module \[in: no part has this name \(did you mean 'module'\?\)"),
        ({"module [furlongish]": [0.57]}, r"module \[furlongish\]: unknown unit 'furlongish'"),
        ({"module [N]": [0.57]}, r"module \[N\]: its unit is of a force: a length is needed"),
        ({"module": [0.57], "module [in]": [0.57]}, r"module \[in\]: there are two columns of this part"),
        ({"module [mm]": [0.57]}, r"module, row 0 = 0.57: cannot be a reading of 0.571 ± 0.012 in, in mm"),
        ({"module": ["0.57 N"]}, r"module, row 0 = '0.57 N' is a force"),
        ({"module": [["0.57"]]}, r"module, row 0 = \['0.57'\]: a reading such as '0.571 in' is needed"),
    ],
)
def test_a_table_that_cannot_be_meant_is_refused(columns, said, tmp_path):
    path = tmp_path / "lot.toml"
    path.write_text(INCH_LOT, encoding="utf-8")
    with pytest.raises(InputError, match=said):
        fc.load(path).lot(pd.DataFrame(columns))


def test_a_function_of_a_lot_is_judged_as_its_own_sheet_does(tmp_path):
    path = tmp_path / "port.toml"
    path.write_text(
        'sheet = 1\n[workshop]\ncaliper = "0.02 mm"\n[parts]\nchassis = "30.6 ± 0.6"\n[port_clearance]\n'
        'bore = "32.0 +0.1/-0.0"\nchassis = "chassis"\nwidth = "14 ± 0.2"\nreach = "13.2 ± 0.2"\ngap = "0.3 mm"\n',
        encoding="utf-8",
    )
    build = fc.load(path)
    frame = pd.DataFrame({"chassis": [30.6, 30.92, 31.15]})
    lot = build.lot(frame, processes=1)
    seen = set()
    for i, row in frame.iterrows():
        for finding in asked_alone(build, tmp_path, row):
            assert lot.loc[i, finding.title] == str(finding.verdict), (i, finding.title)
            if finding.quantity.startswith("gap"):
                seen.add(str(finding.verdict))
    assert seen == {"holds", "likely", "fails"}


def test_readings_with_which_nothing_fits_are_a_device_that_fails(build):
    """What stands under the cap exceeds its room: no plug is cut for it, so that nothing is known of its margin."""
    lot = build.lot(pd.DataFrame({"floor": [118.0, 118.0], "carrier": [92.0, 109.0]}), processes=1)
    plug = lot.filter(like="shortened plug")
    assert plug.iloc[0, 0] == "holds"
    assert (plug.iloc[1, ::2] == "fails").all()
    assert plug.iloc[1, 1::2].isna().all()
    assert lot["verdict"].iloc[1] == "fails"
    assert lot["least"].iloc[1].startswith("shortened plug")


def test_what_is_judged_at_once_is_what_the_findings_of_a_device_say(tmp_path, monkeypatch):
    parts, _, plug = TEXT.partition("[blade_depth]")[0], *TEXT.partition("[plug_length]")[1:]
    path = tmp_path / "plug.toml"
    path.write_text(f"{parts}[plug_length]{plug}", encoding="utf-8")
    build = fc.load(path)
    frame = readings(build, ["floor", "carrier"], 6)
    at_once = build.lot(frame, processes=1)
    monkeypatch.setattr(PlugLength, "judged", lambda self: None)
    pd.testing.assert_frame_equal(build.lot(frame, processes=1), at_once)

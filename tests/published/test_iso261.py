"""Basic sizes and series of ISO metric threads.

Sources: `tests/reference/iso_basic.csv`: JIS B 0205-1997 (= ISO 724), coarse series M1 to M68, as reprinted; UNI
4535-64 as reprinted in a tap user guide (H/6 root, height and root radius).
"""

import pytest
from threadtables import rows

from fitcheck.threads import profile, thread
from fitcheck.threads.rounding import half_up
from fitcheck.threads.series import metric_sizes

BASIC = rows("iso_basic.csv")


def three(value):
    return f"{int(half_up(value * 1000)) / 1000:.3f}"


@pytest.mark.parametrize(
    ("column", "function"),
    [
        ("d2_D2", lambda d, P: profile.pitch_diameter(d, P)),
        ("d1_D1", lambda d, P: profile.minor_diameter(d, P)),
        ("H1", lambda d, P: profile.thread_height(P)),
        ("d3_H6root", lambda d, P: profile.root_diameter(d, P)),
        ("h3", lambda d, P: (d - profile.root_diameter(d, P)) / 2),
        ("R_H6", lambda d, P: profile.triangle_height(P) / 6),
    ],
)
def test_basic_sizes(column, function, tally):
    cells = [row for row in BASIC if row[column]]
    assert len(cells) == (40 if column in ("d2_D2", "d1_D1", "H1") else 20)
    for row in cells:
        assert float(three(function(float(row["d_mm"]), float(row["pitch_mm"])))) == float(row[column])
    tally("ISO 724, basic sizes", len(cells))


def test_the_coarse_series():
    for row in BASIC:
        assert metric_sizes()[float(row["d_mm"])].coarse == float(row["pitch_mm"])


def test_every_thread_of_the_limit_tables_is_of_the_series():
    for row in rows("iso_limits.csv"):
        assert float(row["pitch_mm"]) in metric_sizes()[float(row["d_mm"])].pitches


def test_limits_reach_m300():
    found = thread("M300x8-6g").limits().as_printed()
    assert found["major_max"] == "299.900"

"""Sobol' indices against SALib, a general-purpose library for sensitivity analysis, on a function of this library.

The function is the gap between the corner of a plug and the wall (`corner_gap`); its indices have no closed form.
"""

import numpy as np
import pytest
from SALib.analyze import sobol
from SALib.sample import sobol as design

from fitcheck.mechanics.cross_section import corner_gap
from fitcheck.stack import dimension, response, sobol_indices

ZONES = {"bore": (32.0, 0.1), "chassis": (31.5, 0.1), "width": (14.0, 0.4), "reach": (13.2, 0.3), "shift": (0.5, 0.5)}


@pytest.mark.filterwarnings("ignore::FutureWarning")  # its own use of an old pandas
def test_indices_of_the_corner_gap():
    problem = {
        "num_vars": len(ZONES),
        "names": list(ZONES),
        "bounds": [[middle - half, middle + half] for middle, half in ZONES.values()],
    }
    points = design.sample(problem, 4096, calc_second_order=False, seed=1)
    theirs = sobol.analyze(problem, corner_gap(*points.T), calc_second_order=False, seed=1)
    ours = {
        row.name: row
        for row in sobol_indices(
            response(corner_gap, **{name: dimension(m, plus=h, name=name) for name, (m, h) in ZONES.items()})
        )
    }
    for i, name in enumerate(ZONES):
        margin = 4 * ours[name].first_error + 2 * float(theirs["S1_conf"][i]) + 1e-3
        assert ours[name].first == pytest.approx(float(theirs["S1"][i]), abs=margin)
        margin = 4 * ours[name].total_error + 2 * float(theirs["ST_conf"][i]) + 1e-3
        assert ours[name].total == pytest.approx(float(theirs["ST"][i]), abs=margin)
    assert np.argmax(theirs["ST"]) == list(ZONES).index(max(ours.values(), key=lambda row: row.total).name)

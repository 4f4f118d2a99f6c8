"""Heat of the module: models against closed forms and integration, and what is found, advised and refused."""

import math

import numpy as np
import pytest
from asked import HEAT
from scipy import integrate

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics import fin_resistance, gap_conductance
from fitcheck.questions import QUESTIONS, Verdict

WARM = {**HEAT, "module_limit": "60 °C"}


def test_a_thin_gap_is_a_flat_layer_and_a_thick_one_is_integrated():
    assert gap_conductance(0.026, 25.0, 25.02) == pytest.approx(0.026 / 0.01e-3, rel=1e-3)
    r = np.linspace(12.5e-3, 20e-3, 200_001)
    resistance = integrate.trapezoid(1 / (2 * math.pi * 0.026 * r), r)  # of 1 m length
    assert 1 / (gap_conductance(0.026, 25.0, 40.0) * math.pi * 25e-3) == pytest.approx(resistance, rel=1e-8)


def test_a_fin_of_good_metal_is_its_surface_and_a_long_one_has_no_end():
    surface = math.pi * 0.032 * 0.150
    assert fin_resistance(10.0, 1e7, 32.0, 28.0, 150.0) == pytest.approx(1 / (10.0 * surface), rel=1e-4)
    h, k, P, A = 10.0, 16.0, math.pi * 0.032, math.pi / 4 * (0.032**2 - 0.028**2)
    assert fin_resistance(h, k, 32.0, 28.0, 5000.0) == pytest.approx(1 / math.sqrt(h * P * k * A), rel=1e-9)


def test_the_fin_solves_its_own_equation():
    """k A T'' = h P T with T' = 0 at the tip, by finite differences; 1 W goes in at the root."""
    h, k, Do, Di, L = 200.0, 50.0, 25.0, 0.0, 40.0
    P, A, n = math.pi * Do / 1e3, math.pi / 4 * (Do**2 - Di**2) / 1e6, 4000
    dx = L / 1e3 / n
    main = np.full(n + 1, 2 * k * A / dx + h * P * dx)
    main[[0, -1]] = k * A / dx + h * P * dx / 2
    off = -k * A / dx
    # Thomas' algorithm: the heat balance of every piece.
    c, d = np.zeros(n + 1), np.zeros(n + 1)
    c[0], d[0] = off / main[0], 1.0 / main[0]
    for i in range(1, n + 1):
        w = main[i] - off * c[i - 1]
        c[i], d[i] = off / w, (0.0 - off * d[i - 1]) / w
    T = d.copy()
    for i in range(n - 1, -1, -1):
        T[i] = d[i] - c[i] * T[i + 1]
    assert fin_resistance(h, k, Do, Di, L) == pytest.approx(T[0], rel=1e-6)


def test_the_resistances_stand_in_a_row():
    module, blade, grip = fc.ask("module_heat", **HEAT)
    tube = fin_resistance(10.0, 165.0, 32.0, 25.1, 150.0)
    slug = fin_resistance(gap_conductance(0.026, 24.9, 25.1), 165.0, 24.9, 0.0, 15.0)
    assert grip.nominal == blade.nominal == pytest.approx(25 + 3 * tube, rel=1e-6)
    assert module.nominal == pytest.approx(25 + 3 * (tube + slug), rel=1e-6)
    assert (grip.requirement.at_most, blade.requirement.at_most) == (48, 100)
    assert any("run it for an hour" in said for said in module.cautions)
    assert any("EN ISO 13732-1, from memory" in said for said in grip.sources)


def test_only_what_has_a_limit_is_answered():
    limits = {"module_limit": "module", "blade_limit": "blade's end", "held_for": "grip"}
    whole = fc.ask("module_heat", **HEAT)
    for key, words in limits.items():
        (found,) = fc.ask("module_heat", **{name: HEAT[name] for name in HEAT if name not in limits or name == key})
        assert words in found.quantity
        assert found.nominal in [one.nominal for one in whole if one.quantity == found.quantity]


def test_paste_helps_and_a_shorter_contact_costs():
    def module(**more):
        return fc.ask("module_heat", **{**HEAT, **more})[0].nominal

    assert module(gap="paste") < module() < module(contact="6 ± 0.2")
    assert module(power="6 W") - 25 == pytest.approx(2 * (module(power="3 W") - 25), rel=1e-6)


def test_the_shortest_contact_keeps_the_limit_and_a_shorter_one_does_not():
    asked = QUESTIONS["module_heat"].read(WARM)
    length = asked.shortest(60.0)
    again, shorter = (fc.ask("module_heat", **{**WARM, "contact": f"{x:.2f} ± 0.2"})[0] for x in (length, length - 0.5))
    assert again.verdict == "holds"
    assert shorter.verdict != "holds"
    short = fc.ask("module_heat", **{**WARM, "contact": "3 ± 0.2"})[0]
    assert short.verdict == "fails"
    assert f"let {length:.2f} mm of the slug sit in the bore" in short.change[0]
    assert QUESTIONS["module_heat"].read(WARM).shortest(26.0) is None


def test_inches_and_degrees_fahrenheit_say_the_same():
    inch = {
        **HEAT, "slug": "0.98031 ± 0.0008 in", "socket": "0.98819 ± 0.0008 in", "contact": "0.59055 ± 0.008 in",
        "outside": "1.25984 in", "tube_length": "5.90551 in", "around": "77 °F", "module_limit": "185 °F",
    }  # fmt: skip
    assert fc.ask("module_heat", **inch)[0].nominal == pytest.approx(fc.ask("module_heat", **HEAT)[0].nominal, abs=0.01)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"slug": "25.2"}, "it must be below socket"),
        ({"outside": "25"}, "outside = 25 mm"),
        ({"outside": "25.12"}, "outside = 25.12 mm"),  # no wall is left at the largest socket
        ({"gap": "oil"}, "gap = 'oil': one of air, paste is needed"),
        ({"slug_metal": "gold"}, "slug_metal = 'gold'"),
        ({"around": "90 °C"}, "around = 90 °C"),
        ({"module_limit": "20 °C"}, "module_limit: above around"),
        ({"held_for": "a day"}, "held_for = 'a day'"),
        ({"power": "0 W"}, "power = 0 W"),
        ({"power": "3 N"}, "is a force"),
        ({"contact": "-1"}, "contact = -1 mm"),
        ({"module_limit": None, "blade_limit": None, "held_for": None}, "none is given"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(more, words):
    values = {key: value for key, value in {**HEAT, **more}.items() if value is not None}
    with pytest.raises(InputError) as caught:
        fc.ask("module_heat", **values)
    assert words in str(caught.value).replace("'air', 'paste'", "air, paste")
    assert "\n" not in str(caught.value)


def test_every_move_keeps_its_limit_when_it_is_made_and_asked_again():
    """A slug too short, and a module too strong: longer contact, and less power for module, blade and grip."""
    question = QUESTIONS["module_heat"].read({**HEAT, "contact": "9 ± 0.2", "power": "4 W", "blade_limit": "55 °C"})
    tried = set()
    for finding in question.findings():
        assert finding.verdict is Verdict.FAILS
        for move in finding.moves:
            assert move.words in finding.change
            after = {one.quantity: one for one in move.made(question).findings()}[finding.quantity]
            assert after.verdict is Verdict.HOLDS, f"{move}\n{after}"
            tried |= {(finding.quantity, edit.key) for edit in move.edits}
    assert {key for _, key in tried} == {"contact", "power"}
    assert {quantity for quantity, key in tried if key == "power"} == {
        "temperature of the module", "temperature of the blade's end", "temperature of the grip",
    }  # fmt: skip


def test_a_figure_shows_the_module_over_the_length_of_the_slug():
    found = fc.ask("module_heat", **{**HEAT, "module_limit": "62 °C"})[0]
    drawing = found.drawing
    assert drawing.lengths == tuple(sorted(drawing.lengths))
    assert drawing.nominal == tuple(sorted(drawing.nominal, reverse=True)), "a longer slug is cooler"
    assert all(worst > nominal for worst, nominal in zip(drawing.worst, drawing.nominal, strict=True))
    # The line runs through the finding itself, and its worst case meets the limit at the shortest.
    at = np.interp(math.log(15.0), np.log(drawing.lengths), drawing.nominal)
    assert at == pytest.approx(found.nominal, abs=1.0)
    assert np.interp(math.log(drawing.shortest), np.log(drawing.lengths), drawing.worst) == pytest.approx(62, abs=1.5)
    ax = found.plot()
    said = [text.get_text() for text in ax.get_legend().get_texts()]
    assert {"limit 62 °C", "this slug 15.00 mm", f"shortest {drawing.shortest:.2f} mm"} <= set(said)
    assert "mm" in ax.get_xlabel()

"""What a dimension rests on is a field, so that no sentence about it decides anything."""

import dataclasses

import pytest

import fitcheck as fc
from fitcheck.basis import Basis, weakest
from fitcheck.errors import InputError, TableError
from fitcheck.mechanics import add_material, friction, material
from fitcheck.questions import PlugLength
from fitcheck.questions.cells import OfCell, cell, usual_size
from fitcheck.questions.finding import Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.plug.cutting import Loss, unmeasured, was_measured
from fitcheck.questions.quantities import of_property, thread_size
from fitcheck.questions.short_threads import strip_scatter
from fitcheck.stack import dimension
from fitcheck.stack.measured import as_built, at_temperature, inspected, measured
from fitcheck.tables import table
from fitcheck.threads.coating import coating


@pytest.mark.parametrize(
    ("made", "basis"),
    [
        (lambda: fc.dim("25.4 ± 0.05"), Basis.DRAWN),
        (lambda: fc.dim(25.4, plus=0.05), Basis.DRAWN),
        (lambda: fc.dim("25 H7"), Basis.STANDARD),
        (lambda: fc.dim("25 s6"), Basis.MEMORY),
        (lambda: fc.fit("25 H7/g6"), Basis.PRINTED),
        (lambda: fc.fit("25 K7/h6"), Basis.RULE),
        (lambda: fc.fit("25 H7/s6"), Basis.MEMORY),
        (lambda: fc.dim("12.43 measured ± 0.02"), Basis.MEASURED),
        (lambda: measured(12.43, 0.02), Basis.MEASURED),
        (lambda: inspected([1.0, 1.1, 1.2]), Basis.MEASURED),
        (lambda: as_built(fc.dim("12 ± 0.1"), 12.03, 0.01), Basis.MEASURED),
        (lambda: fc.thread("M4x0.7-6g").limits().dimension("major"), Basis.STANDARD),
        (lambda: thread_size(fc.thread("M4x0.7-6g"), "pitch", "d2"), Basis.STANDARD),
        (lambda: of_property(material("6061-T6"), "yield"), Basis.NO_SOURCE),  # its upper bound is by habit
        (lambda: of_property(material("6061-T6"), "shear"), Basis.NO_SOURCE),
        (lambda: cell("CR2").size("length"), Basis.MEMORY),
        (lambda: cell("18650").size("length"), Basis.NO_SOURCE),
        (lambda: usual_size("port", "diameter"), Basis.NO_SOURCE),
        (lambda: coating("clear anodic").thickness, Basis.NO_SOURCE),
        (lambda: coating("clear anodic", "10 ± 3 µm").thickness, Basis.DRAWN),
        (lambda: strip_scatter(), Basis.PRINTED),
    ],
)
def test_a_dimension_says_what_it_rests_on(made, basis):
    assert made().basis is basis


def test_a_range_and_a_rule_carry_the_basis_of_their_row():
    assert friction("C").rests_on is Basis.PRINTED
    assert friction("E").rests_on is Basis.MEMORY
    assert friction("aluminium on PMMA").rests_on is Basis.ASSUMED
    bounded = add_material("own bar", source="our own pull tests", tensile=(300, 310, 320))
    assert bounded.shear_strength("bolting 0.6").weakest is Basis.PRINTED
    assert bounded.shear_strength("heat-treated steel").weakest is Basis.MEMORY


def test_every_row_with_a_source_says_what_it_rests_on_and_agrees_with_its_words():
    """The words of the source are for people; here a person's slip between the two columns is found."""
    for name in ("materials", "friction", "hand_torque", "cells", "usual_sizes", "shear_ratio"):
        for row in table(name).rows:
            bases = [Basis(part.strip()) for part in row["rests_on"].split(";")]
            for words in ("from memory", "no source"):
                assert (words in row["source"]) <= any(basis.unsourced for basis in bases), (name, row)
            assert any(basis.unsourced for basis in bases) <= (
                "from memory" in row["source"] or "no source" in row["source"]
            ), (name, row)


def test_an_unknown_basis_in_a_table_is_named(tmp_path, monkeypatch):
    from fitcheck import tables

    (tmp_path / "odd.csv").write_text("# source: invented here\nname,rests_on\na,printed\nb,hearsay\n")
    monkeypatch.setattr(tables, "folder", lambda: tmp_path)
    with pytest.raises(TableError, match=r"table 'odd', row 2, column 'rests_on'.*hearsay"):
        table("odd", {"rests_on": Basis})


def test_a_basis_may_be_given_by_its_word_and_a_wrong_word_is_refused():
    assert dimension(16.5, plus=0.6, basis="measured").basis is Basis.MEASURED
    with pytest.raises(InputError, match=r"room: basis = 'meassured'.*did you mean 'measured'"):
        dimension(16.5, plus=0.6, name="room", basis="meassured")


def test_a_note_on_measuring_is_no_measurement():
    """Found: an origin that said "not measured yet" counted as measured."""
    room = dimension(16.5, plus=0.6, name="room", origin="limits from drawing 12, not measured yet")
    assert not was_measured(room)
    assert [loss.part for loss in unmeasured([Loss(room, 0.6)])] == [room]
    assert was_measured(fc.dim("16.5 measured ± 0.02"))


def test_the_plug_names_a_room_not_yet_measured_as_worth_measuring():
    def said(basis: Basis) -> str:
        room = dimension(16.5, plus=0.6, name="room", origin="limits from drawing 12, not measured yet", basis=basis)
        asked = PlugLength(travel=fc.dim("6.0 ± 0.2"), seat=fc.dim("11.0 ± 0.2"), adds=(room,))
        return "\n".join(text for one in asked.findings() for text in (*one.details.values(), *one.change))

    assert "room" in said(Basis.DRAWN)
    assert said(Basis.DRAWN) != said(Basis.MEASURED)


def test_words_in_an_origin_do_not_make_a_source():
    asked, need = Topic("odd"), Requirement(at_least=0.0)
    said = dimension(1.0, plus=0.1, name="a", origin="a drawing, no source of error but the saw; not from memory")
    recalled = dimension(1.0, plus=0.1, name="b", origin="what the foreman said", basis=Basis.MEMORY)
    finding = judge(asked, said + recalled, need, label="a and b", answer="They add up.")
    assert finding.sources == ("what the foreman said",)


def test_the_least_firm_decides():
    assert weakest(Basis.STANDARD, Basis.MEASURED) is Basis.STANDARD
    assert weakest(*Basis) is Basis.NO_SOURCE
    long = at_temperature(fc.dim("10 ± 0.1"), material("6061-T6").expansion, 60.0)
    assert {d.name: d.basis for d in long.members}["alpha"] is Basis.NO_SOURCE


def test_a_size_of_a_cell_knows_its_cell_whatever_it_is_called():
    size = dataclasses.replace(cell("LR6").size("length"), name="the fat one")
    assert isinstance(size, OfCell)
    assert size.cell == "LR6"
    assert (size - 1.0).nominal == pytest.approx(cell("LR6").size("length").nominal - 1.0)
    assert not isinstance(dimension(50.0, name="length of cell LR6 (from memory)"), OfCell)


@pytest.mark.parametrize(
    ("designation", "said"),
    [("M4x0.7-6g", "M4x0.7"), ("M10x1.25-5H6H-LH", "M10x1.25"), ("#8-32 UNC-2B-LH", "#8-32 UNC"),
     ("M20xPh5P2.5-6g", "M20xPh5P2.5"), ("1/4-20 UNRC-2A", "1/4-20 UNRC")],
)  # fmt: skip
def test_a_thread_says_its_size_without_its_class(designation, said):
    thread = fc.thread(designation)
    assert thread.size_and_pitch == said
    assert thread.designation.startswith(said)


def test_a_fit_held_from_memory_says_so_wherever_it_is_used():
    assert fc.dim("25 s6").origin == "25 s6: limits of ISO 286-1, from memory"
    found = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["25 s6"])
    assert "25 s6: limits of ISO 286-1, from memory" in found[0].sources
    found = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["25 H7"])
    assert not any("memory" in source for source in found[0].sources)

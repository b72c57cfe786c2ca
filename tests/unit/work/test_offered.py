"""How the ledger lists lines that are offered as joints."""

from __future__ import annotations

from decimal import Decimal

from leakmap.base.findings import Finding
from leakmap.geometry.path import path_of
from leakmap.model.words import Face, Kind
from leakmap.work.check_list import Where
from leakmap.work.kept import Kept
from leakmap.work.ledger_notes import Sign
from leakmap.work.offered import Offered, OfferedLayer, OfferedLine, layers_section, offered_notes, offered_table
from leakmap.work.proposals import AsJoint, Proposal
from tests.helpers.small_jobs import one_line

WALLS = "layer WALLS"
OFFERED = Offered(
    layers=(OfferedLayer("WALLS", 3, chosen=True), OfferedLayer("DOORS", 1)),
    lines=(
        OfferedLine(3, Proposal(path_of([(0, 0), (6.305, 0)]), WALLS)),
        OfferedLine(4, Proposal(path_of([(0, 0), (4, 0), (4, 3)], closed=True), WALLS), ("J-01", "J-02")),
    ),
    as_joint=AsJoint(kind=Kind.WALL_BASE, face=Face.CORNER),
)


def test_rows_say_what_is_offered_and_what_lies_on_joints() -> None:
    """Each row has its number, kind, length and ends; one that lies on joints says so, for a look, and is not summed."""
    job, _ = one_line()
    table = offered_table(job, OFFERED)
    free, twin = table.lines
    assert (free.where, free.values["kind"], free.values["length"]) == (
        Where("proposal", 3),
        "Wall-base",
        Decimal("6.305"),
    )
    assert (twin.values["kind"], twin.alarm, twin.values["to_grid"]) == (
        "lies on J-01 and J-02",
        frozenset({"kind"}),
        "closed",
    )
    (total,) = table.sums
    assert (total.values["kind"], total.values["length"]) == ("1 joint", Decimal("6.305"))
    assert OFFERED.free == OFFERED.lines[:1]


def test_rows_that_have_not_changed_are_the_same() -> None:
    """Made again, rows are the very same values, so that the ledger paints none of them anew."""
    job, _ = one_line()
    kept = Kept()
    first, again = (offered_table(job, OFFERED, kept).lines for _ in range(2))
    assert all(a is b for a, b in zip(first, again, strict=True))


def test_layers_are_ticked_where_they_are_chosen() -> None:
    """Each says how many lines it has, and stands for its layer."""
    section = layers_section(OFFERED)
    assert [(note.words, note.sign, note.layer) for note in section.notes] == [
        ("WALLS, 3 lines", Sign.DONE, "WALLS"),
        ("DOORS, 1 line", Sign.HIDDEN, "DOORS"),
    ]


def test_nothing_offered_has_no_rows() -> None:
    """Without lines there is no table, and without findings nothing is noticed."""
    job, _ = one_line()
    nothing = Offered(layers=(), lines=(), as_joint=OFFERED.as_joint)
    assert offered_table(job, nothing).lines == ()
    assert offered_notes(nothing) is None


def test_what_was_noticed_is_listed() -> None:
    """A finding of a layer is a note for a look."""
    found = Offered(layers=(), lines=(), as_joint=OFFERED.as_joint, noticed=(Finding("too-short", "", "Short."),))
    section = offered_notes(found)
    assert section is not None
    assert [(note.words, note.sign) for note in section.notes] == [("Short.", Sign.LOOK)]

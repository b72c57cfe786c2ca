"""What typed words mean in the cells of the ledger."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

import pytest

from leakmap.base.errors import LeakmapError
from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.revision import Begun
from leakmap.model.words import Face, Kind, Method, Purpose, Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import Where
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.facts import set_start
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.rules import set_units
from leakmap.work.ledger_cells import begun_as_typed, cell_of, edit_of
from leakmap.work.ledger_lines import Line
from leakmap.work.ledger_rows import joint_table
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak, with_line


@pytest.fixture(scope="module")
def job() -> Job:
    """A seep at 2 to 3 m and a drip at 6 to 7 m on a joint of 9 m, a crack, and a vertical joint of 3 m."""
    job, line = one_line(((0, 0), (9, 0)))
    job, _ = with_leak(job, line, 2.0, 3.0, Wetness.SEEP)
    job, _ = with_leak(job, line, 6.0, 7.0, Wetness.DRIP)
    job, _ = with_line(job, ((0, 4), (2, 4)), kind=Kind.CRACK)
    sheet = next(iter(job.sheets))
    return draw_vertical_joint(job, sheet=sheet, point=(0, 8), kind=Kind.CONSTRUCTION, rise_m=3.0).job


def _typed(job: Job, rows: Sequence[Where], column: str, words: str) -> Edit:
    return edit_of(job, repairs(job), rows, column, words)


def _leak(job: Job, ref: str) -> Where:
    return Where("leak", leak_named(job, ref).id)


def _joint(job: Job, ref: str) -> Where:
    return Where("joint", joint_named(job, ref).id)


@pytest.mark.parametrize(
    ("column", "words", "means"),
    [
        ("from", "2,1", lambda leak: leak.from_m == pytest.approx(2.1)),
        ("to", "3.4 m", lambda leak: leak.to_m == pytest.approx(3.4)),
        ("length", "250 mm", lambda leak: leak.to_m == pytest.approx(2.25)),
        ("length", "1' 6\"", lambda leak: leak.to_m == pytest.approx(2.457, abs=5e-4)),
        ("wetness", "4", lambda leak: leak.wetness is Wetness.RUN),
        ("wetness", " Je ", lambda leak: leak.wetness is Wetness.JET),
        ("seen", "2 Nov 2026", lambda leak: leak.seen == date(2026, 11, 2)),
        ("seen", "", lambda leak: leak.seen is None),
    ],
)
def test_cells_of_a_leak(job: Job, column: str, words: str, means: Callable[[Leak], bool]) -> None:
    """What is typed into a cell of a leak is read as people write it, 1 ft being 0.3048 m exactly (16 CFR 500.19)."""
    edit = _typed(job, [_leak(job, "L-01")], column, words)
    assert means(leak_named(edit.job, "L-01"))


@pytest.mark.parametrize(
    ("column", "words", "said"),
    [
        ("from", "soon", "no length"),
        ("to", "99", "9.00"),
        ("wetness", "soaked", "no wetness"),
        ("wetness", "6", "no wetness"),
        ("wetness", "d", "damp or drip"),
        ("seen", "31 Feb 2026", "no day"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_sentence(job: Job, column: str, words: str, said: str) -> None:
    """Words that mean nothing in a cell are refused with what would do instead."""
    with pytest.raises(LeakmapError) as refused:
        _typed(job, [_leak(job, "L-01")], column, words)
    assert said in refused.value.message
    assert refused.value.message.endswith(".")


def test_a_chainage_is_the_printed_one(job: Job) -> None:
    """On a joint whose chainage starts at 10.00, 12.50 is typed for what lies 2.50 from its first point."""
    moved = set_start(job, joint=joint_named(job, "J-01").id, start_m=10.0).job
    edit = _typed(moved, [_leak(moved, "L-01")], "from", "12.50")
    assert leak_named(edit.job, "L-01").from_m == pytest.approx(2.5)


def test_cells_of_a_joint(job: Job) -> None:
    """A reference, a kind or a face by word or digit, and the rise of a vertical joint; a drawn length is no cell."""
    assert joint_named(_typed(job, [_joint(job, "J-01")], "ref", "J-20").job, "J-20")
    assert joint_named(_typed(job, [_joint(job, "J-01")], "kind", "3").job, "J-01").kind is Kind.MOVEMENT
    assert joint_named(_typed(job, [_joint(job, "J-01")], "kind", "soff").job, "J-01").face is Face.SOFFIT
    assert joint_named(_typed(job, [_joint(job, "V-01")], "kind", "Vertical, crack").job, "V-01").kind is Kind.CRACK
    assert joint_named(_typed(job, [_joint(job, "V-01")], "length", "4.20").job, "V-01").rise_m == pytest.approx(4.2)
    lines = {str(line.values["ref"]): line for line in joint_table(job, None).lines}
    assert cell_of(lines["J-01"], "length") is None
    assert cell_of(lines["V-01"], "length") is not None


def test_us_words_are_choices_in_an_imperial_job(job: Job) -> None:
    """The underside of the US trade is the soffit, and 2 typed as a rise is 2 ft: 0.6096 m."""
    imperial = set_units(job, units=Units.IMPERIAL).job
    assert joint_named(_typed(imperial, [_joint(job, "J-01")], "kind", "underside").job, "J-01").face is Face.SOFFIT
    assert joint_named(_typed(imperial, [_joint(job, "V-01")], "length", "2").job, "V-01").rise_m == pytest.approx(
        0.6096
    )


def test_cells_of_a_zone(job: Job) -> None:
    """Z-01 reaches 0.30 m past its seep; its end goes where it is typed, its overrun and method are set by hand."""
    zone, leak = [Where("zone", 1)], leak_named(job, "L-01")
    first = repairs(job).zones[0]
    assert (float(first.rows[0].from_m), first.method) == (pytest.approx(1.7), repairs(job).zones[0].method)
    moved = repairs(_typed(job, zone, "from", "J-01 1.50").job).zones[0]
    assert float(moved.rows[0].from_m) == pytest.approx(1.5)
    assert float(repairs(_typed(job, zone, "to", "3.1").job).zones[0].rows[-1].to_m) == pytest.approx(3.1)
    by_hand = _typed(job, zone, "rule", "0.5").job
    assert (by_hand.leaks[leak.id].overrun_from_m, by_hand.leaks[leak.id].overrun_to_m) == (0.5, 0.5)
    heavy = _typed(by_hand, zone, "method", "deep slot + plug + relief").job
    assert repairs(heavy).zones[0].method is Method.DEEP_PLUG_RELIEF
    assert _typed(heavy, zone, "rule", "by the rules").job.leaks == job.leaks
    assert _typed(heavy, zone, "method", "0").job.leaks == by_hand.leaks


def test_a_zone_that_goes_on_through_a_junction_has_no_end_there() -> None:
    """Where a row of a zone stops at a junction there is no overrun to move, and one sentence says so."""
    job, _ = one_line(((0, 0), (9, 0)))
    job, branch = with_line(job, ((4, 3), (4, 0)))
    job, _ = with_leak(job, branch, 2.5, 3.0)
    with pytest.raises(LeakmapError, match="no overrun can be moved"):
        _typed(job, [Where("zone", 1)], "to", "2.90")


def test_several_rows_are_one_step(job: Job) -> None:
    """A wetness typed for two leaks is one deed on both; where one row refuses, none is done."""
    rows = [_leak(job, "L-01"), _leak(job, "L-02")]
    edit = _typed(job, rows, "wetness", "jet")
    assert {leak.wetness for leak in edit.job.leaks.values()} == {Wetness.JET}
    assert edit.words == "set wetness of 2 leaks"
    joints = [_joint(job, "V-01"), _joint(job, "J-01")]
    with pytest.raises(LeakmapError, match="no vertical joint"):
        _typed(job, joints, "length", "4")


def test_the_draft_says_to_whom_and_what_for() -> None:
    """The revision that is being made takes to whom it goes and what it is for, by letter or word."""
    draft = Line(values={"rev": "C01"}, draft=True)
    assert [column for column in ("rev", "date", "whom", "what") if cell_of(draft, column)] == ["whom", "what"]
    begun = begun_as_typed(Begun(purpose=Purpose.WORK), "whom", " the site office ")
    assert begun == Begun(purpose=Purpose.WORK, to_whom="the site office")
    assert begun_as_typed(begun, "what", "p").purpose is Purpose.PRICE
    assert begun_as_typed(begun, "what", "for work") == begun
    with pytest.raises(LeakmapError, match="no purpose"):
        begun_as_typed(begun, "what", "fun")

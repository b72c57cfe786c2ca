"""The plan set of small jobs: points to tape from, details of crowded places, revisions, stopping, nothing to show."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pikepdf
import pytest
import shapely

from leakmap.base.errors import Stopped
from leakmap.base.measures import Units
from leakmap.base.progress import StopAfter
from leakmap.geometry.boxes import holds, widened
from leakmap.geometry.path import Path
from leakmap.issue.heading import provisional_heading
from leakmap.issue.plan_set.frame import revision_rows
from leakmap.issue.plan_set.known_points import known_points
from leakmap.issue.plan_set.plan_set import levels_of, plan_set
from leakmap.issue.plan_set.set_out import ZoneEnd, fair, set_out
from leakmap.issue.plan_set.sheets import laid_out
from leakmap.issue.plan_set.tapes import tape_lines
from leakmap.issue.plan_set.views import Kind
from leakmap.issue.schedule_pdf.lettering import Lettering, use_faces
from leakmap.issue.schedule_pdf.plan_page import plan_page
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.revision import Revision
from leakmap.model.sheet import Sheet, Source
from leakmap.model.words import Face, Purpose, Wetness
from leakmap.model.words import Kind as Joining
from leakmap.repair.setting_out import Surroundings
from leakmap.repair.tapes_to_lines import ToAxes
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from tests.helpers.hand_made import made_id
from tests.helpers.page_texts import page_texts

SHEET = Sheet(id=made_id("B1"), name="B1")
AT = datetime(2026, 11, 25, tzinfo=UTC)


def line(ref: str, *points: tuple[float, float]) -> Joint:
    """A construction joint in the floor."""
    return Joint(
        id=made_id(ref),
        ref=ref,
        sheet=SHEET.id,
        kind=Joining.CONSTRUCTION,
        face=Face.FLOOR,
        path=Path(points),
    )


def room(leaks: int = 1, apart_m: float = 0.1) -> Job:
    """A joint across a floor that another one ends on, with spots close to each other."""
    joints = [line("J-01", (0.0, 5.0), (20.0, 5.0)), line("J-02", (8.0, 5.0), (8.0, 12.0), (14.0, 12.0))]
    marked = [
        Leak(
            id=made_id(f"L-{number}"),
            ref=f"L-{number}",
            joint=joints[0].id,
            from_m=4.0 + apart_m * number,
            to_m=4.0 + apart_m * number,
            wetness=Wetness.DRIP,
        )
        for number in range(leaks)
    ]
    return Job(
        id=made_id("room"),
        name="Room",
        sheets={SHEET.id: SHEET},
        joints={joint.id: joint for joint in joints},
        leaks={leak.id: leak for leak in marked},
    )


def test_points_are_where_joints_meet_and_bend_where_walls_turn_and_where_axes_cross() -> None:
    """J-02 ends on J-01 at (8, 5) exactly and bends at (8, 12); two walls turn at (1, 1); a third that runs on makes none."""
    grid = Grid(letters=axes_with_bays("AB", (6.0,)), numbers=axes_with_bays("12", (4.0,), towards_deg=90))
    walls = np.array([[(1, 1), (3, 1)], [(1, 1), (1, 4)], [(3, 1), (6, 1)], [(15, 8), (15.2, 8.0)]], dtype=np.float64)
    points = known_points(replace(room(), grid=grid), SHEET, walls)
    found = {(round(known.at[0], 9), round(known.at[1], 9)): known for known in points}
    assert found[8.0, 5.0].what == "J-01 meets J-02"
    assert found[8.0, 12.0].what == "bend of J-02"
    assert found[1.0, 1.0].what == "corner on the drawing"
    assert (3.0, 1.0) not in found
    assert found[6.0, 4.0].name == "B/2"


def test_every_end_of_a_zone_is_set_out_and_points_in_use_bear_names() -> None:
    """A dripping spot at 4 m has a zone of 0.40 m each way, so ends at 3.6 and 4.4 m; P numbers run from the upper left."""
    job = room()
    found = set_out(job, repairs(job), {})[SHEET.id]
    assert [round(end.at_m, 3) for end in found.ends] == [3.6, 4.4]
    assert all(end.tapes is not None for end in found.ends)
    names = [found.known[number].name for number in found.used]
    assert names == [f"P{number}" for number in range(1, len(names) + 1)]


def test_an_end_among_walls_is_taped_square_from_two_axes() -> None:
    """Lines all round but for the ways to A and to 1, no point in sight: 4.000 past A and 1.000 past 1 find (4, 1)."""
    grid = Grid(letters=axes_with_bays("AB", (9.0,)), numbers=axes_with_bays("12", (9.0,), towards_deg=90))
    walls = np.array(
        [[(-20, 1.2), (3.9, 1.2)], [(4.1, 1.2), (20, 1.2)], [(-20, 0.8), (3.9, 0.8)], [(4.1, 0.8), (4.1, 20)]]
    )
    joint = replace(line("J-01", (4.0, 0.9), (4.0, 30.0)), kind=Joining.CRACK)
    end = ZoneEnd(zone="Z-01", joint=joint, at_m=0.1, place=(4.0, 1.0), height_m=0.0, why="")
    found = fair(end, None, grid, Surroundings([], walls.astype(np.float64)))
    assert isinstance(found, ToAxes)
    assert (found.axes, found.past_m) == (("A", "1"), pytest.approx((4.0, 1.0)))
    assert np.array(found.feet) == pytest.approx(np.array([(0.0, 1.0), (4.0, 0.0)]))
    through = np.array([[(2.0, -9.0), (2.0, 9.0)]])
    assert fair(end, None, grid, Surroundings([], through)) is None


def test_tapes_lie_over_no_zone() -> None:
    """Of both ends' tapes, which would run along the band or across it, what is drawn stops where the band begins."""
    job = room()
    (level,) = levels_of(job, repairs(job), {}, Lettering())
    (sheet,) = laid_out([level], provisional_heading(job, AT)).sheets.each
    lines = tape_lines(sheet.views[0])
    half = max(0.325, 2.25 * sheet.views[0].scale / 1000) / 2
    band = shapely.LineString(level.zone_lines[0]).buffer(half, cap_style="flat")
    assert len(lines) >= 3
    assert all(shapely.LineString(piece).intersection(band).length < 1e-6 for piece in lines)


def test_a_level_of_which_nothing_is_seen_takes_the_smallest_paper() -> None:
    """A sheet without joints whose drawing is not at hand: A4 in both papers; any joint takes the paper of the rules.

    Before, its bare metre was drawn at the largest scale: 1:2 on A1.
    """
    lost = replace(SHEET, source=Source(name="b1.dxf", sha256="0" * 64))
    job = Job(id=made_id("job"), name="Pit", sheets={lost.id: lost})
    marked = replace(job, joints={made_id("J-01"): line("J-01", (0.0, 0.0), (1.0, 0.0))})
    for each, expected in ((job, {"A4"}), (marked, {"A1"})):
        levels = levels_of(each, repairs(each), {}, Lettering())
        (sheet,) = laid_out(levels, provisional_heading(each, AT)).sheets.each
        assert {sheet.paper.name, plan_page(each, lost, None).layout.sheet} == expected


def test_papers_say_which_english_they_speak() -> None:
    """A job in feet has the words of the US trade, and its papers tell a reading voice so."""
    lost = replace(SHEET, source=Source(name="b1.dxf", sha256="0" * 64))
    metric = Job(id=made_id("job"), name="Pit", sheets={lost.id: lost})
    for units, english in zip(Units.EACH, ("en-GB", "en-US"), strict=True):
        job = set_units(metric, units=units).job
        made = plan_set(job, repairs(job), drawings={}, heading=provisional_heading(job, AT))
        with pikepdf.open(io.BytesIO(made.data)) as pdf:
            assert str(pdf.Root.Lang) == english


@pytest.mark.slow
def test_crowded_leaks_are_named_on_a_detail_that_the_plan_frames() -> None:
    """Twenty-five spots 12 mm apart cannot all be named at 1:50; a detail of a larger scale shows those that were not.

    Labels of the plan keep 1 mm off the four sides of the frame.
    """
    use_faces()
    job = room(25, 0.012)
    levels = levels_of(job, repairs(job), {}, Lettering())
    laid = laid_out(levels, provisional_heading(job, AT))
    sheets = laid.sheets
    plan, *others = sheets.each
    notes, _ = laid.of(plan, plan.views[0])
    x0, y0, x1, y1 = notes.frames[0].box
    sides = {(x0, y0, x1, y0), (x0, y1, x1, y1), (x0, y0, x0, y1), (x1, y0, x1, y1)}
    assert {widened(side, 1.0) for side in sides} <= set(notes.boxes())
    assert plan.kind is Kind.PLAN
    assert [sheet.kind for sheet in others] == [Kind.DETAILS] * len(others)
    shown = others[0].views
    assert all(2 <= plan.views[0].scale / view.scale <= 5 for view in shown)
    assert [detail.letter for detail in sheets.details_in(plan.views[0])] == [
        view.detail.letter for view in shown if view.detail is not None
    ]
    assert any(holds(view.box, box) for view in shown for box in levels[0].leaks.values())


def test_revisions_are_listed_newest_first_with_the_one_being_issued() -> None:
    """P01 was issued; the paper that is not issued stands over it and says what it is not for."""
    first = Revision(
        id=made_id("P01"), number=1, purpose=Purpose.PRICE, to_whom="owner", by="office", at=AT, job_sha256="",
        schedule_sha256="",
    )  # fmt: skip
    job = replace(room(), revisions={first.id: first})
    rows = revision_rows(job, provisional_heading(job, AT))
    assert [row[0] for row in rows] == ["not issued", "P01"]
    assert rows[0][2] == "not for work"
    assert rows[1][2:] == ("for price", "owner", "office")


def test_a_long_recipient_stands_whole_beside_the_title_block() -> None:
    """There is room for whom a revision went to; before, it was cut at 48 mm on every paper."""
    whom = "Messrs A, B, C and Partners, Consulting Engineers and Quantity Surveyors, Head Office"
    heading = replace(provisional_heading(room(), AT), to_whom=whom, by="office")
    empty = replace(room(0), leaks={})
    (page, *_) = page_texts(plan_set(empty, repairs(empty), drawings={}, heading=heading).data)
    assert whom in page.replace("\n", " ")


def test_a_job_without_anything_gives_a_page_that_says_so_and_work_can_be_stopped() -> None:
    """One page without a sheet; a watcher who asks to stop is obeyed at the next report."""
    empty = replace(room(0), joints={})
    data = plan_set(empty, repairs(empty), drawings={}, heading=provisional_heading(empty, AT)).data
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert len(pdf.pages) == 1
    job = room()
    with pytest.raises(Stopped):
        plan_set(
            job, repairs(job), drawings={}, heading=provisional_heading(job, AT), progress=StopAfter(2)
        )  # fmt: skip


def test_tables_of_a_us_office_are_on_letter() -> None:
    """Where the largest sheet is a US one, no page of the set is of the A series: tables are on 8.5 by 11 in."""
    job = replace(room(), rules=replace(room().rules, largest_paper="ARCH D"))
    data = plan_set(job, repairs(job), drawings={}, heading=provisional_heading(job, AT)).data
    with pikepdf.open(io.BytesIO(data)) as pdf:
        sizes = [tuple(round(float(side) / 72, 2) for side in page.mediabox[2:]) for page in pdf.pages]
    assert sizes[-1] == (8.5, 11)
    assert not {(8.27, 11.69), (11.69, 8.27)} & set(sizes)

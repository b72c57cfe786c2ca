"""A new drawing under a level."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.drawing import Drawing, Strokes
from leakmap.model.job import Job
from leakmap.model.sheet import KnownLength, Source, scale_is_checked
from leakmap.model.words import Kind
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import check_list, open_checks
from leakmap.work.edits.bends import shift_joint
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.joints import draw_joint, draw_vertical_joint
from leakmap.work.edits.redrawing import accept_joint, redraw
from leakmap.work.edits.scales import add_known_length
from leakmap.work.edits.sheets import add_sheet, show_layer
from leakmap.work.edits.splits import split_joint
from leakmap.work.ledger_notes import left_behind_section
from leakmap.work.left_behind import joints_left_behind
from tests.helpers.level_plans import MM, NEW, OLD, plan
from tests.helpers.small_jobs import joint_named, rows, with_leak

LATER = Source(name="b2-rev-c.dxf", sha256="2" * 64)


def marked(**facts: object) -> tuple[Job, UUID]:
    """B2 with its plan, a joint and a leak along the wall that moves, one along a wall that stays, one on no wall."""
    edit = add_sheet(Job(id=UUID(int=1), name="Heron Wharf"), name="B2", source=OLD, placement=MM, **facts)
    job, b2 = edit.job, edit.made[0]
    for points in (((12, 1), (12, 20)), ((0, 8.4), (31.2, 8.4)), ((1, 1), (5, 6))):
        job = draw_joint(job, sheet=b2, kind=Kind.CONSTRUCTION, points=points).job
    job, _ = with_leak(job, joint_named(job, "J-01").id, 2.0, 4.5)
    return job, b2


def drawn_anew(job: Job, b2: UUID, wall_x: float = 12500.0, *, source: Source = NEW, before: float = 12000.0) -> Edit:
    """The plan with that wall elsewhere, in the place of the old one; no axes, on which the joint would still lie."""
    old, new = (plan(wall_x=x, grid=False) for x in (before, wall_x))
    return redraw(job, sheet=b2, source=source, drawing=new, placement=MM, before=old)


def refs(job: Job) -> list[str]:
    """The joints that are left behind."""
    return [joint.ref for joint in joints_left_behind(job)]


def test_everything_marked_stays_where_it_is() -> None:
    """Only the sheet's row changes; joints, leaks and the work-out are as before, and what undo says reads well."""
    job, b2 = marked()
    edit = drawn_anew(job, b2)
    assert rows(edit) == {"sheets"}
    assert edit.job.sheets[b2].source == NEW
    assert repairs(edit.job) == repairs(job)
    assert edit.words == "new drawing of B2"


def test_joints_left_behind_are_said_and_listed() -> None:
    """The joint of the wall that moved is left behind; that of a wall that stayed is not, nor the one on no wall."""
    job, b2 = marked()
    edit = drawn_anew(job, b2)
    assert edit.said == ("1 joint lay on a line that is gone: J-01.",)
    words = [check.words for check in open_checks(check_list(edit.job, repairs(edit.job)))]
    assert "J-01 lay on a line that the new drawing of B2 does not have" in words
    section = left_behind_section(edit.job, edit.job.sheets[b2])
    assert section is not None
    assert [note.words for note in section.notes] == ["J-01 lay on a line that is gone"]
    same = drawn_anew(job, b2, 12000.0)
    assert same.said == ("Every joint of B2 that lay on linework still does.",)
    assert left_behind_section(same.job, same.job.sheets[b2]) is None


def test_a_joint_that_is_moved_or_accepted_is_left_behind_no_more() -> None:
    """Moving it onto the wall ends it, accepting it too; half a millimetre is no move; each is one undo of its own."""
    job, b2 = marked()
    job = drawn_anew(job, b2).job
    joint = joint_named(job, "J-01").id
    assert refs(shift_joint(job, joint=joint, across_m=0.0005, up_m=0.0).job) == ["J-01"]
    assert refs(shift_joint(job, joint=joint, across_m=0.5, up_m=0.0).job) == []
    accepted = accept_joint(job, joint=joint)
    assert refs(accepted.job) == []
    assert accepted.words == "leave J-01 where it is"
    with pytest.raises(EditRefused, match="J-01 is not among the joints"):
        accept_joint(accepted.job, joint=joint)


def test_both_parts_of_a_split_joint_are_left_behind() -> None:
    """Splitting moves nothing, so both parts still lie on no line."""
    job, b2 = marked()
    job = drawn_anew(job, b2).job
    split = split_joint(job, joint=joint_named(job, "J-01").id, at_m=8.0).job
    assert len(refs(split)) == 2


def test_what_is_left_behind_goes_along_with_the_drawing() -> None:
    """A known length that makes the new drawing 1 % larger moves joint and note alike."""
    job, b2 = marked()
    job = drawn_anew(job, b2).job
    known = KnownLength(start=(0, 0), end=(31200, 0), length_m=31.512)
    scaled = add_known_length(job, sheet=b2, known=known).job
    assert joint_named(scaled, "J-01").path != joint_named(job, "J-01").path
    assert refs(scaled) == ["J-01"]


def test_a_second_new_drawing_remembers_what_the_first_left_behind() -> None:
    """Left behind by revision B, J-01 is so under C as well, until a drawing has its wall where it was."""
    job, b2 = marked()
    job = drawn_anew(job, b2).job
    again = drawn_anew(job, b2, 12700.0, source=LATER, before=12500.0)
    assert refs(again.job) == ["J-01"]
    back = drawn_anew(job, b2, 12000.0, source=LATER, before=12500.0)
    assert refs(back.job) == []


def test_a_vertical_joint_is_left_behind_where_its_corner_went() -> None:
    """A vertical joint where the wall that moves meets the outer wall stays on the outer wall; one inside does not."""
    job, b2 = marked()
    for at in ((12.0, 0.0), (12.0, 4.0)):
        job = draw_vertical_joint(job, sheet=b2, kind=Kind.CONSTRUCTION, point=at, rise_m=3.0).job
    job = drawn_anew(job, b2).job
    assert refs(job) == ["J-01", "V-02"]
    standing = draw_vertical_joint(job, sheet=b2, kind=Kind.CONSTRUCTION, point=(12.0, 6.0), rise_m=3.0).job
    assert refs(standing) == ["J-01", "V-02"]  # it was drawn later, on the course of J-01, and lost no line
    accepted = accept_joint(job, joint=joint_named(job, "J-01").id).job
    assert refs(accepted) == ["V-02"]  # which stands on the course of J-01 too


def test_known_lengths_go_and_the_scale_is_not_checked() -> None:
    """Both known lengths are named as they go; the new drawing cannot be issued for work until two are given on it."""
    job, b2 = marked()
    for end, length_m in (((31200, 0), 31.2), ((0, 21600), 21.6)):
        job = add_known_length(job, sheet=b2, known=KnownLength(start=(0, 0), end=end, length_m=length_m)).job
    assert scale_is_checked(job.sheets[b2])
    edit = drawn_anew(job, b2)
    assert edit.said[0] == (
        "The known lengths of B2 (31.20 m and 21.60 m) went with its old drawing: give two on the new one, one each"
        " way; until then nothing can be issued for work."
    )
    assert not scale_is_checked(edit.job.sheets[b2])


def test_wishes_for_layers_stay_where_the_layer_is() -> None:
    """The plan's only layer keeps its wish; a wish for a layer that the new file lacks goes, and is said."""
    job, b2 = marked()
    (layer,) = plan().layers
    job = show_layer(job, sheet=b2, layer=layer.name, shown=True).job
    job = show_layer(job, sheet=b2, layer="FURNITURE", shown=False).job
    edit = drawn_anew(job, b2)
    assert edit.job.sheets[b2].shown == ((layer.name, True),)
    assert "b2-rev-b.dxf has no layer FURNITURE, which was shown or hidden by hand." in edit.said


def test_a_drawing_without_lines_says_that_nobody_can_tell() -> None:
    """Under a scan no joint is called left behind, and it is said why."""
    job, b2 = marked()
    picture: Drawing = replace(plan(), strokes=Strokes.none())
    edit = redraw(job, sheet=b2, source=NEW, drawing=picture, placement=MM, before=plan())
    assert refs(edit.job) == []
    assert edit.said == (
        "The new drawing of B2 has no lines, so nobody can tell which joints it left behind: look at each.",
    )


def test_the_drawing_that_is_there_can_only_be_laid_elsewhere() -> None:
    """The same file in the same place is refused; laid 0.3 m aside it keeps its known length, and leaves joints behind."""
    job, b2 = marked()
    known = KnownLength(start=(0, 0), end=(31200, 0), length_m=31.2)
    job = add_known_length(job, sheet=b2, known=known).job
    drawing = plan(wall_x=12000.0, grid=False)
    with pytest.raises(EditRefused, match=r"B2 shows b2\.dxf already, and there"):
        redraw(job, sheet=b2, source=OLD, drawing=drawing, placement=job.sheets[b2].placement, before=drawing)
    aside = replace(MM, at_m=(0.3, 0.3))
    edit = redraw(job, sheet=b2, source=OLD, drawing=drawing, placement=aside, before=drawing)
    assert edit.job.sheets[b2].lengths == (known,)
    assert refs(edit.job) == ["J-01", "J-02"]
    assert edit.words == "lay the drawing of B2"


def test_a_blank_level_takes_a_drawing_without_a_word_of_joints() -> None:
    """Nothing was drawn before, so nothing can be left behind."""
    job, _ = marked()
    blank = add_sheet(job, name="B1")
    edit = redraw(blank.job, sheet=blank.made[0], source=NEW, drawing=plan(), placement=MM, before=None)
    assert edit.said == ()

"""The deed that makes joints of proposed lines: all of them, or none, as one step of undo."""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from uuid import UUID, uuid4

from leakmap.base.progress import at_once
from leakmap.model.job import Job
from leakmap.model.words import Face
from leakmap.work.edits.edit import Edit, deed, refused, together
from leakmap.work.edits.joints import draw_joint
from leakmap.work.proposals import AsJoint, Proposal, words_for


@deed
def take_proposals(
    job: Job, *, sheet: UUID, proposals: Sequence[Proposal], as_joint: AsJoint, new_id: Callable[[], UUID] = uuid4
) -> Edit:
    """Make a joint of each proposal, in their order; the made ids are in the same order.

    Args:
        job: The job.
        sheet: The sheet of the drawing.
        proposals: What is taken, one at least.
        as_joint: What they become.
        new_id: Gives their ids.

    Raises:
        EditRefused: None is given, or one of them cannot be a joint; then none is taken.
    """
    return at_once(taking(job, sheet=sheet, proposals=proposals, as_joint=as_joint, new_id=new_id))


def taking(
    job: Job, *, sheet: UUID, proposals: Sequence[Proposal], as_joint: AsJoint, new_id: Callable[[], UUID] = uuid4
) -> Generator[int, None, Edit]:
    """The same deed in small steps, for whoever has to do other things between them.

    Yields:
        How many joints are made, none of them kept yet.

    Raises:
        EditRefused: As ``take_proposals``.
    """
    if not proposals:
        raise refused("There is nothing to take; choose a layer, or point into an outline.")
    edits: list[Edit] = []
    for proposal in proposals:
        yield len(edits)
        before = edits[-1].job if edits else job
        edits.append(
            draw_joint(
                before,
                sheet=sheet,
                kind=as_joint.kind,
                points=proposal.path.points,
                closed=proposal.path.closed,
                face=as_joint.face,
                height_m=as_joint.height_m if as_joint.face is Face.WALL else 0.0,
                room_side=as_joint.room_side if as_joint.face is Face.CORNER else None,
                new_id=new_id,
            )
        )
    return together(edits, words=words_for(proposals))

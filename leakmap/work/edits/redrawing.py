"""A new drawing under a level: another file takes the old one's place, and what is marked stays where it is.

Joints, leaks, cuts and overruns lie in the site plane and are not touched: the placement says how the new drawing is
fitted under them. Known lengths were measured on the old drawing, so they go with it: a fit lays two drawings on each
other and proves the scale of neither. What is a picture gets one scale each way, as when it is imported. Wishes for
layers stay where the new drawing has such layers. Undo brings the old drawing back with all of this; its file stays
in the job.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final
from uuid import UUID

from leakmap.base.counted import many
from leakmap.base.measures import Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.base.sentences import listed
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.sheet import Sheet, Source
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, refused, sheet_of
from leakmap.work.left_behind import joints_left_behind, noted, without
from leakmap.work.linework import left_behind, wholly_on_linework
from leakmap.work.snap_drawing import drawn_lines

_NAMED: Final = 6
"""Joints and layers that a sentence names; of more it tells how many."""


@deed
def redraw(
    job: Job,
    *,
    sheet: UUID,
    source: Source,
    drawing: Drawing,
    placement: Placement,
    before: Drawing | None,
    progress: Progress = UNWATCHED,
) -> Edit:
    """Put a new drawing under a level; everything that is marked stays where it is in the site plane.

    Args:
        job: The job.
        sheet: The level.
        source: The file of the new drawing.
        drawing: The new drawing as read.
        placement: Where it lies in the site plane.
        before: The drawing that the level shows now; None where it is blank, or cannot be read any more.
        progress: Watches.

    The same file, read in the same way, may be laid anew; then its known lengths stay.

    Raises:
        EditRefused: The level shows that drawing already, and there.
        Stopped: The watcher asked to stop.
    """
    old = sheet_of(job, sheet)
    same = source == old.source
    if same and placement == old.placement:
        raise refused(f"{old.name} shows {source.name} already, and there.", where=old.name)
    there = {layer.name for layer in drawing.layers}
    new = replace(
        old,
        source=source,
        placement=placement,
        lengths=old.lengths if same else (),
        each_way=old.each_way if same else source.pixel is not None,
        shown=tuple((name, shown) for name, shown in old.shown if name in there),
        left_behind=(),
    )
    behind = _behind(job, (old, before), (new, drawing), progress)
    new = replace(new, left_behind=noted(behind or (), placement))
    said = (
        *(() if same else _lengths_words(job.units, old)),
        *_layers_words([name for name, _ in old.shown if name not in there], source),
        *_behind_words(job, new, before, behind),
    )
    words = f"{'lay the' if same else 'new'} drawing of {old.name}"
    return edited(job, Changes(sheets={sheet: new}), words=words, said=said)


@deed
def accept_joint(job: Job, *, joint: UUID) -> Edit:
    """Say that a joint which a new drawing left behind lies where it belongs.

    Raises:
        EditRefused: It was not left behind, or was moved since.
    """
    item = joint_of(job, joint)
    sheet = sheet_of(job, item.sheet)
    if item not in joints_left_behind(job, sheet=item.sheet):
        raise refused(f"{item.ref} is not among the joints that a new drawing left behind.", where=item.ref)
    new = replace(sheet, left_behind=without(sheet, item))
    return edited(job, Changes(sheets={sheet.id: new}), words=f"leave {item.ref} where it is")


def behind_words(joints: Iterable[Joint]) -> str:
    """What is said of joints that were left behind; there is one at least."""
    refs = [joint.ref for joint in joints]
    lines = "a line that is" if len(refs) == 1 else "lines that are"
    return f"{many(len(refs), 'joint')} lay on {lines} gone: {_listed(refs)}."


def _behind(
    job: Job, was: tuple[Sheet, Drawing | None], now: tuple[Sheet, Drawing], progress: Progress
) -> tuple[Joint, ...] | None:
    """Joints that the new drawing leaves behind, or one before did already; None where it has no lines to tell by."""
    (old, before), (new, after) = was, now
    if not len(after.strokes):
        return None
    looking = f"Looking for the joints of {new.name} on the lines"
    progress.report(looking, 0, None)
    joints = tuple(joint for joint in job.joints.values() if joint.sheet == old.id)
    lines = drawn_lines(after, new)
    gone = (
        set()
        if before is None
        else {each.id for each in left_behind(joints, drawn_lines(before, old), lines, progress=progress)}
    )
    still = {joint.id for joint in joints_left_behind(job, sheet=old.id)}
    progress.report(looking, 0, None)
    gone |= still - wholly_on_linework((joint for joint in joints if joint.id in still), lines)
    return tuple(joint for joint in joints if joint.id in gone)


def _lengths_words(units: Units, old: Sheet) -> Iterator[str]:
    if old.lengths:
        lengths = _listed([units.said(known.length_m) for known in old.lengths])
        was = "length" if len(old.lengths) == 1 else "lengths"
        yield (
            f"The known {was} of {old.name} ({lengths}) went with its old drawing: give two on the new one, one each"
            " way; until then nothing can be issued for work."
        )


def _layers_words(gone: list[str], source: Source) -> Iterator[str]:
    if gone:
        layers = f"layer {gone[0]}, which was" if len(gone) == 1 else f"layers {_listed(gone)}, which were"
        yield f"{source.name} has no {layers} shown or hidden by hand."


def _behind_words(job: Job, new: Sheet, before: Drawing | None, behind: tuple[Joint, ...] | None) -> Iterator[str]:
    if not any(joint.sheet == new.id for joint in job.joints.values()):
        return
    if behind:
        yield behind_words(behind)
    elif behind is None:
        yield f"The new drawing of {new.name} has no lines, so nobody can tell which joints it left behind: look at each."
    elif before is not None and len(before.strokes):
        yield f"Every joint of {new.name} that lay on linework still does."


def _listed(words: list[str]) -> str:
    """Words in a row; of many, the first and how many more."""
    if len(words) > _NAMED:
        return f"{', '.join(words[:_NAMED])} and {len(words) - _NAMED} more"
    return listed(words)

"""What the pointer is caught on along the tape: ends, bends and junctions of the joint, else any place of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from uuid import UUID

from leakmap.desk.larger import reach_of
from leakmap.desk.state import Desk
from leakmap.desk.tape.shown import Shown
from leakmap.desk.tools.places import point_of
from leakmap.desk.tools.tool import Pointer
from leakmap.model.joint import Joint
from leakmap.model.printed import printed
from leakmap.work.catch import Catch
from leakmap.work.staffs import Height

SNAP_SHARE: Final = 0.5
"""Of what the plan catches: on a tape all places lie on one line."""


def pointer_at(
    desk: Desk, shown: Shown, place: Height, *, free: bool, shift: bool = False, ctrl: bool = False
) -> Pointer:
    """The hand as tools see it.

    Args:
        desk: The desk.
        shown: What the tape shows.
        place: Where the hand is along its joint.
        free: Whether it is caught on nothing.
        shift: Whether Shift is held.
        ctrl: Whether Ctrl is.
    """
    assert desk.job is not None
    joint = desk.job.joints[place.joint]
    m_per_px = 1 / shown.reel.px_per_m
    raw = point_of(joint, place.at_m, desk.staffs)
    caught = (
        None if free else _nearest(shown, joint, place.at_m, SNAP_SHARE * reach_of(desk.settings).catch_px * m_per_px)
    )
    at_m, words = caught or (place.at_m, f"on {joint.ref}, {printed(desk.job, joint, place.at_m)}")
    at = point_of(joint, at_m, desk.staffs)
    catch = None
    if not free and _is_here(joint, desk.level):
        catch = Catch(at=at, words=words, joint=joint.id, chainage_m=at_m)
    return Pointer(
        at=at, raw=raw, catch=catch, m_per_px=m_per_px, shift=shift, ctrl=ctrl, on=place._replace(at_m=at_m)
    )  # fmt: skip


def _is_here(joint: Joint, level: UUID | None) -> bool:
    return level in {joint.sheet, joint.head_sheet}


def _nearest(shown: Shown, joint: Joint, at_m: float, reach_m: float) -> tuple[float, str] | None:
    near = [(abs(place - at_m), number, place, words) for number, (place, words) in enumerate(_places(shown, joint))]
    off, _, place, words = min(near, default=(reach_m + 1, 0, 0.0, ""))
    return (place, words) if off <= reach_m else None


def _places(shown: Shown, joint: Joint) -> Iterator[tuple[float, str]]:
    first, last = ("foot", "head") if joint.vertical else ("start", "start") if joint.closed else ("end", "end")
    yield 0.0, f"{first} of {joint.ref}"
    yield joint.length_m, f"{last} of {joint.ref}"
    if joint.id != shown.layout.joint.id:
        return
    for branch in shown.layout.branches:
        yield branch.at_m, f"junction with {branch.joint.ref}"
    for bend in shown.layout.bends:
        yield bend, f"bend of {joint.ref}"

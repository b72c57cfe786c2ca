"""Which rows of the key a level needs, and the two signs of setting-out."""

from __future__ import annotations

from typing import Final

from leakmap.issue.marks.plan import meeting_points
from leakmap.issue.plan_set.level import Level
from leakmap.issue.schedule_pdf.ink import INK2
from leakmap.issue.schedule_pdf.key import FROM_MM, TO_MM, WORDS_MM, Sign, kind_words, wetness_row
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.repair.results import Why

CROSS_MM: Final = 1.2
TAPE_DASH_MM: Final = (2.5, 1.2)
TAPE_MM: Final = 0.13
SETTING_OUT_MM: Final = 11.2
"""Height that the rows of setting-out take of a key."""

_PARTS: Final = {
    Why.LEAK: Sign.WET,
    Why.OVERRUN: Sign.OVERRUN,
    Why.MERGED: Sign.MERGED,
    Why.BRIDGE: Sign.BRIDGED,
}


def signs_used(level: Level) -> frozenset[str]:
    """Words of the rows of the key that the sheets of a level need."""
    job = level.job
    joints = [job.joints[joint] for joint in level.joints]
    zones = [zone for zone in level.repairs.zones if zone.ref in level.zones]
    here = [joint for joint in joints if joint.sheet == level.sheet.id]
    found: set[str] = {kind_words(joint.kind) for joint in here if not joint.vertical}
    found |= {wetness_row(job.leaks[leak].wetness) for leak in level.leaks}
    found |= {_PARTS[piece.why] for zone in zones for piece in zone.pieces if piece.why in _PARTS}
    found |= {Sign.PROVISIONAL for zone in zones if zone.provisional}
    found |= {Sign.RELIEF for zone in zones for relief in zone.relief if relief.joint in level.joints}
    found |= {Sign.CUT for cut in job.cuts.values() if cut.joint in level.joints}
    found |= {Sign.BLIND for joint in here if joint.blind}
    for _, ups, downs in meeting_points(job, level.sheet.id):
        found.add(Sign.THROUGH if ups and downs else Sign.RISES if ups else Sign.COMES_UP)
    wet = {job.leaks[leak].joint for leak in level.leaks} | {piece.joint for zone in zones for piece in zone.pieces}
    found |= {Sign.UPRIGHT for joint in here if joint.vertical and joint.id in wet}
    found |= {Sign.START for joint in here if not joint.vertical}
    return frozenset(found)


def draw_cross(pen: PenBox, x: float, y: float) -> None:
    """A point to tape from: a small slanting cross."""
    half = CROSS_MM / 2
    pen.rule(x - half, y - half, x + half, y + half, width=0.25, ink=INK2)
    pen.rule(x - half, y + half, x + half, y - half, width=0.25, ink=INK2)


def draw_setting_out_key(pen: PenBox, left: float, y: float) -> None:
    """Rows of the key for points and tapes, from ``y`` mm downwards."""
    draw_cross(pen, left + 12, y)
    pen.words("point to tape from", left + WORDS_MM, y - 0.9, cap=1.8)
    pen.canvas.saveState()
    pen.canvas.setDash([each * MM for each in TAPE_DASH_MM])
    pen.rule(left + FROM_MM, y - 5.6, left + TO_MM, y - 5.6, width=TAPE_MM, ink=INK2)
    pen.canvas.restoreState()
    pen.words("tape; a long one is broken", left + WORDS_MM, y - 6.5, cap=1.8)

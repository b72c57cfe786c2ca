"""What lies over the tape while the hand works: grips, places that a tool means, the ring and the live field."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.overlay import field_box, paint_field, paint_overlay, paint_ring
from leakmap.desk.state import Desk
from leakmap.desk.tape.shown import Shown
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import colour
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.leak_handles import LeakHandles
from leakmap.desk.tools.tool import LiveField, Overlay, OverlayGrip, Tool
from leakmap.desk.tools.zone_handles import ZoneHandles
from leakmap.geometry.path import Point
from leakmap.model.printed import chainage_m

if TYPE_CHECKING:
    from leakmap.desk.tape.view import TapeView

_BAR_PX: Final = 3.0


def paint_live(painter: QPainter, shown: Shown, view: TapeView) -> None:
    """Grips and what the tool means, wherever the hand is; ring and live field where it is on the tape."""
    desk, at = view.desk, view.hand.on_tape
    tool = desk.tool or tool_at_rest(desk)
    if tool is None or desk.open_job is None:
        return
    overlay, camera = tool.overlay(), _flat(view)
    _paint_meant(painter, shown, overlay)
    grips = tuple(moved for grip in overlay.grips if (moved := _on_tape(shown, grip)) is not None)
    paint_overlay(painter, Overlay(grips=grips), camera, band_half_px=_half(shown))
    caught, room = desk.caught, QRectF(view.rect())
    if at is None or caught is None or caught.on is None:
        return
    taken: QRectF | None = None
    catch, places = caught.catch, shown.pixel_of(caught.on)
    if catch is not None and places is not None and not catch.words.startswith("on ") and _works(view):
        taken = paint_ring(painter, replace(catch, at=_up((places[0], sum(shown.lanes.body) / 2))), camera, room)
    field = field_of(desk, tool, overlay)
    if field is not None:
        field = replace(field, at=_up((at.x(), at.y())))
        paint_field(painter, field, field_box(field, camera, room, (at.x(), at.y()), taken))


def field_of(desk: Desk, tool: Tool, overlay: Overlay) -> LiveField | None:
    """The live field with a chainage before it, where the field itself tells a length alone.

    It is that of the end in hand, which may stop before the hand does, else that of the hand.
    """
    field, job = overlay.field, desk.job
    picked = (grip.on for grip in overlay.grips if grip.picked and grip.on is not None)
    hand = desk.caught.on if desk.caught is not None else None
    on = next(picked, hand) if isinstance(tool, ZoneHandles) else hand
    if field is None or on is None or job is None or on.joint not in job.joints:
        return field
    joint = job.joints[on.joint]
    if not isinstance(tool, LeakHandles | ZoneHandles) or len(field.texts) > 2:
        return field
    place = job.units.shown(chainage_m(job, joint, on.at_m))
    return replace(
        field, texts=(place, *field.texts), units=(job.units.before(f"of {joint.ref}"), *field.units), active=field.active + 1
    )  # fmt: skip


def _works(view: TapeView) -> bool:
    """Whether a place is meant: a tool works along joints, or something is dragged."""
    return view.hand.along is not None or view.hand.working is not None


def _paint_meant(painter: QPainter, shown: Shown, overlay: Overlay) -> None:
    """A live bar across the tape at each place that the tool means."""
    top, bottom = shown.lanes.leak - 10.0, shown.lanes.body[1]
    for place in overlay.on:
        if place.joint == shown.layout.joint.id:
            x = shown.reel.x(place.at_m)
            painter.fillRect(QRectF(x - _BAR_PX / 2, top, _BAR_PX, bottom - top), colour(tokens().focus))


def _on_tape(shown: Shown, grip: OverlayGrip) -> OverlayGrip | None:
    at = shown.pixel_of(grip.on) if grip.on is not None else None
    return None if at is None else replace(grip, at=_up(at), across=(0.0, 1.0), beside=False, seen=True)


def _half(shown: Shown) -> float:
    top, bottom = shown.lanes.zone
    return (bottom - top) / 2 - 2.0


def _flat(view: TapeView) -> Camera:
    """A camera by which the pixels of the tape are the site, y upwards."""
    wide, high = float(view.width()), float(view.height())
    return Camera(px_per_m=1.0, centre=(wide / 2, -high / 2), field=(0.0, 0.0, wide, high))


def _up(at: Point) -> Point:
    return at[0], -at[1]

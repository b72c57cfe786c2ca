"""Says where the hand is that goes by keys, and what it measures, once it rests: who draws so may not see either.

A cross is told with its place, what it is caught on, and the live field; typed figures are told as the field reads. A
mouse is not followed: who holds one sees.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer

from leakmap.desk.thing_words import ref_of
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.tool import Grip, LiveField, Overlay, OverlayGrip, Pointer
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.printed import chainage_m
from leakmap.work.aloud import aloud
from leakmap.work.staffs import Height

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow

_GRIPS: Final = {Grip.END: "end", Grip.BEND: "bend", Grip.JUNCTION: "junction", Grip.RELIEF: "relief point"}
_REST_MS: Final = 350
"""A hand that stays so long is told; a key that is held repeats within it."""


class HandAloud(QObject):
    """Follows the hand of one window.

    Args:
        window: The window.
        say: Says words as soon as the reader pauses.
    """

    def __init__(self, window: MainWindow, say: Callable[[str], object]) -> None:
        super().__init__(window)
        self._window, self._desk, self._say = window, window.desk, say
        self._told = ""
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self.tell)
        self._desk.tool_changed.connect(self._rest.start)
        self._desk.caught_changed.connect(self._follow)

    @property
    def by_cross(self) -> bool:
        """Whether a cross stands on the plan in the pointer's stead."""
        return self._window.plan.hand.arrows.cross is not None

    def words(self) -> str:
        """What the live field says, how long all of it is, and where the cross is; else which end, bend or ring is picked."""
        desk, job = self._desk, self._desk.job
        tool = desk.tool or tool_at_rest(desk)
        if tool is None or job is None:
            return ""
        overlay = tool.overlay()
        measured = (field_words(overlay.field), aloud(tool.so_far())) if overlay.field is not None else ()
        if self.by_cross and desk.tool is not None and desk.caught is not None:
            return ", ".join(filter(None, (*measured, place_words(job, desk.caught), self._meant(overlay))))
        if overlay.field is not None and overlay.field.typed:
            return ", ".join(filter(None, measured))
        return next((f"{grip_words(job, grip)}, picked" for grip in overlay.grips if grip.picked), "")

    def _meant(self, overlay: Overlay) -> str:
        """What the tool means there: a place on a joint, else the thing that is marked where the cross is not caught on it."""
        thing, caught, repairs, job = self._desk.pointed, self._desk.caught, self._desk.repairs, self._desk.job
        if job is not None and overlay.on:
            return along_words(job, overlay.on[-1])
        if thing is None or repairs is None or job is None:
            return ""
        ref = ref_of(job, repairs, thing)
        told = caught is not None and caught.catch is not None and ref in caught.catch.words
        return f"at {ref}" if ref and not told else ""

    def tell(self) -> None:
        """Say where the hand is, if that is another place or measure than was told last."""
        self._rest.stop()
        words = self.words()
        told, self._told = self._told, words
        if words and words != told:
            self._say(words)

    def _follow(self) -> None:
        """Wait until the cross rests."""
        if self.by_cross:
            self._rest.start()


def field_words(field: LiveField) -> str:
    """What a live field says: the part in hand first.

    >>> field_words(LiveField(at=(0.0, 0.0), texts=("6.30", "90"), units=("m", "°"), active=1))
    '90 degrees, 6.30 metres'
    """
    parts = list(zip(field.texts, field.units, strict=True))
    parts = [parts[field.active], *parts[: field.active], *parts[field.active + 1 :]]
    return aloud(", ".join(f"{text} {unit}".strip() for text, unit in parts if text))


def grip_words(job: Job, grip: OverlayGrip) -> str:
    """What can be moved there, and where it is: by its chainage, else in plan."""
    place = along_words(job, grip.on) if grip.on is not None else ""
    return f"{_GRIPS[grip.grip]} {place or f'at {aloud(job.units.place(*grip.at))}'}"


def along_words(job: Job, place: Height) -> str:
    """A place on a joint by its printed chainage; empty where the joint is only in the making."""
    joint = job.joints.get(place.joint)
    if joint is None:
        return ""
    return aloud(f"at {job.units.with_unit(chainage_m(job, joint, place.at_m))} of {joint.ref}")


def place_words(job: Job, pointer: Pointer) -> str:
    """A place as people say it: from the grid where there is one, and what it is caught on."""
    grid = position_words(job.grid, pointer.at, job.units) if job.grid is not None else ""
    caught = pointer.catch.words if pointer.catch is not None else ""
    return aloud(", ".join(filter(None, (grid or job.units.place(*pointer.at), caught))))

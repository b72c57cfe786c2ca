"""A sheet: one drawing of one level to mark on, and how its scale is known."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.base.numbers import finite, positive
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement

AGREE_SHARE: Final = 0.005
"""Known lengths that differ from the placed drawing by more than this disagree (ours)."""

_EACH_WAY_DEG: Final = 45.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The drawing file that a sheet shows; the bytes lie in the job file under the hash.

    Attributes:
        name: File name as imported, without folders.
        sha256: Hash of the file, 64 hex digits.
        unit: Metres per drawing unit that the user gave; None where the reader's hint was taken.
    """

    name: str
    sha256: str
    unit: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLength:
    """A length known on site between two drawing points (absolute drawing units)."""

    start: Point
    end: Point
    length_m: float

    def __post_init__(self) -> None:
        """Refuse a length without extent.

        Raises:
            BadValue: The points are equal or not finite, or the length is not greater than zero.
        """
        positive(self.length_m, "known length")
        for value in (*self.start, *self.end):
            finite(value, "end of a known length")
        if self.start == self.end:
            raise BadValue("The two ends of a known length are the same point; pick two different points.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One level of the structure.

    Attributes:
        name: Level name such as "B2"; unique in the job.
        placement: Where the drawing lies in the site plane.
        source: The drawing; None for a blank sheet, whose metres are true by definition.
        floor_level_m: Level of the slab over the job's datum; None when not known.
        storey_height_m: Floor to soffit, greater than zero.
        lengths: Known lengths that were measured on the drawing, oldest first.
        shown: Layers of the drawing that the user shows although the file hides them, or hides: name to shown.
    """

    id: UUID
    name: str
    placement: Placement = Placement()
    source: Source | None = None
    floor_level_m: float | None = None
    storey_height_m: float = 3.0
    lengths: tuple[KnownLength, ...] = ()
    shown: tuple[tuple[str, bool], ...] = ()

    def __post_init__(self) -> None:
        """Refuse a sheet that no job can hold.

        Raises:
            BadValue: The name is empty, or a level or height is not a usable number.
        """
        if not self.name.strip():
            raise BadValue("A sheet needs a name, such as B2.")
        positive(self.storey_height_m, f"storey height of {self.name}")
        if self.floor_level_m is not None:
            finite(self.floor_level_m, f"floor level of {self.name}")


def placed_length_m(sheet: Sheet, length: KnownLength) -> float:
    """What a known length measures on the placed drawing, in metres."""
    (x0, y0), (x1, y1) = map(sheet.placement.to_site, (length.start, length.end))
    return hypot(x1 - x0, y1 - y0)


def disagreement(sheet: Sheet, length: KnownLength) -> float:
    """Share by which the placed drawing is longer (positive) or shorter than a known length."""
    return placed_length_m(sheet, length) / length.length_m - 1


def scale_is_checked(sheet: Sheet) -> bool:
    """Whether the sheet's metres can be trusted.

    A blank sheet's can. Else two known lengths must lie across each other (45° at least) and every
    known length must agree within 0.5 %.
    """
    if sheet.source is None:
        return True
    turns = [
        degrees(atan2(known.end[1] - known.start[1], known.end[0] - known.start[0])) % 180 for known in sheet.lengths
    ]
    across = any(min(abs(a - b), 180 - abs(a - b)) >= _EACH_WAY_DEG for a in turns for b in turns)
    return across and all(abs(disagreement(sheet, known)) <= AGREE_SHARE for known in sheet.lengths)

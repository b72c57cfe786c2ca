"""A sheet: one drawing of one level to mark on, and how its scale is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.base.numbers import finite, positive
from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement

TAKEN_PAGE_M: Final = 0.1
"""Metres that a millimetre of a page is taken for until something says more: 1:100, as many plans are printed (ours)."""

TAKEN_PIXEL_M: Final = 0.0127
"""The same for a pixel: that of a plan at 1:100 that was scanned with 200 dots per inch (ours)."""

AGREE_SHARE: Final = 0.005
"""Known lengths that differ from the placed drawing by more than this disagree (ours)."""

TWO_WAYS_SHARE: Final = 0.01
"""Scales along x and along y that differ by more than this need a third known length (ours).

Paper and scanners stretch by some thousandths; more is a wrong length as likely as a warped sheet.
"""

_EACH_WAY_DEG: Final = 45.0


Corners = tuple[Point, Point, Point, Point]
"""Corners of a sheet of paper on a photo: upper left, upper right, lower right, lower left as it is to stand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """Which part of a file is read, and how; the same file read in another way is another drawing.

    Attributes:
        page: Page of a PDF or of a TIFF, 0 first.
        crop: Rectangle of the drawing that is kept, absolute drawing units; None for all of it.
        codepage: Name of the encoding of the texts of an old DXF, such as cp1252; empty for what the file says.
        corners: Corners of the sheet on a photo, pixels from its lower left corner; None where it is not laid flat.
    """

    page: int = 0
    crop: Box | None = None
    codepage: str = ""
    corners: Corners | None = None

    def __post_init__(self) -> None:
        """Refuse a page below the first, and a rectangle without extent.

        Raises:
            BadValue: As said, or a number is not finite.
        """
        if self.page < 0:
            raise BadValue("Pages are counted from the first; give a page of the file.")
        for value in (*(self.crop or ()), *(value for corner in self.corners or () for value in corner)):
            finite(value, "edge of the part of a drawing")
        if self.crop is not None and not (self.crop[0] < self.crop[2] and self.crop[1] < self.crop[3]):
            raise BadValue("The part of the drawing has no extent; draw a rectangle round the plan.")


FULL_TURN_DEG: Final = 360.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The drawing file that a sheet shows; the bytes lie in the job file under the hash.

    Attributes:
        name: File name as imported, without folders.
        sha256: Hash of the file, 64 hex digits.
        unit: Metres per drawing unit that the user gave; None where the reader's hint was taken.
        pixel: Drawing units of one pixel, where the drawing is a picture; None where it has lines.
        on_paper: Whether a drawing unit is a millimetre on the paper, as on a page of a PDF.
        reading: Which part of the file is read, and how.
    """

    name: str
    sha256: str
    unit: float | None = None
    pixel: float | None = None
    on_paper: bool = False
    reading: Reading = Reading()

    def __post_init__(self) -> None:
        """Refuse a pixel without extent.

        Raises:
            BadValue: It is not greater than zero.
        """
        if self.pixel is not None:
            positive(self.pixel, "size of a pixel")


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
        each_way: Whether they give the drawing one scale along its x axis and one along its y axis, as paper
            that was scanned or photographed needs.
        shown: Layers of the drawing that the user shows although the file hides them, or hides: name to shown.
        left_behind: Courses of joints that lay on linework of a drawing before and do not on this one, absolute
            drawing units, so that they go with the drawing; a course of one point is that of a vertical joint.
        north_deg: From straight up in the site plane to true north, degrees clockwise, from 0 to below 360; None when
            not known.
    """

    id: UUID
    name: str
    placement: Placement = Placement()
    source: Source | None = None
    floor_level_m: float | None = None
    storey_height_m: float = 3.0
    lengths: tuple[KnownLength, ...] = ()
    each_way: bool = False
    shown: tuple[tuple[str, bool], ...] = ()
    left_behind: tuple[tuple[Point, ...], ...] = ()
    north_deg: float | None = None

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
        if self.north_deg is not None and not 0 <= finite(self.north_deg, f"north of {self.name}") < FULL_TURN_DEG:
            raise BadValue(f"North of {self.name} must lie from 0 to below 360 degrees.")


def placed_length_m(sheet: Sheet, length: KnownLength) -> float:
    """What a known length measures on the placed drawing, in metres."""
    (x0, y0), (x1, y1) = map(sheet.placement.to_site, (length.start, length.end))
    return hypot(x1 - x0, y1 - y0)


def disagreement(sheet: Sheet, length: KnownLength) -> float:
    """Share by which the placed drawing is longer (positive) or shorter than a known length."""
    return placed_length_m(sheet, length) / length.length_m - 1


def residuals_mm(sheet: Sheet) -> tuple[float, ...]:
    """For each known length, by how many millimetres the placed drawing is longer (positive) or shorter."""
    return tuple((placed_length_m(sheet, known) - known.length_m) * 1000 for known in sheet.lengths)


def lie_across(lengths: Sequence[KnownLength]) -> bool:
    """Whether two known lengths lie across each other, 45° at least."""
    turns = [degrees(atan2(known.end[1] - known.start[1], known.end[0] - known.start[0])) % 180 for known in lengths]
    return any(min(abs(a - b), 180 - abs(a - b)) >= _EACH_WAY_DEG for a in turns for b in turns)


def third_length_needed(sheet: Sheet) -> bool:
    """Whether the two scales of a sheet differ so much that two known lengths, one each way, prove nothing."""
    return sheet.each_way and len(sheet.lengths) == 2 and two_ways_share(sheet) > TWO_WAYS_SHARE


def two_ways_share(sheet: Sheet) -> float:
    """Share by which a sheet's scales along x and along y differ, of the one along y."""
    return abs(sheet.placement.x_m_per_unit / sheet.placement.y_m_per_unit - 1)


def can_scale_each_way(sheet: Sheet) -> bool:
    """Whether known lengths of a sheet that disagree may agree once each way has its own scale."""
    return sheet.source is not None and not sheet.each_way and lie_across(sheet.lengths) and not lengths_agree(sheet)


def lengths_agree(sheet: Sheet) -> bool:
    """Whether every known length agrees with the placed drawing."""
    return all(abs(disagreement(sheet, known)) <= AGREE_SHARE for known in sheet.lengths)


def scale_is_checked(sheet: Sheet) -> bool:
    """Whether the sheet's metres can be trusted.

    A blank sheet's can. Else two known lengths must lie across each other (45° at least) and every
    known length must agree within 0.5 %; where they gave two scales that differ by over 1 %, a third
    one must agree too.
    """
    if sheet.source is None:
        return True
    return lie_across(sheet.lengths) and lengths_agree(sheet) and not third_length_needed(sheet)


def unscaled_unit(sheet: Sheet) -> tuple[float, str] | None:
    """What stands in the stead of metres on a sheet of which nothing says how large its drawing is.

    Returns:
        Metres that are taken for one unit meanwhile, and its symbol: a pixel of a scan, or a millimetre of a page. None
        where a unit, a printed scale, a known length or places that lay the drawing say more.

    >>> picture = Source(name="b2.tif", sha256="0" * 64, pixel=1.0)
    >>> for taken in (TAKEN_PIXEL_M, 0.014):
    ...     placement = Placement(x_m_per_unit=taken, y_m_per_unit=taken)
    ...     unscaled_unit(Sheet(id=UUID(int=1), name="B2", placement=placement, source=picture))
    (0.0127, 'px')
    """
    source, scale = sheet.source, sheet.placement.x_m_per_unit
    if source is None or source.unit is not None or sheet.lengths:
        return None
    if source.on_paper:
        return (scale, "mm") if scale in {TAKEN_PAGE_M, 1.0} else None
    known = source.pixel is None or scale not in {TAKEN_PIXEL_M, 1.0}
    return None if known or source.pixel is None else (scale * source.pixel, "px")


def pixel_m(sheet: Sheet) -> float | None:
    """Metres of one pixel of a scan, along its coarser way; None where the drawing is no picture."""
    if sheet.source is None or sheet.source.pixel is None:
        return None
    return sheet.source.pixel * max(sheet.placement.x_m_per_unit, sheet.placement.y_m_per_unit)


def length_error_m(sheet: Sheet, length_m: float) -> float | None:
    """By how much a length read off a scan can be out; None where the drawing is no picture or its lengths disagree.

    Both ends of what is read, and both ends of the known length that its scale stands on, are picked
    within half a pixel: e = p · (1 + l / k) with the pixel p, the length l and the longest known
    length k (ours). Without a known length there is no saying, nor where one of them is wrong.

    >>> picture = Source(name="b2.tif", sha256="0" * 64, pixel=1.0)
    >>> known = KnownLength(start=(0, 0), end=(5000, 0), length_m=20.0)
    >>> scan = Sheet(id=UUID(int=1), name="B2", placement=Placement(x_m_per_unit=0.004, y_m_per_unit=0.004),
    ...              source=picture, lengths=(known,))
    >>> round(length_error_m(scan, 10.0), 6)
    0.006
    """
    pixel = pixel_m(sheet)
    if pixel is None or not sheet.lengths or not lengths_agree(sheet):
        return None
    return pixel * (1 + length_m / max(known.length_m for known in sheet.lengths))

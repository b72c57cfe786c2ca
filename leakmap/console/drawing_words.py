"""A drawing file, read as the words of a command say."""

from __future__ import annotations

import sys
from argparse import ArgumentTypeError, Namespace
from collections.abc import Callable
from getpass import getpass
from pathlib import Path
from typing import Any, Final, TypeVar, cast

from leakmap.base.errors import BadValue, LockedDrawing
from leakmap.base.progress import Progress
from leakmap.base.units import UNITS, unit_of_symbol
from leakmap.console.parser import Parser, a_number, a_point
from leakmap.drawings.kinds import DXF_KINDS, FileKind, kind_of
from leakmap.drawings.pdf.printed_scale import m_per_unit, typed_scale
from leakmap.geometry.path import Box
from leakmap.model.sheet import Corners, Reading
from leakmap.work.job_drawings import NewDrawing, brought_in

PAGED: Final = frozenset({FileKind.PDF, FileKind.PICTURE})
"""Kinds of files that may have several pages."""

Read = TypeVar("Read")


def take_words(found: Parser) -> None:
    """Let a command line take the words on how a drawing is read."""
    found.add_argument("--page", type=_page, metavar="N", help="page of a PDF or TIFF, 1 first (else the first)")
    found.add_argument("--scale", type=_scale, metavar="1:N", help="scale that a PDF page was drawn at, such as 1:50")
    found.add_argument("--unit", type=_unit, metavar="UNIT", help="one drawing unit is a mm, cm, m, in, ft ...")
    found.add_argument(
        "--crop", type=_box, metavar="X0,Y0,X1,Y1", help="two opposite corners round the plan, in drawing units"
    )
    found.add_argument(
        "--corners",
        nargs=4,
        type=a_point,
        metavar="X,Y",
        help="corners of the sheet on a photo, which lay it flat: upper left, upper right, lower right, lower left;"
        " pixels from the lower left of the photo",
    )
    found.add_argument("--codepage", type=_codepage, metavar="NAME", help="code page of an old DXF, such as cp1252")


def drawing_asked(words: Namespace, progress: Progress) -> NewDrawing:
    """The drawing that a command names, read as it says; where it is locked, a terminal is asked for the password.

    Raises:
        BadValue: The words do not go with the kind of the file.
        UnusableDrawing: Nothing of it could be used.
        Stopped: The watcher asked to stop.
    """
    path = Path(words.drawing)
    content = path.read_bytes()
    how: dict[str, Any] = {
        "m_per_unit": unit_asked(words),
        "reading": reading_asked(words, kind_of(content)),
        "progress": progress,
    }
    return unlocked(path.name, lambda password: brought_in(path.name, content, password=password, **how))


def unlocked(name: str, read: Callable[[str | None], Read]) -> Read:
    """What is read of a file; where it is locked, a terminal is asked for its password, once.

    Args:
        name: Name of the file.
        read: Reads it; is given the password, None for none.

    Raises:
        LockedDrawing: It opens with a password only and nobody can be asked, or with another one.
    """
    try:
        return read(None)
    except LockedDrawing:
        if not sys.stdin.isatty():
            raise
    return read(getpass(f"Password of {name}: "))


def reading_asked(words: Namespace, kind: FileKind) -> Reading:
    """How a file of a kind is to be read.

    Raises:
        BadValue: The words do not go with the kind, or the rectangle has no extent.
    """
    if words.scale is not None and (kind is not FileKind.PDF or words.unit is not None):
        raise BadValue("--scale says how a page of a PDF was drawn; give --unit for other drawings, and never both.")
    if words.page is not None and kind not in PAGED:
        raise BadValue("--page says which page of a PDF or TIFF is meant; this drawing has no pages.")
    if words.codepage is not None and kind not in DXF_KINDS:
        raise BadValue("--codepage says how the letters of a DXF are kept; this drawing is none.")
    if words.corners is not None and kind is not FileKind.PICTURE:
        raise BadValue("--corners lay the photo of a sheet flat; this drawing is no picture.")
    corners = None if words.corners is None else cast("Corners", tuple(words.corners))
    return Reading(page=(words.page or 1) - 1, crop=words.crop, codepage=words.codepage or "", corners=corners)


def unit_asked(words: Namespace) -> float | None:
    """Metres of one drawing unit, by the unit or the scale that was given; None for neither."""
    return words.unit if words.scale is None else m_per_unit(words.scale)


def _unit(text: str) -> float:
    unit = unit_of_symbol(text)
    if unit is None:
        symbols = ", ".join(unit.symbol for unit in UNITS)
        raise ArgumentTypeError(f'there is no unit "{text}"; the units are {symbols}')
    return float(unit.metres)


def _page(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise ArgumentTypeError(f'"{text}" is no page; pages are counted from 1')
    return int(text)


def _scale(text: str) -> float:
    try:
        return typed_scale(text)
    except BadValue as problem:
        raise ArgumentTypeError(problem.message) from problem


def _box(text: str) -> Box:
    parts = text.split(",")
    if len(parts) != 4:  # two corners
        raise ArgumentTypeError(
            f'"{text}" is no rectangle; write x,y of two opposite corners with decimal points, such as 0,0,31200,21600'
        )
    x0, y0, x1, y1 = map(a_number, parts)
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _codepage(text: str) -> str:
    from leakmap.drawings.dxf.codepages import codepage_of  # noqa: PLC0415 - seldom needed

    try:
        return codepage_of(text)
    except BadValue as problem:
        raise ArgumentTypeError(problem.message.removesuffix(".")) from problem

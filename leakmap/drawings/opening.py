"""Opening a drawing of any kind; the kind is decided by the content, not by the ending of the name."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.cropped import cropped
from leakmap.drawings.kinds import DXF_KINDS, FileKind, kind_of
from leakmap.drawings.side_by_side import plans_finding, plans_side_by_side
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Reading

READERS: Final = "dxf 7, dwg 1, pdf 2, scan 1"
"""Names and versions of all readers; a test holds them equal to what each says of itself."""

AS_IT_IS: Final = Reading()
"""The first page of a file, and all of it."""

APART: Final = frozenset({FileKind.PDF, FileKind.PICTURE, FileKind.DWG})
"""Kinds whose library may break the process that reads them, so that they are read in one of their own."""

LARGE: Final = 5_000_000
"""Bytes beyond which a DXF is read in a process of its own, where starting one is small beside the reading (ours)."""


def read_drawing(
    name: str,
    data: bytes,
    *,
    m_per_unit: float | None = None,
    reading: Reading = AS_IT_IS,
    password: str | None = None,
    progress: Progress = UNWATCHED,
) -> Drawing:
    """The drawing in a file, with findings on what was fixed, lost, or should be looked at.

    What may break this process or take more than ``leakmap.drawings.limits`` allows is read in another: kinds in
    ``APART``, and a DXF of more than ``LARGE`` bytes. A smaller DXF is read here; its reader keeps to bounds of its own,
    which a hostile file may still make take long. Who must go on whatever the file holds, as the window must, starts
    ``leakmap.drawings.worker``.

    Args:
        name: Name of the file, for messages.
        data: Its content.
        m_per_unit: Metres of one drawing unit, when the user knows it; greater than zero.
        reading: Which part of the file is read, and how.
        password: What opens the file; None for none. It is kept nowhere.
        progress: Watches.

    Raises:
        BadValue: The unit, or what the reading asks for, cannot be.
        UnusableDrawing: Nothing of it could be used, or its kind is not read; one sentence says why.
        Stopped: The watcher asked to stop.
    """
    kind = kind_of(data)
    if kind in APART or (kind in DXF_KINDS and len(data) > LARGE):
        from leakmap.drawings.apart import read_apart  # noqa: PLC0415 - seldom needed

        return read_apart(name, data, m_per_unit=m_per_unit, reading=reading, password=password, progress=progress)
    return read_here(name, data, m_per_unit=m_per_unit, reading=reading, password=password, progress=progress)


def read_here(
    name: str,
    data: bytes,
    *,
    m_per_unit: float | None = None,
    reading: Reading = AS_IT_IS,
    password: str | None = None,
    progress: Progress = UNWATCHED,
) -> Drawing:
    """The same in this process, which a file of a kind in ``APART`` may break and a hostile DXF may fill.

    Args and what is raised are those of ``read_drawing``.
    """
    drawing = _read(name, data, m_per_unit=m_per_unit, reading=reading, password=password, progress=progress)
    if reading.crop is not None:
        return cropped(drawing, reading.crop, name=name)
    plans = plans_side_by_side(drawing)
    return replace(drawing, findings=(*drawing.findings, plans_finding(plans))) if plans else drawing


def _read(
    name: str, data: bytes, *, m_per_unit: float | None, reading: Reading, password: str | None, progress: Progress
) -> Drawing:
    """All of a page; each reader is loaded when it is needed, as each brings large libraries."""
    match kind_of(data):
        case FileKind.PDF:
            from leakmap.drawings.pdf.read import read_pdf  # noqa: PLC0415

            return read_pdf(
                data, page=reading.page, password=password, m_per_unit=m_per_unit, name=name, progress=progress
            )
        case FileKind.PICTURE:
            from leakmap.drawings.scan.read import read_scan  # noqa: PLC0415

            return read_scan(data, name=name, page=reading.page, corners=reading.corners, progress=progress)
        case FileKind.DWG:
            from leakmap.drawings.dwg.read import read_dwg  # noqa: PLC0415

            return read_dwg(data, m_per_unit=m_per_unit, name=name, progress=progress)
        case _:
            from leakmap.drawings.dxf.read import read_dxf  # noqa: PLC0415

            return read_dxf(data, m_per_unit=m_per_unit, codepage=reading.codepage, name=name, progress=progress)

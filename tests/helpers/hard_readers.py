"""Readers that damaged files are tried on, and some that end badly on purpose.

Libraries that readers import when they first need them are imported here, once for all the tries.
"""

from __future__ import annotations

import os

import ezdwg  # noqa: F401
import numpy.ma  # noqa: F401

from leakmap.drawings.dwg.read import read_dwg
from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.pdf.pages import pages, thumbnail
from leakmap.drawings.pdf.read import read_pdf
from leakmap.drawings.scan.read import read_scan
from leakmap.drawings.side_by_side import plans_side_by_side
from leakmap.model.drawing import Drawing

PASSWORD = "weir"  # noqa: S105 - not a secret


def read_page(data: bytes) -> Drawing:
    """A page of a PDF, after the list of pages and the small picture that a user chooses by."""
    pages(data, password=PASSWORD)
    thumbnail(data, page=0, password=PASSWORD)
    return read_pdf(data, password=PASSWORD, name="b2.pdf")


def read_plan(data: bytes) -> Drawing:
    """A DXF, with a look whether several plans stand in it."""
    drawing = read_dxf(data, name="b2.dxf")
    plans_side_by_side(drawing)
    return drawing


def read_picture(data: bytes) -> Drawing:
    """A scan or photo."""
    return read_scan(data, name="b2.png")


def read_dwg_plan(data: bytes) -> Drawing:
    """A DWG, by way of DXF."""
    return read_dwg(data, name="b2.dwg")


def crash(data: bytes) -> Drawing:  # noqa: ARG001 - what readers take
    """Break the process."""
    os.abort()


def gorge(data: bytes) -> Drawing:
    """Take more memory than there is."""
    return read_pdf(data + bytearray(3 << 30))


def stumble(data: bytes) -> Drawing:
    """Raise what is no sentence."""
    raise KeyError(data)

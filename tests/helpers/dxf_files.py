"""Small DXF files made in memory, and what was read of them in absolute drawing units."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.layouts.layout import Modelspace
from ezdxf.lldxf.const import acad_release_to_dxf_version

from leakmap.base.findings import Finding
from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing, FloatArray, Layer, Strokes, UnitHint

Build = Callable[[Modelspace], Any]


def document(build: Build | None = None, *, version: str = "R2018", unit: int = 6) -> Document:
    """A document with what ``build`` draws; its unit is metre unless another code is given."""
    made = Document.new(acad_release_to_dxf_version[version])
    if version != "R12":  # which knows no units
        made.units = unit
    if build is not None:
        build(made.modelspace())
    return made


def as_bytes(made: Document, *, binary: bool = False) -> bytes:
    """The file of a document."""
    if binary:
        stream = io.BytesIO()
        made.write(stream, fmt="bin")
        return stream.getvalue()
    text = io.StringIO()
    made.write(text)
    return text.getvalue().encode(made.output_encoding, errors="surrogateescape")


def read(build: Build, *, version: str = "R2018", unit: int = 6) -> Drawing:
    """What is read of a file that holds what ``build`` draws."""
    return read_dxf(as_bytes(document(build, version=version, unit=unit)))


def reread(made: Document) -> Drawing:
    """What is read of a document's file."""
    return read_dxf(as_bytes(made))


def absolute(drawing: Drawing, index: int = 0) -> FloatArray:
    """Points of one polyline in absolute drawing units."""
    points: FloatArray = drawing.strokes.polyline(index) + np.array(drawing.origin)
    return points


def all_points(drawing: Drawing) -> list[list[tuple[float, float]]]:
    """All polylines in absolute drawing units."""
    return [list(map(tuple, absolute(drawing, index).tolist())) for index in range(len(drawing.strokes))]


def seen(drawing: Drawing) -> tuple[float, ...] | None:
    """The box of what is shown, in absolute drawing units."""
    return None if drawing.shown is None else tuple(np.add(drawing.shown, (*drawing.origin, *drawing.origin)).tolist())


def layer_names(drawing: Drawing) -> list[str]:
    """Layer of each polyline."""
    return [drawing.layers[index].name for index in drawing.strokes.layer.tolist()]


def finding(drawing: Drawing, code: str) -> Finding:
    """The one finding of a code."""
    (found,) = [found for found in drawing.findings if found.code == code]
    return found


def codes(drawing: Drawing) -> list[str]:
    """Codes of all findings."""
    return [found.code for found in drawing.findings]


def drawn(lines: Iterable[Sequence[tuple[float, float]]], *, layer: str = "JOINTS") -> Drawing:
    """A drawing of polylines on one layer, made without a file."""
    each = [np.array(line, dtype=np.float64).reshape(-1, 2) for line in lines]
    starts = np.concatenate(([0], np.cumsum([len(line) for line in each]))).astype(np.int32)
    strokes = Strokes(np.vstack(each), starts, np.zeros(len(each), dtype=np.int32))
    return Drawing((0.0, 0.0), (Layer(layer),), strokes, (), UnitHint(1.0, "made"), None)

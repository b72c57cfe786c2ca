"""A DXF file as a drawing: strokes, texts, layers, a hint at the unit, and findings.

What is read: the model space; when it is empty, the paper layout with most on it. Three dimensions
are seen from above. Curves are chords within 1 mm on the concrete; where the unit is not known or
cannot be, within the drawing's size through 50,000 (1 mm on 50 m). Coordinates are kept relative to
a local origin when the drawing lies far from zero, as survey coordinates do. Lines without ends are drawn as far
as all else reaches, and a little farther.
"""

from __future__ import annotations

from codecs import BOM_UTF8
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from ezdxf.document import Drawing as Document

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.base.numbers import positive
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.dxf.blocks import Reading
from leakmap.drawings.dxf.codepages import by_numbers, renamed
from leakmap.drawings.dxf.cut import cut_of
from leakmap.drawings.dxf.entities import draw_entities
from leakmap.drawings.dxf.fast_load import Bulk, loaded_thin
from leakmap.drawings.dxf.flat import Plan, plan_of
from leakmap.drawings.dxf.ink import Pen
from leakmap.drawings.dxf.layers import LayerNumbers
from leakmap.drawings.dxf.load import loaded, no_collecting, placed_in_file
from leakmap.drawings.dxf.rough import rough_size
from leakmap.drawings.dxf.texts import Wording
from leakmap.drawings.dxf.troubles import TROUBLE, Troubles, words_of
from leakmap.drawings.dxf.units import curve_tolerance, header_unit, metric_of, note_doubts, unit_hint
from leakmap.drawings.kinds import DXF_KINDS, FileKind, kind_of, refusal
from leakmap.drawings.unit_guess import unit_findings
from leakmap.model.drawing import Drawing, Layer

READER_VERSION: Final = 7
"""Grows whenever the same file may give another drawing, so that kept drawings are read again."""

_UTF8_SINCE: Final = "AC1021"
_EMPTYING: Final = frozenset(
    {
        "not-drawn",
        "entity-failed",
        "block-missing",
        "external-reference",
        "outside-file",
        "bad-coordinate",
        "endless-line",
    }
)
_COARSER: Final = "Curves drawn coarser, as with finer ones the drawing would grow too large to be shown: {n}."
_NO_CONTENT: Final = frozenset({"VIEWPORT"})


def read_dxf(
    source: Path | bytes,
    *,
    m_per_unit: float | None = None,
    codepage: str = "",
    name: str = "",
    fast: bool = True,
    progress: Progress = UNWATCHED,
) -> Drawing:
    """The drawing that a DXF file holds; its findings say what was fixed, lost, or should be looked at.

    Args:
        source: The file or its content.
        m_per_unit: Metres of one drawing unit, when the user knows it; greater than zero.
        codepage: One of ``codepages.CODEPAGES``, when the user knows it; empty for what the file says.
        name: Name for messages; the file's own when it is not given.
        fast: Whether plain records may be drawn in bulk; the drawing is the same without, only later.
        progress: Watches.

    Raises:
        BadValue: The unit is not greater than zero.
        UnusableDrawing: Nothing of it could be used; one sentence says why.
        Stopped: The watcher asked to stop.
    """
    name = name or (source.name if isinstance(source, Path) else "")
    data = (source if isinstance(source, bytes) else _content(source)).removeprefix(BOM_UTF8)
    kind = kind_of(data)
    if kind not in DXF_KINDS:
        raise refusal(name, kind)
    if m_per_unit is not None:
        positive(m_per_unit, "length of a drawing unit")
    troubles = Troubles()
    cut = cut_of(data) if kind is FileKind.DXF_TEXT else None
    if cut is not None:
        cut.note(troubles)
        data = cut.whole
    data = by_numbers(data, codepage, troubles) if kind is FileKind.DXF_TEXT else renamed(data, codepage)
    with no_collecting():
        thin = fast and kind is FileKind.DXF_TEXT and loaded_thin(data, name, troubles=troubles, progress=progress)
        document, bulk, troubles = thin or (
            loaded(data, kind, name, troubles=troubles, progress=progress),
            Bulk(),
            troubles,
        )
        return _drawing(document, bulk, data, name=name, m_per_unit=m_per_unit, before=troubles, progress=progress)


def _content(path: Path) -> bytes:
    if path.is_dir():
        raise UnusableDrawing(f"{path.name} is a folder; name the drawing file inside it.", where=path.name)
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        text = f"{path.name} could not be opened ({reason}); check its name and who may read it."
        raise UnusableDrawing(text, where=path.name) from error


def _drawing(
    document: Document,
    bulk: Bulk,
    data: bytes,
    *,
    name: str,
    m_per_unit: float | None,
    before: Troubles,
    progress: Progress,
) -> Drawing:
    layout, paper = _layout(document, before)
    named, metric = header_unit(document, data), metric_of(document, data)
    hint = unit_hint(named, m_per_unit, metric=metric, paper=paper)
    given = m_per_unit is not None
    tolerance = curve_tolerance(hint, rough_size(layout, bulk.places_of(layout)), given=given)
    plan, layers, troubles = _read(document, bulk, layout, tolerance, progress)
    needed = curve_tolerance(hint, plan.size, given=given)
    if needed < tolerance:  # the size that came out asks for finer curves
        plan, layers, troubles = _read(document, bulk, layout, needed, progress)
    if not len(plan.strokes) and not plan.texts:
        raise _empty(name, before, troubles)
    note_doubts(hint, named, metric=metric, given=given, box=plan.shown, troubles=troubles)
    findings = tuple(placed_in_file(finding, document) for finding in (*before.findings(), *troubles.findings()))
    drawing = Drawing(plan.origin, layers, plan.strokes, plan.texts, hint, plan.shown, findings)
    return drawing if paper else replace(drawing, findings=(*findings, *unit_findings(drawing)))


def _read(
    document: Document, bulk: Bulk, layout: list[Any], tolerance: float, progress: Progress
) -> tuple[Plan, tuple[Layer, ...], Troubles]:
    """Everything that a layout draws, with curves at least this fine."""
    troubles = Troubles()
    encoding = (
        "utf-8" if document.loaded_dxfversion and document.loaded_dxfversion >= _UTF8_SINCE else document.encoding
    )
    wording = Wording(encoding, troubles)
    layers = LayerNumbers(document, wording, troubles)
    reading = Reading(
        document, layers=layers, wording=wording, troubles=troubles, progress=progress, draw=draw_entities, bulk=bulk
    )
    pen = Pen(tolerance, reading.chords)
    with np.errstate(all="ignore"):  # what is not a number is found and left out when the lines are laid flat
        draw_entities(layout, pen, reading)
        ink = pen.ink()
        troubles.note("curves-coarser", _COARSER, effect=Effect.LOOK, count=reading.chords.coarser)
        return plan_of(ink, layers.layers, troubles, progress), layers.layers, troubles


def _layout(document: Document, troubles: Troubles) -> tuple[list[Any], bool]:
    """What to read, and whether it is a paper layout."""
    model = _model_space(document, troubles)
    if model:
        return model, False
    filled = []
    for layout in document.layouts:
        try:
            content = [entity for entity in layout if entity.dxftype() not in _NO_CONTENT]
            filled.append((len(content), layout.name, content))
        except TROUBLE as trouble:  # a layout that the audit removed
            troubles.failed("LAYOUT", "", trouble)
    most, name, content = max(filled, default=(0, "", []), key=lambda found: found[0])
    if not most:
        return model, False
    text = f"The model space is empty; the paper layout {words_of(name)} was read, which has the scale of the paper."
    troubles.note("paper-layout", text, effect=Effect.LOOK)
    return content, True


def _model_space(document: Document, troubles: Troubles) -> list[Any]:
    """What lies in the model space, also where the list of layouts has lost it."""
    try:
        return list(document.modelspace())
    except TROUBLE as trouble:
        troubles.failed("LAYOUT", "", trouble)
        return list(document.blocks.get("*Model_Space") or ())


def _empty(name: str, *troubles: Troubles) -> UnusableDrawing:
    """The one sentence for a drawing with nothing in it that can be drawn."""
    cut = next((found for one in troubles for found in one.findings() if found.code == "file-cut"), None)
    if cut is not None:
        text = f"{name or 'The drawing'} stops {cut.where}, before any line of the plan; export it again as DXF."
        return UnusableDrawing(text, where=name)
    reasons = [found.text for one in troubles for found in one.findings() if found.code in _EMPTYING]
    because = f": {reasons[0].rstrip('.')}" if reasons else ""
    text = f"{name or 'The drawing'} holds no lines that can be drawn{because}; export the plan again as DXF."
    return UnusableDrawing(text, where=name)

"""``leakmap pages``: what a file holds to choose from, pages or plans side by side."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.json_text import Json, json_text
from leakmap.console.bar import Bar
from leakmap.console.drawing_words import PAGED, unlocked
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import columns
from leakmap.drawings.kinds import kind_of
from leakmap.drawings.opening import read_drawing
from leakmap.drawings.page_list import ListedPage, listed
from leakmap.drawings.pdf.frame import page_words
from leakmap.drawings.side_by_side import PlanInDrawing, plans_side_by_side
from leakmap.geometry.path import Box
from leakmap.model.drawing import Drawing

_EXAMPLE: Final = """\
  leakmap pages pit.pdf
  leakmap pages pit-all.dxf
  leakmap pages pit.pdf --json > pages.json   everything, for another program

Of a PDF or TIFF every page is listed: its number, what the file calls it, its size on paper, by how much the file
turns it, and what lies on it; of a DXF or DWG the plans that lie side by side, with the rectangle round each in drawing
units. "leakmap new" and "leakmap redraw" take one by --page or --crop. Nothing is written.

The JSON holds schema (1), file, pages (page, label, width_mm, height_mm, width_px, height_px, turned_deg, lines,
texts, pictures, whole) and plans (plan, name, crop); null stands for what the file does not say.
Lines, texts and pictures of a page are estimated from above; where whole is false there are more."""

_PAGE_HEADING: Final = ("page", "label", "size", "turned", "what lies on it")
_PLAN_HEADING: Final = ("plan", "name", "rectangle", "size")
_NUMBER: Final = frozenset({0})


def parser() -> Parser:
    """Its command line."""
    found = Parser(
        "pages", "List the pages of a PDF, or the plans that lie side by side in a drawing.", example=_EXAMPLE
    )
    found.add_argument("file", metavar="FILE", help="a PDF, TIFF or other scan, DXF or DWG")
    found.add_argument("--json", action="store_true", help="as JSON, for programs")
    return found


def run(words: Namespace) -> Outcome:
    """Look through the file and print what it holds."""
    path = Path(words.file)
    content = path.read_bytes()
    with Bar() as bar:
        if kind_of(content) in PAGED:
            pages = unlocked(path.name, lambda password: listed(path.name, content, password=password, progress=bar))
            plans: tuple[PlanInDrawing, ...] = ()
            lines = _page_lines(path.name, pages)
        else:
            drawing = read_drawing(path.name, content, progress=bar)
            pages, plans = (), plans_side_by_side(drawing)
            lines = _plan_lines(path.name, drawing, plans)
    print(_json(path.name, pages, plans) if words.json else "\n".join(lines))
    return Outcome.DONE


def _page_lines(name: str, pages: Sequence[ListedPage]) -> Iterator[str]:
    yield f"{name}: {many(len(pages), 'page')}."
    rows = [
        (str(page.page), page.label, _size_words(page), f"{page.turned_deg}°" if page.turned_deg else "", _on(page))
        for page in pages
    ]
    yield from (f"  {line}" for line in columns([_PAGE_HEADING, *rows], _NUMBER))
    if len(pages) > 1:
        yield "Take one with --page, such as: --page 2"


def _size_words(page: ListedPage) -> str:
    """How large a page is on paper, as far as the file says it; pixels of a scan besides."""
    mm = "" if page.width_mm is None or page.height_mm is None else page_words((page.width_mm, page.height_mm))
    if page.width_px is None:
        return mm or "not known"
    pixels = f"{page.width_px:,} x {page.height_px:,} pixels"
    return f"{pixels}, {mm}" if mm else pixels


def _on(page: ListedPage) -> str:
    """What lies on a page, and how many of each."""
    counts = ((page.lines, "line"), (page.texts, "text"), (page.pictures, "picture"))
    words = ", ".join(many(count, what) for count, what in counts if count)
    if page.whole:
        return words or "nothing"
    return f"{words or 'much'} and more"


def _plan_lines(name: str, drawing: Drawing, plans: Sequence[PlanInDrawing]) -> Iterator[str]:
    counts = f"{many(len(drawing.strokes), 'line')}, {many(len(drawing.texts), 'text')}"
    if not plans:
        yield f"{name}: {counts}. It holds no plans side by side; all of it is one sheet."
        return
    yield f"{name}: {counts}. {len(plans)} plans lie side by side."
    rows = [
        (str(number), plan.name, _corners(plan.box), _extent(plan.box)) for number, plan in enumerate(plans, start=1)
    ]
    yield from (f"  {line}" for line in columns([_PLAN_HEADING, *rows], _NUMBER))
    unit = drawing.unit
    yield f"Sizes are in drawing units; {'' if unit.m_per_unit is None else f'one may be {unit.m_per_unit:g} m: '}{unit.reason}"
    yield f"Take one with --crop, such as: --crop {_corners(plans[0].box)}"


def _corners(box: Box) -> str:
    return ",".join(f"{value:.12g}" for value in box)


def _extent(box: Box) -> str:
    return f"{box[2] - box[0]:.6g} x {box[3] - box[1]:.6g}"


def _json(name: str, pages: Sequence[ListedPage], plans: Sequence[PlanInDrawing]) -> str:
    listed_plans: list[Json] = [
        {"plan": number, "name": plan.name, "crop": list(plan.box)} for number, plan in enumerate(plans, start=1)
    ]
    return json_text({"schema": 1, "file": name, "pages": list(map(_page_json, pages)), "plans": listed_plans})


def _page_json(page: ListedPage) -> Mapping[str, Json]:
    return {
        "page": page.page,
        "label": page.label,
        "width_mm": _tenth(page.width_mm),
        "height_mm": _tenth(page.height_mm),
        "width_px": page.width_px,
        "height_px": page.height_px,
        "turned_deg": page.turned_deg,
        "lines": page.lines,
        "texts": page.texts,
        "pictures": page.pictures,
        "whole": page.whole,
    }


def _tenth(mm: float | None) -> float | None:
    return None if mm is None else round(mm, 1)

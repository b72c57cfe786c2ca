"""The document of a PDF paper: templates of its pages, and how it is written."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Final

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from leakmap.issue.heading import Heading
from leakmap.issue.schedule_pdf.furniture import BOTTOM_MM, TOP_MM, WIDTH_MM, PageCounts, columns_mm, counted_canvas
from leakmap.issue.schedule_pdf.lettering import MM, Face

MAKER: Final = "leakmap"
"""What made the paper, as its properties give it."""

_NOT_IN_XML: Final = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")

TABLES: Final = "tables"
"""Name of the template of pages of tables."""


def table_template(page_mm: tuple[float, float], furnish: Callable[[Canvas], None]) -> PageTemplate:
    """Pages of tables; ``furnish`` draws their head and foot."""
    width, height = page_mm
    frames = [_frame(left, BOTTOM_MM, WIDTH_MM, height - TOP_MM - BOTTOM_MM) for left in columns_mm(page_mm)]
    return PageTemplate(
        TABLES, frames, onPage=lambda canvas, _document: furnish(canvas), pagesize=(width * MM, height * MM)
    )


def whole_page(name: str, width_mm: float, height_mm: float) -> PageTemplate:
    """A page that one flowable fills."""
    return PageTemplate(name, [_frame(0, 0, width_mm, height_mm)], pagesize=(width_mm * MM, height_mm * MM))


def _frame(left_mm: float, bottom_mm: float, width_mm: float, height_mm: float) -> Frame:
    return Frame(
        left_mm * MM,
        bottom_mm * MM,
        width_mm * MM,
        height_mm * MM,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )


def written(
    story: list[Flowable],
    templates: Sequence[PageTemplate],
    *,
    title: str,
    subject: str,
    heading: Heading,
    counts: PageCounts,
) -> bytes:
    """A paper as the library makes it, its pages not compressed: that is done once, when it is written anew.

    Args:
        story: What flows through its pages.
        templates: Of its pages; the first is that of the first page.
        title: Title among its properties.
        subject: Subject among its properties, without the purpose.
        heading: What the paper says of itself.
        counts: Places of page numbers.
    """
    out = BytesIO()
    document = BaseDocTemplate(
        out,
        pagesize=templates[0].pagesize,
        pageTemplates=list(templates),
        invariant=1,
        pageCompression=0,
        initialFontName=Face.BODY.value,
        lang=heading.english,
        title=_fact(title),
        subject=f"{subject}, {heading.purpose_words}",
        author=_fact(heading.by) or MAKER,
        creator=MAKER,
        producer=MAKER,
    )
    document.build(story, canvasmaker=counted_canvas(counts, heading.at))
    return out.getvalue()


def _fact(words: str) -> str:
    r"""Words as a fact of a file, which is said twice: on one line, without what XML cannot hold.

    >>> _fact("a\n\tb\x00c\ud800")
    'a b c'
    """
    return " ".join(_NOT_IN_XML.sub(" ", words).split())

"""How text of the paper is set: paragraph styles, bookmarks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from reportlab.lib.colors import Color
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph

from leakmap.base.measures import Units
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.schedule_pdf.ink import INK, INK2, REPAIR, Colour
from leakmap.issue.schedule_pdf.lettering import MM, NO_BREAK, Face, Lettering
from leakmap.model.materials import Filling, in_filling_words

SIZE: Final = 8.3
LEADING: Final = 10.6

MOST_HEIGHT: Final = 110 * MM
"""Height of the highest cell, and of the highest block of rows that is kept on one page."""


def style(
    face: Face = Face.BODY, size: float = SIZE, *, leading: float | None = None, ink: Colour = INK, right: bool = False
) -> ParagraphStyle:
    """A paragraph style."""
    return ParagraphStyle(
        name=f"{face}-{size}-{ink}-{right}",
        fontName=face.value,
        bulletFontName=face.value,
        fontSize=size,
        leading=leading or size * LEADING / SIZE,
        textColor=Color(*ink),
        alignment=2 if right else 0,
        splitLongWords=1,
    )


BODY: Final = style()
BOLD: Final = style(Face.BOLD)
LOUD: Final = style(Face.BOLD, ink=REPAIR)
SMALL: Final = style(size=7.4, ink=INK2)
COLUMN: Final = style(size=7.4, ink=INK2)
COLUMN_RIGHT: Final = style(size=7.4, ink=INK2, right=True)
RIGHT_BOLD: Final = style(Face.BOLD, right=True)
HEADING: Final = style(Face.BOLD, 13, leading=16)
HEADING.spaceBefore, HEADING.spaceAfter = 6 * MM, 1.6 * MM  # none before at the top of a page
TEXT: Final = style(size=9, leading=12.4)
NOTE: Final = style(size=7.4)
"""Notes under a strip: capitals of 1.83 mm."""


class Bookmark(Flowable):  # type: ignore[misc] # the library has no types
    """A place that the outline of the paper leads to; it takes no room.

    Args:
        key: Unique in the paper.
        words: What the outline says.
        level: 0 for a part, 1 for a zone or sheet.
    """

    def __init__(self, key: str, words: str, level: int) -> None:
        super().__init__()
        self.key, self.words, self.level = key, words, level
        self.width = self.height = 0.0

    def wrap(self, *_room: float) -> tuple[float, float]:
        """No room at all."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Set the bookmark at the place on the page."""
        _, y = self.canv.absolutePosition(0, 0)
        self.canv.bookmarkPage(self.key, fit="XYZ", left=0, top=y + 12 * MM)
        self.canv.addOutlineEntry(self.words, self.key, self.level, closed=True)


@dataclass(slots=True)
class Setting:
    """Sets paragraphs of a paper.

    Attributes:
        lettering: Cuts words into runs of faces.
        units: The system that figures are printed in.
        filling: What fills the slot over the plug.
    """

    lettering: Lettering
    units: Units = Units.METRIC
    filling: Filling = Filling.DRY_PACK

    def trade(self, words: str) -> str:
        """Our own words as the trade says them in these units, of a slot that is filled with this."""
        return in_filling_words(self.filling, in_trade_words(self.units, words))

    def words(self, words: str, look: ParagraphStyle = BODY) -> Paragraph:
        """A paragraph of plain words."""
        return Paragraph(self.lettering.markup(words, Face(look.fontName)), look)

    def link(self, words: str, key: str, look: ParagraphStyle = BODY) -> Paragraph:
        """A paragraph of plain words that leads to a place of the paper."""
        return Paragraph(f'<a href="#{key}">{self.lettering.markup(words, Face(look.fontName))}</a>', look)

    def fitted(self, words: str, look: ParagraphStyle, width: float, height: float = MOST_HEIGHT) -> Paragraph:
        """A paragraph of plain words, cut with an ellipsis where it would be higher than ``height`` points."""
        made, kept = self.words(words, look), words
        while (need := float(made.wrap(width, 10_000)[1])) > height:
            kept = kept[: int(len(kept) * 0.95 * height / need)]
            made = self.words(f"{kept.rstrip()}…", look)
        if kept is not words:
            self.lettering.cut.add(words[:40])
        return made

    def fitted_parts(
        self, notes: Iterable[tuple[str, str]], look: ParagraphStyle, width: float, height: float
    ) -> Paragraph:
        """Notes run on in one paragraph, captions bold; the longest is cut where it would be higher than ``height``."""
        kept = [(caption, words) for caption, words in notes if words]
        while True:
            made = self.marked(_run_on(kept), look)
            need = float(made.wrap(width, 10_000)[1])
            if need <= height:
                return made
            longest = max(range(len(kept)), key=lambda index: len(kept[index][1]))
            caption, words = kept[longest]
            self.lettering.cut.add(words[:40])
            kept[longest] = (caption, f"{words[: int(len(words) * 0.95 * height / need)].rstrip()}…")

    def marked(self, parts: Iterable[tuple[str, bool]], look: ParagraphStyle = BODY) -> Paragraph:
        """A paragraph of words, of which some are bold."""
        text = "".join(
            f'<font name="{Face.BOLD.value}">{self.lettering.markup(words, Face.BOLD)}</font>'
            if bold
            else self.lettering.markup(words, Face(look.fontName))
            for words, bold in parts
        )
        return Paragraph(text, look)


def _run_on(notes: Iterable[tuple[str, str]]) -> Iterator[tuple[str, bool]]:
    for caption, words in notes:
        yield f"{caption}{NO_BREAK} ", True
        yield f"{words}{3 * NO_BREAK} ", False

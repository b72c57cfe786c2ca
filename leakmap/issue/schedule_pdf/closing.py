"""Cautions that every schedule prints, and lines to sign."""

from __future__ import annotations

from typing import Final

from reportlab.lib.colors import Color
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from leakmap.issue.cautions import cautions
from leakmap.issue.schedule_pdf.furniture import WIDTH_MM
from leakmap.issue.schedule_pdf.ink import INK2
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.styles import BOLD, HEADING, SMALL, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, section

_SIGNERS: Final = ("Prepared", "Checked", "Received for the crew")


def cautions_section(setting: Setting) -> list[Flowable]:
    """The cautions as a table: those of the US for a job in feet and inches, else those of every country that is named."""
    grid = Grid(setting, [Column("", 34), Column("", 0)])
    for caution in cautions():
        text, named = (caution.text, caution.source) if setting.units.metric else caution.for_us
        source = f" Source: {named}." if named else ""
        grid.row(setting.words(caution.heading, BOLD), setting.trade(text) + source)
    return section(setting, "Cautions", grid)


def signatures(setting: Setting) -> list[Flowable]:
    """Lines to sign, all on one page."""
    return [KeepTogether([setting.words("Signed", HEADING), Spacer(1, 1 * MM), _lines(setting)])]


def _lines(setting: Setting) -> Table:
    names = [setting.words(words, SMALL) for words in ("", "Name", "Signature", "Date")]
    rows = [names, *([setting.words(signer, BOLD), "", "", ""] for signer in _SIGNERS)]
    widths = [share * WIDTH_MM * MM for share in (0.24, 0.3, 0.28, 0.18)]
    table = Table(rows, colWidths=widths, rowHeights=[5 * MM, *[10 * MM] * len(_SIGNERS)], hAlign="LEFT")
    table.setStyle(
        [
            ("FONTNAME", (0, 0), (-1, -1), Face.BODY.value),
            ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
            ("LEFTPADDING", (0, 0), (0, -1), 0),
            ("LINEBELOW", (1, 1), (-1, -1), 0.25 * MM, Color(*INK2)),
        ]
    )
    return table

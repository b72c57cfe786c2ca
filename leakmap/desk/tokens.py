"""Colours and sizes of the window, in one place: four sets of tokens and the two layouts.

Four instruments draw: ink pen, blue pencil, red pencil, yellow marker; a fifth colour, focus, belongs
to the hand. Everything else is paper and rules. Sizes are logical pixels.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtGui import QColor


@dataclass(frozen=True, slots=True, kw_only=True)
class Tokens:
    """Colours as #RRGGBB, and shares of opacity.

    Attributes:
        dark: Whether ink is lighter than paper.
        wet: Fill of a leak by wetness 1 to 5; a suspect has none.
        on_mark: Words on the marker where it covers.
        repair_on_mark: Repair words there.
        repair_in_row: Repair words of a row under the marker.
        paper: What white becomes on a paper that is shown as it will be printed, or as it was scanned.
        picked_alpha: Of the marker along what is picked on the plan.
        pointed_alpha: The same of what is pointed at.
        row_alpha: Of the marker over a picked row of the ledger.
        row_pointed_alpha: The same of the row that is pointed at.
    """

    dark: bool
    board: str
    sheet: str
    panel: str
    ink: str
    ink2: str
    ink3: str
    edge: str
    rule: str
    rule_strong: str
    inv_bg: str
    inv_ink: str
    water: str
    wet: tuple[str, str, str, str, str]
    repair: str
    mark: str
    on_mark: str
    repair_on_mark: str
    repair_in_row: str
    focus: str
    tape: str
    tape_edge: str
    paperline: str
    papertext: str
    wallfill: str
    paper: str
    band_alpha: float
    wet_part_alpha: float
    hatch_alpha: float
    picked_alpha: float
    pointed_alpha: float
    row_alpha: float
    row_pointed_alpha: float


LIGHT: Final = Tokens(
    dark=False,
    board="#E4E1D8",
    sheet="#FCFBF7",
    panel="#F4F2EB",
    ink="#1B2327",
    ink2="#4C555A",
    ink3="#636A6E",
    edge="#7C7A72",
    rule="#BDB8AB",
    rule_strong="#2A3237",
    inv_bg="#1B2327",
    inv_ink="#FCFBF7",
    water="#0B3C6B",
    wet=("#DCE9F3", "#B9D4E8", "#86B4D9", "#4C8CC2", "#1F639F"),
    repair="#A63A1E",
    mark="#FFD84A",
    on_mark="#1B2327",
    repair_on_mark="#A63A1E",
    repair_in_row="#A63A1E",
    focus="#0A5FB4",
    tape="#F7EFD2",
    tape_edge="#8A7B4A",
    paperline="#A9ADAC",
    papertext="#8A8F8F",
    wallfill="#E9E7E0",
    paper="#FFFFFF",
    band_alpha=0.13,
    wet_part_alpha=0.12,
    hatch_alpha=0.90,
    picked_alpha=0.42,
    pointed_alpha=0.95,
    row_alpha=0.62,
    row_pointed_alpha=0.95,
)
DARK: Final = Tokens(
    dark=True,
    board="#12171A",
    sheet="#1B2226",
    panel="#171D21",
    ink="#ECEAE3",
    ink2="#B4BBBD",
    ink3="#98A1A5",
    edge="#7F8A8F",
    rule="#3B454B",
    rule_strong="#C9CCC8",
    inv_bg="#ECEAE3",
    inv_ink="#12171A",
    water="#A9D3F8",
    wet=("#20364A", "#284C6B", "#326592", "#4183BC", "#62A8E6"),
    repair="#F08A68",
    mark="#E0B93A",
    on_mark="#12171A",
    repair_on_mark="#12171A",
    repair_in_row="#ECEAE3",
    focus="#7CC0FF",
    tape="#2B2A20",
    tape_edge="#B5A66B",
    paperline="#56626A",
    papertext="#7C878D",
    wallfill="#232C31",
    paper="#E6E3DA",
    band_alpha=0.20,
    wet_part_alpha=0.12,
    hatch_alpha=0.90,
    picked_alpha=0.28,
    pointed_alpha=0.60,
    row_alpha=0.20,
    row_pointed_alpha=0.27,
)


def _high(tokens: Tokens, ink: str, sheet: str, off: str) -> Tokens:
    """High contrast: rules, outlines and the drawing are in ink; nothing is dimmed but controls that are off."""
    return replace(
        tokens,
        board=sheet,
        sheet=sheet,
        panel=sheet,
        ink=ink,
        ink2=ink,
        ink3=off,
        edge=ink,
        rule=ink,
        rule_strong=ink,
        inv_bg=ink,
        inv_ink=sheet,
        tape=sheet,
        tape_edge=ink,
        paperline=ink,
        papertext=ink,
        wallfill=sheet,
        on_mark="#000000",
        repair_on_mark="#000000",
        repair_in_row=ink,
    )


HIGH_LIGHT: Final = _high(LIGHT, "#000000", "#FFFFFF", "#595959")
HIGH_DARK: Final = _high(DARK, "#FFFFFF", "#000000", "#A6A6A6")
BY_NAME: Final = {
    (False, False): LIGHT,
    (True, False): DARK,
    (False, True): HIGH_LIGHT,
    (True, True): HIGH_DARK,
}
"""The tokens by whether they are dark, and whether they are at high contrast."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Measures of a layout, px. Type sizes end in ``_type``."""

    stage_line: int
    strip: int
    levels: int
    rail: int
    tape: int
    tape_head: int
    ledger: int
    ledger_head: int
    totals: int
    row_head: int
    row: int
    foot: int
    job_cell: int
    find_room: int
    wide: bool  # the layout from WIDE_FROM on
    sign: float  # k of the symbols at 17 to 40 px a metre
    empty_type: float
    totals_type: float
    stage_type: float
    foot_type: float
    plan_type: float
    tape_type: float


WIDE: Final = Sizes(
    stage_line=64,
    strip=56,
    levels=92,
    rail=26,
    tape=184,
    tape_head=168,
    ledger=436,
    ledger_head=84,
    totals=116,
    row_head=32,
    row=34,
    foot=46,
    job_cell=212,
    find_room=310,
    wide=True,
    sign=1.0,
    empty_type=27,
    totals_type=23,
    stage_type=17,
    foot_type=15.5,
    plan_type=14.5,
    tape_type=15,
)
COMPACT: Final = Sizes(
    stage_line=56,
    strip=52,
    levels=78,
    rail=26,
    tape=156,
    tape_head=140,
    ledger=352,
    ledger_head=78,
    totals=104,
    row_head=32,
    row=32,
    foot=42,
    job_cell=176,
    find_room=246,
    wide=False,
    sign=0.9,
    empty_type=23,
    totals_type=21,
    stage_type=16,
    foot_type=14.5,
    plan_type=13,
    tape_type=14,
)

WIDE_FROM: Final = 1400
LEAST_WINDOW: Final = (1180, 720)
LEDGER_LIMITS: Final = (300, 640)
TAPE_LIMITS: Final = (120, 320)
LEAST_PLAN: Final = 240  # height below which the tape gives way
UNIT: Final = 8  # spacing
MARGIN: Final = 16  # text from a pane's edge
BUTTON: Final = 40  # height of a button of the strip
BAND: Final = 64  # height of the band at the foot of the plan
TITLE_TYPE: Final = 20.0
JOB_TYPE: Final = 18.0
BODY_TYPE: Final = 15.0
SECOND_TYPE: Final = 14.0
CAPTION_TYPE: Final = 13.0
LEVEL_TYPE: Final = 12.0  # level values alone, in drafting letters


def sizes_at(width: int) -> Sizes:
    """The layout of a window of this width.

    >>> sizes_at(1399) is COMPACT, sizes_at(1400) is WIDE
    (True, True)
    """
    return WIDE if width >= WIDE_FROM else COMPACT


def colour(token: str, alpha: float = 1.0) -> QColor:
    """A colour of Qt for a token."""
    made = QColor(token)
    made.setAlphaF(alpha)
    return made


def mixed(one: str, other: str, share: float = 0.5) -> str:
    """A share of one colour over another, as #RRGGBB.

    >>> mixed("#000000", "#FFFFFF", 0.25)
    '#BFBFBF'
    """
    pairs = ((int(one[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5))
    return "#" + "".join(f"{round(over * share + under * (1 - share)):02X}" for over, under in pairs)


def contrast(one: str, other: str) -> float:
    """Contrast of two colours by WCAG 2: 1 to 21.

    >>> round(contrast("#000000", "#FFFFFF"), 6)
    21.0
    """
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(token: str) -> float:
    """Relative luminance of WCAG 2."""
    red, green, blue = (_linear(int(token[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(share: float) -> float:
    return float(share / 12.92 if share <= 0.03928 else ((share + 0.055) / 1.055) ** 2.4)

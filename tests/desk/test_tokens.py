"""Colours of the window in every theme: contrast, and the two layouts."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import pytest

from leakmap.desk.signs import wetness_sign
from leakmap.desk.tokens import BY_NAME, DARK, HIGH_DARK, HIGH_LIGHT, LIGHT, Tokens, contrast, mixed, sizes_at
from leakmap.issue.marks.primitives import Line
from leakmap.model.words import Wetness

THEMES: Final = pytest.mark.parametrize(
    "tokens", BY_NAME.values(), ids=["light", "dark", "light, high contrast", "dark, high contrast"]
)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", 21.0),  # WCAG 2.1, definition of contrast ratio: 1 to 21
        ("#FFFFFF", "#FFFFFF", 1.0),
        ("#FF0000", "#FFFFFF", 3.998),  # 1.05 / (0.2126 + 0.05), by the formula of WCAG 2.1
        ("#0000FF", "#FFFFFF", 8.592),  # 1.05 / (0.0722 + 0.05)
        ("#808080", "#000000", 5.317),  # ((0.50196 + 0.055) / 1.055)^2.4 = 0.21586; + 0.05, over 0.05
    ],
)
def test_contrast_follows_wcag(one: str, other: str, ratio: float) -> None:
    """Contrast is (lighter + 0.05) / (darker + 0.05) of relative luminances, whichever comes first."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.002)
    assert contrast(other, one) == contrast(one, other)


@THEMES
@pytest.mark.parametrize(
    ("ink", "paper", "least"),
    [
        *(
            (token, paper, 4.5)
            for token in ("ink", "ink2", "ink3", "water", "repair", "focus")
            for paper in ("sheet", "panel")
        ),
        ("ink", "board", 4.5),
        ("ink2", "board", 4.5),
        ("inv_ink", "inv_bg", 4.5),
        ("on_mark", "mark", 4.5),
        ("repair_on_mark", "mark", 4.5),
        ("sheet", "focus", 4.5),  # the words beside the ring
        ("sheet", "repair", 4.5),  # the "!" of the band
        ("ink", "tape", 4.5),
        ("edge", "sheet", 3.0),
        ("edge", "panel", 3.0),
        ("tape_edge", "sheet", 3.0),
        ("tape_edge", "panel", 3.0),
        ("focus", "board", 3.0),  # the frame round a page, clear of the marker
        ("paperline", "sheet", 2.0),  # dimmed on purpose, and full in stage Drawing; ours
    ],
)
def test_words_and_controls_can_be_read(tokens: Tokens, ink: str, paper: str, least: float) -> None:
    """Words have contrast 4.5 at least, outlines of controls 3 (WCAG 2.1, criteria 1.4.3 and 1.4.11)."""
    assert contrast(getattr(tokens, ink), getattr(tokens, paper)) >= least


@pytest.mark.parametrize(
    ("tokens", "said"),
    [
        (
            LIGHT,
            {"ink": (15.4, 14.2), "ink2": (7.4, 6.8), "ink3": (5.3, 4.9), "edge": (4.2, 3.8), "rule_strong": (12.6,),
             "water": (10.8, 10.0), "repair": (6.3, 5.8), "focus": (6.1, 5.7), "paperline": (2.2,), "papertext": (3.2,)},
        ),
        (
            DARK,
            {"ink": (13.4, 14.1), "ink2": (8.3, 8.7), "ink3": (6.1, 6.5), "edge": (4.6, 4.8), "rule_strong": (9.9,),
             "water": (10.3,), "repair": (6.6, 6.9), "focus": (8.3, 8.8), "paperline": (2.6,), "papertext": (4.4,)},
        ),
    ],
)  # fmt: skip
def test_contrast_is_what_the_design_measured(tokens: Tokens, said: dict[str, tuple[float, ...]]) -> None:
    """Against sheet and panel each token stands out as much as the table of the desk's design says."""
    for name, ratios in said.items():
        for paper, ratio in zip((tokens.sheet, tokens.panel), ratios, strict=False):
            assert contrast(getattr(tokens, name), paper) == pytest.approx(ratio, abs=0.051)


@THEMES
def test_wetness_can_be_told_step_by_step(tokens: Tokens) -> None:
    """Each wetness stands apart from the one before by what the table of the desk's design says, to a half hundredth."""
    said = (1.38, 1.46, 1.52, 1.59) if tokens.dark else (1.25, 1.43, 1.63, 1.75)
    found = [contrast(drier, wetter) for drier, wetter in pairwise(tokens.wet)]
    assert found == pytest.approx(said, abs=0.006)
    on_sheet = [contrast(fill, tokens.sheet) for fill in tokens.wet]
    assert on_sheet == sorted(on_sheet), "the wetter, the farther from the sheet"


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_wetness_is_told_without_colour(theme: Tokens) -> None:
    """Signs of any two wetnesses differ in their strokes alone, and strokes stand out from the sheet (WCAG 2.1, 1.4.1)."""
    shapes = {
        wetness: [getattr(mark, "points", None) for mark in wetness_sign(wetness, 60.0) if isinstance(mark, Line)]
        for wetness in Wetness
    }
    assert all(one != other for a, one in shapes.items() for b, other in shapes.items() if a < b)
    assert contrast(theme.water, theme.sheet) >= 3.0


@THEMES
def test_what_is_marked_can_be_read(tokens: Tokens) -> None:
    """Words of a picked or pointed row stand on the marker as mixed into the sheet; so does a joint on the plan."""
    for alpha in (tokens.row_alpha, tokens.row_pointed_alpha):
        row = mixed(tokens.mark, tokens.sheet, alpha)
        assert min(contrast(ink, row) for ink in (tokens.ink, tokens.ink2, tokens.repair_in_row)) >= 4.5
        assert contrast(tokens.focus, row) >= 3.0
    for alpha in (tokens.picked_alpha, tokens.pointed_alpha):
        assert contrast(tokens.ink, mixed(tokens.mark, tokens.sheet, alpha)) >= 3.0


@THEMES
def test_a_zone_can_be_seen(tokens: Tokens) -> None:
    """Outline and words of a zone stand out from its own tint, and so does the outline of a leak in it."""
    band = mixed(tokens.repair, tokens.sheet, tokens.band_alpha)
    wet = mixed(tokens.repair, band, tokens.wet_part_alpha)
    assert min(contrast(ink, band) for ink in (tokens.repair, tokens.ink, tokens.water)) >= 3.0
    assert contrast(tokens.water, wet) >= 3.0


@pytest.mark.parametrize("tokens", [HIGH_LIGHT, HIGH_DARK], ids=["light", "dark"])
def test_high_contrast_dims_nothing(tokens: Tokens) -> None:
    """Ink is black on white or white on black, all else of it is ink, and off controls reach 7 (WCAG 2.1, 1.4.6)."""
    assert {tokens.ink, tokens.sheet} == {"#000000", "#FFFFFF"}
    assert {tokens.ink2, tokens.edge, tokens.rule, tokens.paperline, tokens.papertext} == {tokens.ink}
    assert contrast(tokens.ink3, tokens.sheet) >= 7.0


def test_the_layout_is_wide_from_1400() -> None:
    """Below 1400 px every pane takes its compact size."""
    assert sizes_at(1400).ledger == 436
    assert sizes_at(1399).ledger == 352

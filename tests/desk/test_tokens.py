"""Colours of the window: contrast, and the two layouts."""

from __future__ import annotations

from itertools import pairwise

import pytest

from leakmap.desk.tokens import LIGHT, contrast, sizes_at


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


@pytest.mark.parametrize(
    ("ink", "paper", "least"),
    [
        *(
            (token, paper, 4.5)
            for token in ("ink", "ink2", "ink3", "water", "repair", "focus")
            for paper in ("sheet", "panel")
        ),
        ("inv_ink", "inv_bg", 4.5),
        ("ink", "mark", 4.5),
        ("repair", "mark", 4.5),
        ("ink", "tape", 4.5),
        ("edge", "sheet", 3.0),
        ("edge", "panel", 3.0),
    ],
)
def test_words_and_controls_can_be_read(ink: str, paper: str, least: float) -> None:
    """Words have contrast 4.5 at least, outlines of controls 3 (WCAG 2.1, criteria 1.4.3 and 1.4.11)."""
    assert contrast(getattr(LIGHT, ink), getattr(LIGHT, paper)) >= least


def test_wetness_darkens_step_by_step() -> None:
    """Each wetness is darker than the one before by a step that can be seen in grey: a quarter at least."""
    fills = [contrast(fill, "#FFFFFF") for fill in LIGHT.wet]
    assert all(wetter / drier >= 1.24 for drier, wetter in pairwise(fills))


def test_a_marked_row_can_be_read() -> None:
    """Words in ink and in repair red stand on the marker as mixed into the sheet of a picked row."""
    mixed = "".join(
        f"{round(int(LIGHT.mark[k : k + 2], 16) * LIGHT.row_alpha + int(LIGHT.sheet[k : k + 2], 16) * (1 - LIGHT.row_alpha)):02X}"
        for k in (1, 3, 5)
    )
    assert contrast(LIGHT.ink, f"#{mixed}") >= 4.5
    assert contrast(LIGHT.repair, f"#{mixed}") >= 4.5


def test_the_layout_is_wide_from_1400() -> None:
    """Below 1400 px every pane takes its compact size."""
    assert sizes_at(1400).ledger == 436
    assert sizes_at(1399).ledger == 352

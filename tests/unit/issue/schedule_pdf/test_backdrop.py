"""The drawing under the marks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from leakmap.geometry.placement import Placement
from leakmap.issue.schedule_pdf.backdrop import draw_strokes, placed, shown_box, shown_layers, text_box, texts_of
from leakmap.issue.schedule_pdf.ink import Onto
from leakmap.issue.schedule_pdf.lettering import MM, Lettering
from leakmap.model.drawing import Drawing, Layer, LayerState, Strokes, Text, UnitHint
from leakmap.model.sheet import Sheet
from tests.helpers.hand_made import made_id
from tests.unit.issue.schedule_pdf.test_ink import Page

PLACEMENT = Placement(origin=(1000, 2000), x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=30, at_m=(5, 6))
SHEET = Sheet(id=made_id("s"), name="B1", placement=PLACEMENT)


def drawing(*lines: list[tuple[float, float]], texts: tuple[Text, ...] = ()) -> Drawing:
    """A drawing of polylines in millimetres, relative to its origin; the second line lies on a layer that is off."""
    xy = np.array([point for line in lines for point in line], dtype=np.float64).reshape(-1, 2)
    starts = np.cumsum([0, *map(len, lines)]).astype(np.int32)
    layer = np.array([min(index, 1) for index in range(len(lines))], dtype=np.int32)
    return Drawing(
        origin=(500.0, 700.0),
        layers=(Layer("WALLS"), Layer("NOTES", LayerState.OFF)),
        strokes=Strokes(xy, starts, layer),
        texts=texts,
        unit=UnitHint(0.001, "the header says millimetre"),
        shown=(0.0, 0.0, 1000.0, 500.0),
    )


def test_points_lie_where_the_placement_says() -> None:
    """The arrays give what ``Placement.to_site`` gives point by point."""
    plan = drawing([(0, 0), (123, -45)])
    expected = [PLACEMENT.to_site((x + 500, y + 700)) for x, y in [(0, 0), (123, -45)]]
    assert placed(PLACEMENT, plan, plan.strokes.xy) == pytest.approx(np.array(expected))


def test_hidden_layers_stay_hidden_unless_the_user_says_otherwise() -> None:
    """The file's states hold; the sheet's wishes go before them."""
    plan = drawing([(0, 0), (1, 1)])
    assert shown_layers(SHEET, plan) == {0}
    assert shown_layers(replace(SHEET, shown=(("NOTES", True), ("WALLS", False))), plan) == {1}


def test_only_shown_strokes_are_written_and_none_twice_at_a_point() -> None:
    """Two of three points fall on one hundredth of a point: one is left out; the hidden line is not written."""
    page = Page()
    plan = drawing([(0, 0), (0.0001, 0), (1000, 0)], [(0, 0), (7, 7)])
    onto = Onto((5.0, 6.0), 10 * MM, (0.0, 0.0))
    draw_strokes(page, replace(SHEET, placement=Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)), plan, onto)
    assert page.text.count(" m\n") == 1
    assert page.text.count(" l\n") == 1


def test_many_strokes_are_stroked_in_batches() -> None:
    """6,000 points are stroked three times, never in the middle of a line."""
    page = Page()
    lines = [[(float(n), 0.0), (float(n), 900.0)] for n in range(3000)]
    plan = drawing(*lines)
    plan = replace(plan, strokes=replace(plan.strokes, layer=np.zeros(3000, dtype=np.int32)))
    draw_strokes(page, SHEET, plan, Onto((0.0, 0.0), 100 * MM, (0.0, 0.0)))
    content = page.text.split("\n")
    assert content.count("S") == 3
    assert all(content[i + 1].endswith(" m") or content[i + 1] == "Q" for i, op in enumerate(content) if op == "S")


def test_the_shown_box_turns_with_the_sheet() -> None:
    """A box of 1.0 × 0.5 m turned by 30° is as large as its turned corners."""
    box = shown_box(SHEET, drawing([(0, 0), (1, 1)]))
    assert box is not None
    assert box[2] - box[0] == pytest.approx(0.8660254 + 0.5 * 0.5)
    assert shown_box(SHEET, replace(drawing([(0, 0), (1, 1)]), shown=None)) is None


def text(words: str, *, up: float = 0.0, across: float = 0.0) -> Text:
    """A text of 100 mm capitals at the drawing's origin."""
    return Text(at=(0, 0), height=100.0, turn_deg=0.0, across=across, up=up, words=words, layer=0)


def test_lines_of_a_text_stand_under_each_other() -> None:
    """Two lines hung by their top: the first capital's top is at the point, the second 160 mm lower."""
    straight = Sheet(id=made_id("s"), name="B1", placement=Placement(x_m_per_unit=0.001, y_m_per_unit=0.001))
    first, second = texts_of(straight, drawing([(0, 0), (1, 1)], texts=(text("A\nB", up=1.0),)))
    assert first.at[1] + first.cap_height_m == pytest.approx(0.7)
    assert first.at[1] - second.at[1] == pytest.approx(0.16)


def test_a_centred_text_has_its_box_round_its_point() -> None:
    """Half of its width lies on each side."""
    straight = Sheet(id=made_id("s"), name="B1", placement=Placement(x_m_per_unit=0.001, y_m_per_unit=0.001))
    (line,) = texts_of(straight, drawing([(0, 0), (1, 1)], texts=(text("PUMP", across=0.5),)))
    x0, y0, x1, y1 = text_box(line, Lettering())
    assert (x0 + x1) / 2 == pytest.approx(0.5)
    assert (y0, y1) == pytest.approx((0.7, 0.8))


def test_texts_on_hidden_layers_and_blank_ones_are_left_out() -> None:
    """A note on a layer that is off is not printed."""
    hidden = replace(text("NOTE"), layer=1)
    assert texts_of(SHEET, drawing([(0, 0), (1, 1)], texts=(hidden, text("  ")))) == []

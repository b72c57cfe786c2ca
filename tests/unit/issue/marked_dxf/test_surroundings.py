"""What a drawing shows round our marks."""

from __future__ import annotations

import ezdxf
import numpy as np
import pytest

from leakmap.geometry.boxes import box_round
from leakmap.issue.marked_dxf.surroundings import of_drawing, of_file
from leakmap.model.drawing import Drawing, Layer, Strokes, Text, UnitHint

EMPTY = Strokes(np.empty((0, 2)), np.zeros(1, dtype=np.int32), np.empty(0, dtype=np.int32))


def _drawing(*texts: Text, shown: tuple[float, float, float, float] | None = (0, 0, 10, 5)) -> Drawing:
    return Drawing((1000.0, 2000.0), (Layer("0"),), EMPTY, texts, UnitHint(None, ""), shown)


def test_a_read_drawing_gives_its_box_in_absolute_units() -> None:
    """The reader's box is relative to the drawing's origin; ours is not."""
    assert of_drawing(_drawing()).shown == (1000.0, 2000.0, 1010.0, 2005.0)
    assert of_drawing(_drawing(shown=None)).shown is None


@pytest.mark.parametrize(("turn_deg", "long_side"), [(0.0, 0), (90.0, 1)])
def test_a_text_has_a_box_as_long_as_its_words(turn_deg: float, long_side: int) -> None:
    """Ten capitals, 1 unit high, take 9.5 units along their line, whichever way it runs."""
    text = Text((0.0, 0.0), 1.0, turn_deg, 0.0, 0.0, "ABCDEFGHKL", 0)
    (box,) = of_drawing(_drawing(text)).texts
    size = box[2] - box[0], box[3] - box[1]
    assert size[long_side] == pytest.approx(9.5)
    assert size[1 - long_side] == pytest.approx(1.0)


def test_a_stray_far_away_and_what_is_hidden_do_not_count() -> None:
    """An insert a thousand kilometres off, a frozen layer and invisible things leave the box on the plan."""
    doc = ezdxf.new()
    space = doc.modelspace()
    for x in range(20):
        space.add_line((x, 0), (x, 10))
    space.add_line((1e9, 1e9), (1e9 + 1, 1e9))
    doc.layers.add("HIDDEN").freeze()
    space.add_line((0, 0), (100, 100), dxfattribs={"layer": "HIDDEN"})
    space.add_line((0, 0), (-100, -100), dxfattribs={"invisible": 1})
    assert of_file(doc).shown == (0.0, 0.0, 19.0, 10.0)


def test_a_damaged_part_of_an_insert_leaves_the_rest() -> None:
    """A dimension without a place for its text stops the library; the lines beside it still count."""
    doc = ezdxf.new()
    block = doc.blocks.new("PLAN")
    block.add_line((0, 0), (8, 6))
    damaged = block.add_linear_dim(base=(0, 2), p1=(0, 0), p2=(3, 0)).render().dimension
    damaged.dxf.discard("text_midpoint")
    doc.modelspace().add_blockref("PLAN", (10, 10))
    box = of_file(doc).shown
    assert box is not None
    assert box[2:] == pytest.approx((18.0, 16.0))


def test_an_empty_drawing_shows_nothing() -> None:
    """No entity, no box."""
    assert of_file(ezdxf.new()).shown is None
    assert box_round([]) is None

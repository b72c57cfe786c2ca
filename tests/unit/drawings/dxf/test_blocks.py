"""Inserts: nested, mirrored, stretched, in rows and columns, clipped, missing, endless."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.math import Matrix44, Vec2
from ezdxf.xclip import XClip
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.base.progress import UNWATCHED
from leakmap.drawings.dxf import blocks, clips
from leakmap.drawings.dxf.blocks import Reading, draw_insert
from leakmap.drawings.dxf.entities import draw_entities
from leakmap.drawings.dxf.fast_load import Bulk
from leakmap.drawings.dxf.ink import Pen
from leakmap.drawings.dxf.layers import LayerNumbers
from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.dxf.texts import Wording
from leakmap.drawings.dxf.troubles import Troubles
from tests.helpers.dxf_files import absolute, all_points, as_bytes, codes, document, finding, layer_names, reread, seen
from tests.unit.drawings.dxf.test_fast import read_both_ways


def with_block(name: str = "B", **base: Any) -> tuple[Document, Any]:  # noqa: ANN401 - ezdxf's own classes
    """A document and an empty block in it."""
    made = document()
    return made, made.blocks.new(name, **base)


def reading_of(made: Document) -> Reading:
    """A reading of a document that drew nothing yet."""
    troubles = Troubles()
    wording = Wording("utf-8", troubles)
    layers = LayerNumbers(made, wording, troubles)
    return Reading(
        made, layers=layers, wording=wording, troubles=troubles, progress=UNWATCHED, draw=draw_entities, bulk=Bulk()
    )


def test_an_insert_scales_then_turns_then_moves() -> None:
    """(3, 1) less the base point (1, 1) is (2, 0); scaled by 10 and turned by 90° it is (0, 20); at (5, 5): (5, 25)."""
    made, block = with_block(base_point=(1, 1))
    block.add_line((1, 1), (3, 1))
    made.modelspace().add_blockref("B", (5, 5), dxfattribs={"xscale": 10, "yscale": 10, "rotation": 90})
    ((start, end),) = all_points(reread(made))
    assert start == pytest.approx((5, 5))
    assert end == pytest.approx((5, 25))


def test_a_mirrored_insert_mirrors_its_arcs() -> None:
    """Scale −2 in x: a quarter circle of radius 3 about (0, 0) lies in the upper left with radius 6."""
    made, block = with_block()
    block.add_arc((0, 0), 3, 0, 90)
    made.modelspace().add_blockref("B", (0, 0), dxfattribs={"xscale": -2, "yscale": 2})
    points = absolute(reread(made))
    assert np.allclose(np.hypot(*points.T), 6)
    assert points[:, 0].max() <= 1e-9
    assert points[0].tolist() == pytest.approx([-6, 0])
    assert points[-1].tolist() == pytest.approx([0, 6])


def test_an_insert_in_a_mirrored_system_mirrors_all() -> None:
    """Extrusion (0, 0, −1), insert at (4, 1) turned by 30°: x of the turned block and of the place both turn over."""
    made, block = with_block()
    block.add_line((0, 0), (10, 0))
    turned_over = {"extrusion": (0, 0, -1), "rotation": 30}
    made.modelspace().add_blockref("B", (4, 1), dxfattribs=turned_over)
    ((start, end),) = all_points(reread(made))
    assert start == pytest.approx((-4, 1))
    assert end == pytest.approx((-4 - 10 * cos(radians(30)), 1 + 10 * sin(radians(30))))


def test_a_stretched_circle_is_an_ellipse_as_fine_as_any() -> None:
    """Radius 1 stretched to 8 by 4: x²/64 + y²/16 = 1, with as many chords as a circle of radius 8."""
    made, block = with_block()
    block.add_circle((0, 0), 1)
    made.modelspace().add_blockref("B", (0, 0), dxfattribs={"xscale": 8, "yscale": 4})
    points = absolute(reread(made))
    assert np.allclose(points[:, 0] ** 2 / 64 + points[:, 1] ** 2 / 16, 1)
    plain = absolute(reread(document(lambda msp: msp.add_circle((0, 0), 8))))
    assert len(points) >= len(plain)


def test_rows_and_columns_turn_with_the_insert_but_do_not_scale() -> None:
    """2 rows 5 m apart and 3 columns 10 m apart, turned by 90°: row steps go to −x, column steps to +y."""
    made, block = with_block()
    block.add_line((0, 0), (1, 0))
    grid = {"row_count": 2, "row_spacing": 5, "column_count": 3, "column_spacing": 10, "rotation": 90, "xscale": 2}
    made.modelspace().add_blockref("B", (0, 0), dxfattribs=grid)
    starts = sorted(tuple(np.round(points[0], 9) + 0.0) for points in all_points(reread(made)))
    assert starts == [(-5, 0), (-5, 10), (-5, 20), (0, 0), (0, 10), (0, 20)]


def test_layer_zero_takes_the_layer_of_the_insert_through_all_levels() -> None:
    """Content on layer 0 follows the outermost insert that is not on layer 0; other content keeps its layer."""
    made, inner = with_block("INNER")
    inner.add_line((0, 0), (9, 0))
    inner.add_line((0, 1), (9, 1), dxfattribs={"layer": "STEEL"})
    inner.add_arc((0, 0), 5, 0, 90)
    made.blocks.new("OUTER").add_blockref("INNER", (0, 0))
    made.modelspace().add_blockref("OUTER", (0, 0), dxfattribs={"layer": "PUMPS"})
    made.modelspace().add_blockref("OUTER", (20, 0))
    assert sorted(layer_names(reread(made))) == ["0", "0", "PUMPS", "PUMPS", "STEEL", "STEEL"]


def test_under_a_frozen_insert_everything_is_hidden() -> None:
    """All of an insert on a frozen layer goes to that layer; an insert on a layer that is off hides only its layer 0."""
    made, block = with_block()
    block.add_line((0, 0), (9, 0))
    block.add_line((0, 5), (9, 5), dxfattribs={"layer": "STEEL"})
    made.layers.add("COLD").freeze()
    made.layers.add("DARK").off()
    made.modelspace().add_blockref("B", (0, 0), dxfattribs={"layer": "COLD"})
    made.modelspace().add_blockref("B", (100, 0), dxfattribs={"layer": "DARK"})
    drawing = reread(made)
    assert sorted(layer_names(drawing)) == ["COLD", "COLD", "DARK", "STEEL"]
    assert seen(drawing) == (100, 5, 109, 5)


def test_attribute_texts_stand_beside_their_insert() -> None:
    """The text of an attribute is read, the template in the block is not, hidden attributes are not."""
    made, block = with_block()
    block.add_line((0, 0), (9, 0))
    block.add_attdef("REF", (0, 0), text="template")
    insert = made.modelspace().add_blockref("B", (50, 0), dxfattribs={"layer": "PUMPS"})
    insert.add_attrib("REF", "P-1", (52, 3), dxfattribs={"height": 2, "layer": "PUMPS"})
    insert.add_attrib("NOTE", "hidden", (52, 3)).is_invisible = True
    (text,) = reread(made).texts
    assert (text.words, text.at, text.height) == ("P-1", (52, 3), 2)


def test_a_missing_block_is_a_finding() -> None:
    """The insert is left out, its handle is said, the rest is drawn."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0)))
    insert = made.modelspace().add_blockref("GONE", (0, 0))
    drawing = reread(made)
    assert len(drawing.strokes) == 1
    fault = finding(drawing, "file-fault")
    assert fault.effect is Effect.LOST
    assert fault.where == f"#{insert.dxf.handle}"
    assert "without required BLOCK" in fault.text


def test_a_block_that_a_layout_lost_is_a_finding() -> None:
    """Where the audit lets an insert pass, the reader itself says which block is missing."""
    made, block = with_block()
    insert = made.modelspace().add_blockref("GONE", (0, 0))
    reading = reading_of(made)
    draw_insert(insert, 0, Pen(0.001), reading)
    (found,) = reading.troubles.findings()
    assert (found.code, "GONE" in found.text) == ("block-missing", True)
    assert block.name == "B"


def test_a_block_that_holds_itself_ends() -> None:
    """A block in itself, over one other block, is drawn once on each level, and a finding says so."""
    made, block = with_block("A")
    block.add_line((0, 0), (9, 0))
    made.blocks.new("B").add_blockref("A", (0, 5))
    block.add_blockref("B", (0, 5))
    made.modelspace().add_blockref("A", (0, 0))
    drawing = reread(made)
    assert 1 <= len(drawing.strokes) <= 2
    assert {"block-loop", "file-fault"} & set(codes(drawing))


def test_another_file_is_named() -> None:
    """An insert of another file is left out; the finding names the file."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0)))
    made.add_xref_def("levels/b3.dwg", "B3")
    made.modelspace().add_blockref("B3", (0, 0))
    found = finding(reread(made), "external-reference").text
    assert "levels/b3.dwg" in found
    assert "bind that file into the drawing" in found


def test_a_drawing_does_not_grow_without_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    """Inserts beyond the bound are left out and counted; what was drawn before stays."""
    monkeypatch.setattr(blocks, "MOST_POINTS", 100)
    made, block = with_block()
    block.add_lwpolyline([(x, x % 2) for x in range(40)])
    for x in range(5):
        made.modelspace().add_blockref("B", (x, 0))
    drawing = reread(made)
    assert len(drawing.strokes) == 2
    assert finding(drawing, "too-much").text.endswith(": 3.")


def test_a_block_in_very_many_sizes_is_not_drawn_for_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twenty circles at 60 tolerances would be a million points; beyond the bound one size serves for another.

    A block that was never drawn before is left out. Both are told.
    """
    monkeypatch.setattr(blocks, "MOST_POINTS", 10_000)
    made, block = with_block()
    for x in range(20):
        block.add_circle((x, 0), 1)
    made.blocks.new("C").add_line((0, 0), (1, 0))
    reading = reading_of(made)
    inks = [reading.block_ink("B", 2.0**-power) for power in range(60)]
    assert None not in inks
    different = {id(ink): ink.points for ink in inks if ink is not None}
    assert len(different) > 3
    assert sum(different.values()) <= 10_000 + max(different.values())
    assert inks[-1] is inks[len(different)] is inks[len(different) - 1]  # the nearest that there is
    assert reading.block_ink("C", 1.0) is None
    sizes, left_out = reading.troubles.findings()
    assert (sizes.code, sizes.effect, f": {60 - len(different)}." in sizes.text) == (
        "too-many-sizes",
        Effect.LOOK,
        True,
    )
    assert (left_out.code, left_out.where) == ("too-much", "C")


def test_layers_of_a_block_that_is_never_inserted_do_not_come_up() -> None:
    """A layer that only such a block names is not in the list, read in bulk or not; one that the file lists is."""
    made, block = with_block()
    made.layers.add("LISTED")
    for x in range(9):
        block.add_line((x, 0), (x, 9), dxfattribs={"layer": "NOWHERE"})
        made.modelspace().add_line((x, 0), (x, 9), dxfattribs={"layer": "WALLS"})
    drawing = read_both_ways(as_bytes(made))
    assert drawing is not None
    assert {"WALLS", "LISTED"} < {layer.name for layer in drawing.layers}
    assert "NOWHERE" not in {layer.name for layer in drawing.layers}


def test_blocks_of_blocks_of_blocks_do_not_explode(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten levels of ten inserts each would be 10^10 lines; the reader stops at its bound and says so."""
    monkeypatch.setattr(blocks, "MOST_POINTS", 100_000)
    made, block = with_block("L0")
    block.add_lwpolyline([(0, 0), (1, 1), (2, 0), (3, 1)])
    for level in range(1, 11):
        outer = made.blocks.new(f"L{level}")
        for x in range(10):
            outer.add_blockref(f"L{level - 1}", (x, 0))
    made.modelspace().add_blockref("L10", (0, 0))
    made.modelspace().add_line((0, 0), (9, 9))
    drawing = reread(made)
    assert len(drawing.strokes) >= 1
    assert "too-much" in codes(drawing)


def test_an_endless_grid_is_refused() -> None:
    """30,000 by 30,000 copies are left out without being counted one by one."""
    made, block = with_block()
    block.add_line((0, 0), (1, 0))
    grid = {"row_count": 30000, "row_spacing": 5, "column_count": 30000, "column_spacing": 5}
    made.modelspace().add_blockref("B", (0, 0), dxfattribs=grid)
    with pytest.raises(UnusableDrawing, match="no lines"):
        reread(made)


def test_a_clipped_insert_shows_what_its_frame_holds() -> None:
    """A line of 10 m clipped to x from 2 to 5, placed at (100, 0) with scale 2: from 104 to 110."""
    made, block = with_block()
    block.add_line((0, 0), (10, 0))
    insert = made.modelspace().add_blockref("B", (100, 0), dxfattribs={"xscale": 2, "yscale": 2})
    XClip(insert).set_block_clipping_path([(2, -1), (5, 1)])
    drawing = reread(made)
    assert all_points(drawing) == [[(104.0, 0.0), (110.0, 0.0)]]
    assert "block-clipped" in codes(drawing)


def test_a_turned_over_clip_shows_what_its_frame_leaves(caplog: pytest.LogCaptureFixture) -> None:
    """The same line with the frame turned over: from 0 to 2 and from 5 to 10."""
    made, block = with_block()
    block.add_line((0, 0), (10, 0))
    insert = made.modelspace().add_blockref("B", (0, 0))
    clip = XClip(insert)
    clip.set_block_clipping_path([(2, -1), (5, 1)])
    clip.invert_clipping_path([(-1, -2), (11, 2)], ignore_acad_compatibility=True)
    data = as_bytes(made)
    caplog.clear()  # the library warns that it is new at writing such frames
    assert sorted(all_points(read_dxf(data))) == [[(0.0, 0.0), (2.0, 0.0)], [(5.0, 0.0), (10.0, 0.0)]]


class TwoCorners:
    """A clip whose frame is given by two opposite corners, as some files give it."""

    is_clipping_enabled = True

    def __init__(self, _: object) -> None:
        self.is_inverted_clip = True

    def get_block_clipping_path(self) -> TwoCorners:
        """Itself, for it is its own path."""
        return self

    def inner_polygon(self) -> list[Vec2]:
        """The two corners."""
        return [Vec2(2, -1), Vec2(5, 1)]


def test_a_frame_of_two_corners_is_a_rectangle(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two opposite corners stand for the rectangle between them, 3 by 2."""
    monkeypatch.setattr(clips, "XClip", TwoCorners)
    made, _ = with_block()
    insert = made.modelspace().add_blockref("B", (0, 0))
    insert.new_extension_dict()
    found = clips.clip_of(insert)
    assert found is not None
    assert (found[0].area, found[1]) == (6, True)


PLACES = st.fixed_dictionaries(
    {
        "insert": st.tuples(st.floats(-100, 100), st.floats(-100, 100), st.floats(-5, 5)),
        "xscale": st.sampled_from([1.0, -1.0, 2.5, 0.4]),
        "yscale": st.sampled_from([1.0, -1.0, 3.0]),
        "zscale": st.sampled_from([1.0, -2.0]),
        "rotation": st.floats(-360, 360),
        "extrusion": st.sampled_from([(0, 0, 1), (0, 0, -1), (0, 1, 1), (1, 0, 0.2)]),
    }
)


@pytest.mark.slow
@settings(max_examples=40)
@given(st.lists(PLACES, min_size=1, max_size=4), st.tuples(st.floats(-9, 9), st.floats(-9, 9)))
def test_nested_inserts_agree_with_the_matrices_of_the_library(
    places: list[dict[str, Any]], base: tuple[float, float]
) -> None:
    """Each level's own matrix by ezdxf, innermost first, takes the points of a line to where they are read."""
    made = document()
    ends = [(1.0, 2.0, 3.0), (15.0, -4.0, 0.5)]
    made.blocks.new("L0", base_point=base).add_line(*ends)
    matrix = Matrix44()
    for level, place in enumerate(places):
        last = level == len(places) - 1
        holder = made.modelspace() if last else made.blocks.new(f"L{level + 1}")
        matrix *= holder.add_blockref(f"L{level}", place["insert"], dxfattribs=place).matrix44()
    expected = [(point.x, point.y) for point in matrix.transform_vertices(ends)]
    if np.hypot(*np.subtract(*expected)) < 1e-6:
        return
    ((start, end),) = all_points(reread(made))
    assert start == pytest.approx(expected[0], abs=1e-7)
    assert end == pytest.approx(expected[1], abs=1e-7)

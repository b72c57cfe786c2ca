"""Lines without ends: drawn as far as all else reaches, wherever they lie, however their block is turned."""

from __future__ import annotations

from math import cos, hypot, radians, sin
from typing import Any, Final

import numpy as np
import pytest
import shapely
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import Matrix44, Vec3
from ezdxf.xclip import XClip
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.drawings.dxf.endless import ended, endless_lines, grown
from leakmap.drawings.dxf.read import read_dxf
from leakmap.geometry.path import Box
from leakmap.model.drawing import Drawing, LayerState
from tests.helpers.dxf_files import all_points, as_bytes, codes, document, finding, layer_names, read, reread, seen
from tests.unit.drawings.dxf.test_fast import read_both_ways

FRAME: Final = ((0, 0), (40, 0), (40, 20), (0, 20))
GROWN: Final = (-1.0, -0.5, 41.0, 20.5)
"""40 by 20 made larger by a twentieth of its width and height."""

FAR: Final = 1e4
places = st.tuples(st.floats(-200, 200), st.floats(-200, 200))


def frame(space: Any, **style: Any) -> None:  # noqa: ANN401 - ezdxf's layouts
    """A closed frame of 40 by 20."""
    space.add_lwpolyline(FRAME, close=True, dxfattribs=style)


def beside(drawing: Drawing) -> list[list[tuple[float, float]]]:
    """What is drawn besides the first line, each from its lower left end, rounded to a nanometre."""
    return sorted(sorted((round(x, 9), round(y, 9)) for x, y in line) for line in all_points(drawing)[1:])


def test_lines_without_ends_reach_a_little_beyond_all_else() -> None:
    """An axis, a cutting line at 45° and a ray, each on its layer, end at a frame made larger by a twentieth."""

    def draw(msp: Modelspace) -> None:
        frame(msp, layer="WALLS")
        msp.add_xline((7, -300), (0, 2), dxfattribs={"layer": "AXES"})
        msp.add_xline((5, 5), (1, 1), dxfattribs={"layer": "CUTS"})
        msp.add_ray((30, 10), (-1, 0), dxfattribs={"layer": "RAYS"})

    drawing = read(draw)
    assert beside(drawing) == [
        [(-1, 10), (30, 10)],
        [(-0.5, -0.5), (20.5, 20.5)],
        [(7, -0.5), (7, 20.5)],
    ]
    assert layer_names(drawing) == ["WALLS", "AXES", "CUTS", "RAYS"]
    assert seen(drawing) == (0, 0, 40, 20)
    found = finding(drawing, "endless-line")
    assert (found.effect, ": 3;" in found.text) == (Effect.LOOK, True)


def test_what_passes_by_is_left_out_and_said() -> None:
    """Beside the frame, away from it, or straight up: nothing is drawn, and each kind is counted."""

    def draw(msp: Modelspace) -> None:
        frame(msp)
        msp.add_xline((0, 30), (1, 0))
        msp.add_ray((50, 10), (1, 0))
        msp.add_xline((5, 5), (0, 0, 1))
        msp.add_ray((60, 5), (-1, 0))

    drawing = read(draw)
    assert beside(drawing) == [[(-1, 5), (41, 5)]]
    left_out = next(found for found in drawing.findings if found.effect is Effect.LOST)
    assert left_out.text == "Endless construction lines that pass by all else that is drawn, left out: 2."
    assert finding(drawing, "no-length").text.endswith(": 1.")


def test_nothing_but_lines_without_ends_is_no_plan() -> None:
    """Nothing says how far they go: the file is refused in one sentence, and beside a single text they are counted."""

    def draw(msp: Modelspace) -> None:
        msp.add_xline((7, 0), (0, 1))
        msp.add_ray((7, 0), (1, 1))

    with pytest.raises(UnusableDrawing, match=r"no lines that can be drawn: Endless construction lines.*: 2; export"):
        read(draw)
    worded = read(lambda msp: (draw(msp), msp.add_text("B2", height=3)))
    assert len(worded.strokes) == 0
    assert finding(worded, "endless-line").effect is Effect.LOST


def test_what_is_off_is_drawn_and_stays_off() -> None:
    """A layer of axes that the file hides ends at what it shows."""
    made = document(frame)
    made.layers.add("AXES").off()
    made.modelspace().add_xline((7, 0), (0, 1), dxfattribs={"layer": "AXES"})
    drawing = reread(made)
    assert beside(drawing) == [[(7, -0.5), (7, 20.5)]]
    assert drawing.layers[drawing.strokes.layer[1]].state is LayerState.OFF


@pytest.mark.parametrize("turn", [0, 30, 90, 210])
def test_blocks_turn_stretch_and_repeat_them(turn: int) -> None:
    """An axis in a block that is turned, mirrored, stretched and placed in two rows runs as ezdxf's matrix has it."""
    made = document(frame)
    block = made.blocks.new("AXIS")
    block.add_xline((1, 2), (3, 1))
    scale = {"xscale": -2, "yscale": 0.5, "rotation": turn, "layer": "AXES"}
    spacing = {"row_count": 2, "row_spacing": 3}
    insert = made.modelspace().add_blockref("AXIS", (20, 10), dxfattribs=scale | spacing)
    expected = []
    for copy in (insert.matrix44(), insert.matrix44() @ Matrix44.translate(*_turned((0, 3), turn), 0)):
        at, way = copy.transform((1, 2, 0)), copy.transform_direction((3, 1, 0)).normalize()
        expected.append(_cut_by_shapely(at, way, both=True, box=GROWN))
    drawing = reread(made)
    assert layer_names(drawing) == ["0", "AXES", "AXES"]
    lengths = [hypot(z[0] - a[0], z[1] - a[1]) for a, z in beside(drawing)]
    assert sorted(lengths) == pytest.approx(sorted(expected), abs=1e-7)


def test_in_a_block_they_keep_to_layers_as_lines_do() -> None:
    """Layer 0 takes the layer of the insert, another stays, and under a frozen insert both go to its layer."""
    made = document(frame)
    made.layers.add("FROZEN").freeze()
    block = made.blocks.new("AXES")
    block.add_xline((1, 5), (1, 0))
    block.add_xline((1, 6), (1, 0), dxfattribs={"layer": "CUTS"})
    for layer in ("GRID", "FROZEN"):
        made.modelspace().add_blockref("AXES", (0, 0), dxfattribs={"layer": layer})
    assert layer_names(reread(made)) == ["0", "GRID", "CUTS", "FROZEN", "FROZEN"]


def _turned(step: tuple[float, float], turn: float) -> tuple[float, float]:
    c, s = cos(radians(turn)), sin(radians(turn))
    return c * step[0] - s * step[1], s * step[0] + c * step[1]


def _cut_by_shapely(at: Vec3, way: Vec3, *, both: bool, box: Box) -> float:
    """Length of a very long line inside a box."""
    start = at - way * FAR if both else at
    return float(shapely.LineString([start.vec2, (at + way * FAR).vec2]).intersection(shapely.box(*box)).length)


@given(
    lines=st.lists(st.tuples(places, st.floats(0, 360), st.booleans()), min_size=1, max_size=8),
    corners=st.tuples(places, places).filter(
        lambda two: min(abs(two[0][0] - two[1][0]), abs(two[0][1] - two[1][1])) > 1
    ),
)
def test_lengths_are_those_of_another_library(
    lines: list[tuple[tuple[float, float], float, bool]], corners: tuple[tuple[float, float], tuple[float, float]]
) -> None:
    """All together they are as long as shapely cuts very long lines by the same box."""
    (x0, y0), (x1, y1) = corners
    box = grown((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    each = [(Vec3(at), Vec3.from_deg_angle(angle), both) for at, angle, both in lines]
    ends, through = ended(endless_lines([(at.xyz, (way * 7).xyz, both, 0) for at, way, both in each]), box)
    assert len(ends) == np.count_nonzero(through)
    length = float(np.hypot(*(ends[:, 1, :2] - ends[:, 0, :2]).T).sum())
    assert length == pytest.approx(
        sum(_cut_by_shapely(at, way, both=both, box=box) for at, way, both in each), abs=1e-6
    )


@pytest.mark.parametrize("inside_out", [False, True])
def test_a_clipped_block_clips_them(inside_out: bool, caplog: pytest.LogCaptureFixture) -> None:  # noqa: FBT001 - a table
    """Inside a frame from x = 10 to 20 only, or outside of it only, whether they start within or not."""
    made = document(frame)
    block = made.blocks.new("AXES")
    block.add_xline((0, 5), (1, 0))
    block.add_ray((4, 6), (1, 0))
    block.add_ray((15, 7), (1, 0))
    block.add_xline((0, 15), (1, 0))
    clip = XClip(made.modelspace().add_blockref("AXES", (0, 0)))
    clip.set_block_clipping_path([(10, 0), (20, 10)])
    if inside_out:
        clip.invert_clipping_path([(-100, -100), (100, 100)], ignore_acad_compatibility=True)
    data = as_bytes(made)
    caplog.clear()  # the library warns that it is new at writing such frames
    inside = [[(10, 5), (20, 5)], [(10, 6), (20, 6)], [(15, 7), (20, 7)]]
    outside = [
        [(-1, 5), (10, 5)],
        [(-1, 15), (41, 15)],
        [(4, 6), (10, 6)],
        [(20, 5), (41, 5)],
        [(20, 6), (41, 6)],
        [(20, 7), (41, 7)],
    ]
    assert beside(read_dxf(data)) == (outside if inside_out else inside)


def test_they_are_the_same_in_bulk() -> None:
    """Beside a thousand lines that are read in bulk, and in a block, the drawing is that of the library alone."""
    made = document(unit=0)
    for x in range(1000):
        made.modelspace().add_line((x, 0), (x, 9), dxfattribs={"layer": f"L{x % 7}"})
        if x % 100 == 0:
            made.modelspace().add_xline((x, 0), (x, 3), dxfattribs={"layer": f"AXES {x}"})
    block = made.blocks.new("AXES")
    block.add_line((0, 0), (1, 1))
    block.add_ray((0, 0), (1, 1))
    made.modelspace().add_blockref("AXES", (5, 5), dxfattribs={"rotation": 33})
    drawing = read_both_ways(as_bytes(made))
    assert drawing is not None
    assert len(drawing.strokes) == 1000 + 10 + 2


@pytest.mark.parametrize("wrong", ["nan", "inf", "1e308", "-1e308"])
def test_places_and_ways_that_are_no_numbers(wrong: str) -> None:
    """They cost their own line only."""
    made = document(frame)
    made.modelspace().add_xline((7.25, 5), (1, 0))
    made.modelspace().add_xline((5, 5), (0.28, 0.96))
    data = as_bytes(made)
    for number in (b"7.25", b"0.96"):
        drawing = read_both_ways(data.replace(number, wrong.encode()))
        assert drawing is not None
        assert len(drawing.strokes) <= 2
        assert {"bad-coordinate", "endless-line", "file-fault", "file-repaired", "entity-failed"} & set(codes(drawing))


def test_far_from_zero_they_lie_as_near() -> None:
    """Survey coordinates: an axis that starts a hundred kilometres away is within a micrometre on the plan."""

    def draw(msp: Modelspace) -> None:
        msp.add_lwpolyline([(x + 3.5e6, y + 5.8e6) for x, y in FRAME], close=True)
        msp.add_xline((3.5e6 + 10, 5.7e6), (0, 1))
        msp.add_xline((3.5e6 - 1e5, 5.8e6 - 1e5), (1, 1))

    drawing = read(draw)
    upright, slanted = drawing.strokes.polyline(1), drawing.strokes.polyline(2)
    assert drawing.origin == (3.5e6, 5.8e6)
    assert upright.tolist() == [[10, -0.5], [10, 20.5]]
    assert np.abs(slanted[:, 0] - slanted[:, 1]).max() < 1e-6

"""The quick way into a file: whatever it holds, the drawing is the one that the library alone gives."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from contextlib import suppress
from itertools import chain
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.lldxf.const import DXFAttributeError, DXFVersionError
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import LeakmapError, UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.drawings.dxf.fast_runs import thinned
from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import as_bytes, document, finding

ROOT: Final = Path(__file__).resolve().parents[4]
SAMPLES: Final = sorted((ROOT / "sample_plans").glob("*.dxf"))
FOREIGN: Final = sorted((ROOT.parent / "shared" / "corpus").glob("*/*.dxf"))
LAYERS: Final = ("0", "WALLS", "walls", "T\u00fcren", "Not in the table")

Add = Callable[[Any, random.Random], object]


def read_both_ways(data: bytes, **how: Any) -> Drawing | None:  # noqa: ANN401 - whatever the reader takes
    """What is read with and without the quick way, which must be the same; None where both refuse it."""
    ways: list[Drawing | str] = []
    for fast in (True, False):
        try:
            ways.append(read_dxf(data, fast=fast, **how))
        except LeakmapError as refused:
            ways.append(str(refused))
    quick, slow = ways
    if isinstance(quick, str) or isinstance(slow, str):
        assert quick == slow
        return None
    for name in ("xy", "starts", "layer"):
        of_quick, of_slow = getattr(quick.strokes, name), getattr(slow.strokes, name)
        assert of_quick.dtype == of_slow.dtype
        np.testing.assert_array_equal(of_quick, of_slow, strict=True)
    for name in ("origin", "layers", "texts", "unit", "shown", "findings"):
        assert getattr(quick, name) == getattr(slow, name)
    return quick


def somewhere(chance: random.Random) -> tuple[float, float, float]:
    """A place, now and then off the ground."""
    return chance.uniform(-9e3, 9e3), chance.uniform(-9e3, 9e3), chance.choice((0.0, 0.0, 2.5))


def style(chance: random.Random) -> dict[str, Any]:
    """Layer, colour and the like, of which some are seldom or wrong."""
    found: dict[str, Any] = {"layer": chance.choice(LAYERS)}
    if chance.random() < 0.4:
        found |= {"color": chance.choice((0, 7, 256)), "lineweight": chance.choice((-1, 13, 25))}
    if chance.random() < 0.1:
        found |= chance.choice(({"linetype": "DASHED"}, {"thickness": 2.5}, {"invisible": 1}, {"true_color": 255}))
    if chance.random() < 0.05:
        found |= {"extrusion": chance.choice(((0, 0, -1), (0, 0, 1), (0, 1, 0)))}
    return found


def polyline(space: Any, chance: random.Random) -> object:  # noqa: ANN401 - ezdxf's layouts
    """A light polyline, some with bows, widths and a height."""
    points = [(*somewhere(chance)[:2], chance.choice((0, 0, 0, 0, 0.4))) for _ in range(chance.randint(1, 5))]
    found = space.add_lwpolyline(points, "xyb", close=chance.random() < 0.5, dxfattribs=style(chance))
    if chance.random() < 0.2:
        found.dxf.elevation = 2.5
    return found


ADD: Final[Sequence[Add]] = (
    *[lambda s, c: s.add_line(somewhere(c), somewhere(c), dxfattribs=style(c))] * 4,
    *[lambda s, c: s.add_arc(somewhere(c), c.uniform(1, 900), c.uniform(-9, 400), c.uniform(-9, 400), True, style(c))]
    * 2,
    *[lambda s, c: s.add_circle(somewhere(c), c.choice((0.0, -3.0, 5.0, 800.0)), dxfattribs=style(c))] * 2,
    *[polyline] * 3,
    lambda s, c: s.add_text("4500", height=90, dxfattribs=style(c)).set_placement(somewhere(c)),
    lambda s, c: s.add_mtext("two\\Plines", dxfattribs=style(c)).set_location(somewhere(c)),
    lambda s, c: s.add_blockref(c.choice(("COLUMN", "column", "GONE")), somewhere(c), dxfattribs=style(c)),
    lambda s, c: s.add_polyline2d([somewhere(c)[:2] for _ in range(3)], dxfattribs=style(c)),
    lambda s, c: s.add_spline([somewhere(c) for _ in range(4)], dxfattribs=style(c)),
    lambda s, c: s.add_point(somewhere(c), dxfattribs=style(c)),
    lambda s, c: s.add_solid([somewhere(c) for _ in range(4)], dxfattribs=style(c)),
    lambda s, c: c.choice((s.add_xline, s.add_ray))(somewhere(c), (c.uniform(-1, 1), 1, 0), dxfattribs=style(c)),
    lambda s, c: s.add_ellipse(somewhere(c), (c.uniform(1, 90), 5, 0), 0.5, dxfattribs=style(c)),
)


def mixed(seed: int, version: str, unit: int) -> Document:
    """A file with entities of many kinds in any order, in the model and in a block."""
    chance = random.Random(seed)  # noqa: S311 - a drawing, no secret
    made = document(version=version, unit=unit)
    made.layers.add("WALLS")
    made.layers.add("T\u00fcren").off()
    for space, count in ((made.blocks.new("COLUMN"), chance.randint(0, 6)), (made.modelspace(), chance.randint(1, 40))):
        for _ in range(count):
            with suppress(DXFVersionError, DXFAttributeError):  # what an old version or a kind does not know
                chance.choice(ADD)(space, chance)
    return made


@settings(max_examples=60)
@given(
    seed=st.integers(0, 1 << 30),
    version=st.sampled_from(("R12", "R2000", "R2007", "R2018")),
    unit=st.sampled_from((0, 4, 6)),
)
def test_entities_of_many_kinds(seed: int, version: str, unit: int) -> None:
    """Kinds, layers, colours, line types, heights and blocks in any order give the same drawing either way."""
    read_both_ways(as_bytes(mixed(seed, version, unit)))


def damaged(data: bytes, chance: random.Random) -> bytes:
    """A file in which one to three lines are lost, doubled, exchanged or of odd content."""
    lines = data.splitlines()
    for _ in range(chance.randint(1, 3)):
        at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        match chance.randrange(6):
            case 0:
                del lines[at]
            case 1:
                lines.insert(at, lines[other])
            case 2:
                lines[at], lines[other] = lines[other], lines[at]
            case 3:
                lines[at] = chance.choice(
                    (b"nan", b"1e400", b"", b"  0", b"LINE", b"-5", b"1_0", b"\xfc", b"*", b"1.5")
                )
            case 4:
                pair = at // 2 * 2
                del lines[pair : pair + 2]
            case _:
                pair, from_ = at // 2 * 2, other // 2 * 2
                lines[pair:pair] = lines[from_ : from_ + 2]
    return b"\n".join(lines) + b"\n"


@pytest.mark.parametrize("seed", range(60))
def test_damaged_files(seed: int) -> None:
    """Lines lost, doubled or changed: the same drawing and findings either way, or the same refusal."""
    chance = random.Random(seed)  # noqa: S311 - damage, no secret
    data = as_bytes(mixed(seed, chance.choice(("R12", "R2000", "R2018")), chance.choice((0, 4))))
    start = data.index(b"BLOCKS") if chance.random() < 0.8 else 0
    stop = data.find(b"OBJECTS") if b"OBJECTS" in data else len(data)
    read_both_ways(data[:start] + damaged(data[start:stop], chance) + data[stop:])


def test_damage_behind_the_drawing_is_none_of_it() -> None:
    """What nothing on the drawing needs is not read: a fault there, at which the library stumbles, takes nothing away."""
    data = as_bytes(document(lambda msp: msp.add_line((0, 0), (9, 5))))
    broken = data.replace(b"AcDbDictionary\n", b"\n").replace(b"DICTIONARY", b"DICT")
    assert broken != data
    assert read_dxf(broken, fast=True).findings == read_dxf(data, fast=False).findings
    with pytest.raises(UnusableDrawing):
        read_dxf(broken, fast=False)


@pytest.mark.parametrize("path", SAMPLES + FOREIGN, ids=lambda path: path.name)
def test_files_of_many_hands(path: Path) -> None:
    """The sample plans, and files that nobody here wrote, give the same drawing either way."""
    read_both_ways(path.read_bytes())
    read_both_ways(path.read_bytes(), m_per_unit=0.0254)


def test_plain_records_are_taken_out() -> None:
    """Of a thousand lines, circles and polylines one record is left for the library, wherever texts stand between."""
    made = document()
    for x in range(1000):
        made.modelspace().add_line((x, 0), (x, 9))
        made.modelspace().add_circle((x, 0), 2)
        made.modelspace().add_lwpolyline([(x, 0), (x, 9), (0, 9)])
        if x % 10 == 0:
            made.modelspace().add_text("B2", height=3).set_placement((x, 0))
    found = thinned(as_bytes(made))
    assert found is not None
    assert len(found.runs) == 1
    assert len(found.data) < 0.2 * len(as_bytes(made))
    drawing = read_both_ways(as_bytes(made))
    assert drawing is not None
    assert len(drawing.strokes) == 3000


def test_an_old_file_without_handles() -> None:
    """R12 files need no handles: the runs are found all the same, and no finding names a handle that nobody gave."""
    made = document(lambda msp: msp.add_point((1, 1)), version="R12")
    for x in range(100):
        made.modelspace().add_line((x, 0), (x, 9))
    lines = as_bytes(made).splitlines()
    pairs = zip(lines[::2], lines[1::2], strict=True)
    start = lines.index(b"BLOCKS") // 2
    bare = b"\n".join(
        chain.from_iterable(pair for at, pair in enumerate(pairs) if at < start or pair[0].strip() != b"5")
    )
    assert thinned(bare + b"\n") is not None
    drawing = read_both_ways(bare + b"\n")
    assert drawing is not None
    assert finding(drawing, "points").where == ""
    assert finding(drawing, "points").effect is Effect.LOOK


def test_a_hatch_keeps_the_outline_that_it_names() -> None:
    """A record that another one points at is left to the library, which looks for it."""
    made = document()
    ring = made.modelspace().add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True)
    made.modelspace().add_line((0, 0), (1, 1))
    hatch = made.modelspace().add_hatch()
    hatch.associate(hatch.paths.add_polyline_path([(0, 0), (9, 0), (9, 9)], is_closed=True), [ring])
    data = as_bytes(made)
    found = thinned(data)
    assert found is not None
    assert ring.dxf.handle not in found.runs
    assert b"AcDbPolyline" in found.data
    read_both_ways(data)


def test_curves_are_as_fine_either_way_where_the_unit_is_not_known() -> None:
    """The rough size counts every place once."""
    made = document(unit=0)
    for x in range(30):
        made.modelspace().add_line((x * x, 0), (x, 9), dxfattribs={"layer": f"L{x}"})
    made.modelspace().add_circle((0, 0), 80)
    read_both_ways(as_bytes(made))


def test_pictures_of_dimensions_are_left_to_the_library() -> None:
    """It looks into their blocks by itself."""
    made = document()
    made.modelspace().add_linear_dim(base=(0, 5), p1=(0, 0), p2=(40, 0)).render()
    made.modelspace().add_line((0, 0), (40, 0))
    data = as_bytes(made)
    found = thinned(data)
    assert found is not None
    assert len(found.runs) == 1
    read_both_ways(data)

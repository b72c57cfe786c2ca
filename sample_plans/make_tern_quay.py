"""Draw the floor plans of Tern Quay, an invented pumping station, as two DXF files.

    python sample_plans/make_tern_quay.py [FOLDER]

The plans are in millimetres with grid point A/6 at the origin. Running the script again gives the
same plans. Everything in them is invented.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

LETTERS = dict(zip("ABCDEF", (0, 6000, 12000, 19200, 25200, 31200), strict=True))
NUMBERS = dict(zip("123456", (21600, 17400, 13200, 8400, 4200, 0), strict=True))
RIGHT, TOP = LETTERS["F"], NUMBERS["1"]

LAYERS = (
    ("GRID", 8, "DASHDOT2"),
    ("GRID-MARKS", 8, "CONTINUOUS"),
    ("WALLS", 7, "CONTINUOUS"),
    ("WALL-FILL", 9, "CONTINUOUS"),
    ("COLUMNS", 7, "CONTINUOUS"),
    ("PLANT", 5, "CONTINUOUS"),
    ("STAIRS", 6, "CONTINUOUS"),
    ("DOORS", 6, "CONTINUOUS"),
    ("ROOM-NAMES", 3, "CONTINUOUS"),
    ("NOTES", 3, "CONTINUOUS"),
    ("DIMENSIONS", 2, "CONTINUOUS"),
    ("SETTING-OUT", 1, "CONTINUOUS"),
)

Box = tuple[float, float, float, float]


def main() -> None:
    """Write both levels into a folder, by default the one that holds this script."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    kept = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        level_b1().saveas(folder / "tern_quay_b1.dxf")
        level_b2().saveas(folder / "tern_quay_b2.dxf")
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = kept


def level_b2() -> Drawing:
    """The lower level: dry well, wet wells, pump hall, switch room, valve chamber."""
    document, plan = blank()
    outer_walls(plan)
    wall(plan, (19000, 13000, 19400, 21400))
    wall(plan, (19400, 13000, 31000, 13400))
    wall(plan, (25050, 13400, 25350, 21400))
    wall(plan, (200, 8350, 1500, 8550))
    wall(plan, (2500, 8350, 6000, 8550))
    wall(plan, (5900, 200, 6100, 8350))
    wall(plan, (22600, 4300, 31000, 4500))
    wall(plan, (22600, 3000, 22800, 4300))
    wall(plan, (22600, 200, 22800, 1700))
    wall(plan, (12000, 3100, 13900, 3200))
    wall(plan, (17200, 3100, 19400, 3200))
    door(plan, hinge=(2500, 8450), radius=1000, start=180, end=270)
    door(plan, hinge=(22700, 1700), radius=1300, start=90, end=180)
    columns(plan, skip={"D2", "E2", "D3", "E3", "B6"})
    sump(plan, (9900, 14700, 11600, 16400))
    for number, x in enumerate((17100, 20400, 27900), start=1):
        pump(plan, (x, 10700), f"PUMP {number}")
    pipe(plan, (28200, 16200), 250)
    stairs(plan, (10400, 1700, 13500, 3100), treads=11)
    switchgear(plan, (900, 900), count=5)
    rooms = {
        "DRY WELL": (3600, 15300),
        "SUMP": (10750, 14100),
        "WET WELL 1": (22300, 18600),
        "WET WELL 2": (28200, 18600),
        "SWITCH ROOM": (3200, 1900),
        "PUMP HALL": (26900, 6900),
        "VALVE CHAMBER": (26800, 2700),
    }
    texts(plan, rooms, title="TERN QUAY PUMPING STATION\nLEVEL B2  SLAB -7.80", level="B2")
    return document


def level_b1() -> Drawing:
    """The upper level: control room, stores, hatch hall, over the wet wells a slab with openings."""
    document, plan = blank()
    outer_walls(plan)
    wall(plan, (19000, 13000, 19400, 21400))
    wall(plan, (19400, 13000, 31000, 13400))
    wall(plan, (200, 8350, 6000, 8550))
    wall(plan, (5900, 4600, 6100, 8350))
    wall(plan, (5900, 200, 6100, 3600))
    wall(plan, (22600, 200, 22800, 6000))
    wall(plan, (24000, 5900, 31000, 6100))
    door(plan, hinge=(6000, 4600), radius=1000, start=180, end=270)
    door(plan, hinge=(24000, 6000), radius=1200, start=90, end=180)
    columns(plan, skip={"D2", "E2", "D3", "E3", "B6"})
    for box in ((15900, 9400, 18300, 12000), (20100, 14600, 23700, 16400), (26400, 14600, 30000, 16400)):
        opening(plan, box)
    stairs(plan, (10400, 1700, 13500, 3100), treads=11)
    switchgear(plan, (900, 5200), count=6)
    rooms = {
        "CONTROL ROOM": (3100, 2300),
        "HATCH HALL": (11000, 12000),
        "OVER WET WELLS": (25200, 18600),
        "STORE": (27300, 3000),
        "HATCH": (17100, 12300),
    }
    texts(plan, rooms, title="TERN QUAY PUMPING STATION\nLEVEL B1  SLAB -3.60", level="B1")
    return document


def blank() -> tuple[Drawing, Modelspace]:
    """An empty plan in millimetres with the layers, the block of the grid bubble, grid and dimensions."""
    document = ezdxf.new("R2018", setup=True, units=ezdxf.units.MM)
    for name, colour, linetype in LAYERS:
        document.layers.add(name, color=colour, linetype=linetype)
    document.layers.get("SETTING-OUT").off()
    bubble = document.blocks.new("GRID_BUBBLE")
    bubble.add_circle((0, 0), 400, dxfattribs={"layer": "0"})
    bubble.add_attdef("AXIS", (0, 0), height=350, dxfattribs={"layer": "0"}).set_placement(
        (0, 0), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER
    )
    plan = document.modelspace()
    grid(plan)
    dimensions(plan)
    plan.add_lwpolyline([(0, 0), (RIGHT, 0), (RIGHT, TOP), (0, TOP)], close=True, dxfattribs={"layer": "SETTING-OUT"})
    return document, plan


def grid(plan: Modelspace) -> None:
    """Axes A to F and 1 to 6, each with a bubble at its end."""
    for letter, x in LETTERS.items():
        plan.add_line((x, -1200), (x, TOP + 1600), dxfattribs={"layer": "GRID"})
        axis(plan, letter, (x, TOP + 2000))
    for number, y in NUMBERS.items():
        plan.add_line((-1600, y), (RIGHT + 1200, y), dxfattribs={"layer": "GRID"})
        axis(plan, number, (-2000, y))


def axis(plan: Modelspace, name: str, at: tuple[float, float]) -> None:
    """One grid bubble."""
    insert = plan.add_blockref("GRID_BUBBLE", at, dxfattribs={"layer": "GRID-MARKS"})
    insert.add_auto_attribs({"AXIS": name})


def dimensions(plan: Modelspace) -> None:
    """Chains of dimensions above and at the left, and one over all."""
    attributes = {"layer": "DIMENSIONS"}
    override = {"dimtxt": 250, "dimasz": 200, "dimexe": 100, "dimexo": 200, "dimgap": 80, "dimlfac": 1, "dimdec": 0}
    for a, b in pairwise(LETTERS.values()):
        plan.add_linear_dim((0, TOP + 900), (a, TOP), (b, TOP), override=override, dxfattribs=attributes).render()
    for a, b in pairwise(NUMBERS.values()):
        plan.add_linear_dim((-900, 0), (0, b), (0, a), angle=90, override=override, dxfattribs=attributes).render()
    plan.add_linear_dim((0, -2200), (0, 0), (RIGHT, 0), override=override, dxfattribs=attributes).render()


def outer_walls(plan: Modelspace) -> None:
    """Outer walls 400 mm thick, centred on the outer axes: two closed outlines and the fill between."""
    outer, inner = rectangle((-200, -200, RIGHT + 200, TOP + 200)), rectangle((200, 200, RIGHT - 200, TOP - 200))
    for outline in (outer, inner):
        plan.add_lwpolyline(outline, close=True, dxfattribs={"layer": "WALLS"})
    fill = plan.add_hatch(dxfattribs={"layer": "WALL-FILL"})
    fill.set_pattern_fill("ANSI31", scale=40)
    fill.paths.add_polyline_path(outer, is_closed=True, flags=1)
    fill.paths.add_polyline_path(inner, is_closed=True, flags=16)


def wall(plan: Modelspace, box: Box) -> None:
    """An inner wall as a closed outline with fill."""
    plan.add_lwpolyline(rectangle(box), close=True, dxfattribs={"layer": "WALLS"})
    fill = plan.add_hatch(dxfattribs={"layer": "WALL-FILL"})
    fill.set_pattern_fill("ANSI31", scale=40)
    fill.paths.add_polyline_path(rectangle(box), is_closed=True)


def columns(plan: Modelspace, *, skip: Iterable[str]) -> None:
    """Columns 400 by 400 mm on the inner crossings of the grid."""
    left_out = set(skip)
    for letter in "BCDE":
        for number in "2345":
            if letter + number not in left_out:
                x, y = LETTERS[letter], NUMBERS[number]
                outline = rectangle((x - 200, y - 200, x + 200, y + 200))
                plan.add_lwpolyline(outline, close=True, dxfattribs={"layer": "COLUMNS"})


def door(plan: Modelspace, *, hinge: tuple[float, float], radius: float, start: float, end: float) -> None:
    """A door leaf and its swing."""
    plan.add_arc(hinge, radius, start, end, dxfattribs={"layer": "DOORS"})
    plan.add_line(
        hinge, (hinge[0], hinge[1] - radius if end == 270 else hinge[1] + radius), dxfattribs={"layer": "DOORS"}
    )


def sump(plan: Modelspace, box: Box) -> None:
    """A pit with crossed diagonals."""
    x0, y0, x1, y1 = box
    for inset in (0, 200):
        outline = rectangle((x0 + inset, y0 + inset, x1 - inset, y1 - inset))
        plan.add_lwpolyline(outline, close=True, dxfattribs={"layer": "PLANT"})
    plan.add_line((x0 + 200, y0 + 200), (x1 - 200, y1 - 200), dxfattribs={"layer": "PLANT"})
    plan.add_line((x0 + 200, y1 - 200), (x1 - 200, y0 + 200), dxfattribs={"layer": "PLANT"})


def pump(plan: Modelspace, at: tuple[float, float], name: str) -> None:
    """A pump as two circles with its suction pipe from the wet well."""
    x, y = at
    for radius in (600, 330):
        plan.add_circle(at, radius, dxfattribs={"layer": "PLANT"})
    for side in (-130, 130):
        plan.add_line((x + side, y + 585), (x + side, 13000), dxfattribs={"layer": "PLANT"})
    label(plan, name, (x, y - 1250), 300, "ROOM-NAMES")


def pipe(plan: Modelspace, at: tuple[float, float], radius: float) -> None:
    """A riser through the floor."""
    plan.add_circle(at, radius, dxfattribs={"layer": "PLANT"})
    plan.add_circle(at, radius - 40, dxfattribs={"layer": "PLANT"})


def opening(plan: Modelspace, box: Box) -> None:
    """An opening in the slab."""
    x0, y0, x1, y1 = box
    plan.add_lwpolyline(rectangle(box), close=True, dxfattribs={"layer": "PLANT"})
    plan.add_lwpolyline([(x0, y0), ((x0 + x1) / 2, (y0 + y1) / 2 - 300), (x1, y1)], dxfattribs={"layer": "PLANT"})


def stairs(plan: Modelspace, box: Box, *, treads: int) -> None:
    """A straight flight with a line of travel."""
    x0, y0, x1, y1 = box
    plan.add_lwpolyline(rectangle(box), close=True, dxfattribs={"layer": "STAIRS"})
    for k in range(1, treads):
        x = x0 + (x1 - x0) * k / treads
        plan.add_line((x, y0), (x, y1), dxfattribs={"layer": "STAIRS"})
    middle = (y0 + y1) / 2
    plan.add_line((x0 + 150, middle), (x1 - 150, middle), dxfattribs={"layer": "STAIRS"})


def switchgear(plan: Modelspace, at: tuple[float, float], *, count: int) -> None:
    """A row of cabinets."""
    for k in range(count):
        box = (at[0] + 800 * k, at[1], at[0] + 800 * (k + 1), at[1] + 600)
        plan.add_lwpolyline(rectangle(box), close=True, dxfattribs={"layer": "PLANT"})


def texts(plan: Modelspace, rooms: dict[str, tuple[float, float]], *, title: str, level: str) -> None:
    """Room names, the title and a note."""
    for name, at in rooms.items():
        label(plan, name, at, 350, "ROOM-NAMES")
    plan.add_mtext(
        title, dxfattribs={"layer": "NOTES", "char_height": 400, "insert": (0, -2900), "attachment_point": 1}
    )
    note = f"Level {level}. All dimensions in millimetres. Levels in metres over the site datum."
    plan.add_text(note, height=250, dxfattribs={"layer": "NOTES"}).set_placement((16000, -3300))


def label(plan: Modelspace, words: str, at: tuple[float, float], height: float, layer: str) -> None:
    """A text set in the middle of a point."""
    middle = ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER
    plan.add_text(words, height=height, dxfattribs={"layer": layer}).set_placement(at, align=middle)


def rectangle(box: Box) -> list[tuple[float, float]]:
    """Corners of a box, counter-clockwise from its lower left."""
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


if __name__ == "__main__":
    main()

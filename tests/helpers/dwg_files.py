"""DWG files for tests, written by the writer of the library that reads them."""

from __future__ import annotations

from pathlib import Path

import ezdwg

MILLIMETRE = 4


def dwg(folder: Path, *, unit: int = MILLIMETRE) -> bytes:
    """A small plan as DWG: two walls, a closed outline, a door, a column and a text."""
    made = ezdwg.new()
    made.header["insunits"] = unit
    made.layers["WALLS"] = {"color_index": 1}
    space = made.modelspace()
    space.add_line((0, 0), (6000, 0), layer="WALLS")
    space.add_line((0, 0), (0, 4200), layer="WALLS")
    space.add_lwpolyline([(0, 0), (1000, 0), (1000, 1000)], closed=True)
    space.add_arc((0, 0), 900, 0, 90)
    space.add_circle((3000, 2000), 500)
    space.add_text("PUMPS", (100, 100), height=250)
    file = folder / "plan.dwg"
    made.save(file)
    return file.read_bytes()

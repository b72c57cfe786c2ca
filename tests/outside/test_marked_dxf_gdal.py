"""The marked drawing read by GDAL, which shares no code with the library that wrote it.

GDAL's DXF driver (https://gdal.org/drivers/vector/dxf.html) reads entities with layer, handle, text
and geometry. It needs the option DXF_ENCODING for files in UTF-8.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from math import hypot
from pathlib import Path

import pyogrio
import pyogrio.raw
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.opening import read_drawing
from leakmap.geometry.placement import Placement
from leakmap.issue.marked_dxf.document import fixed_metadata
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.model.sheet import Source
from leakmap.work.from_marked import job_from_marked
from tests.helpers.marked_files import marked_with_record
from tests.helpers.marked_job import HEADING, job_on, joints, leaks, plan_bytes, repairs, sheet_b1, sheet_b2

CORPUS = Path(__file__).parents[3] / "shared" / "corpus" / "real"
SURVEY = Placement(origin=(3_450_000_000.0, 5_680_000_000.0), x_m_per_unit=0.001, y_m_per_unit=0.001)


@dataclass(frozen=True)
class Seen:
    """An entity as GDAL reads it; a block reference gives one for each of its parts."""

    handle: str
    layer: str
    text: str
    geometry: bytes

    @property
    def shape(self) -> BaseGeometry:
        """Its geometry."""
        return shapely.from_wkb(self.geometry)


@pytest.fixture(autouse=True)
def _utf8() -> Iterator[None]:
    pyogrio.set_gdal_config_options({"DXF_ENCODING": "UTF-8"})
    yield
    pyogrio.set_gdal_config_options({"DXF_ENCODING": None})


def _seen(data: bytes, folder: Path) -> list[Seen]:
    path = folder / f"{hashlib.sha256(data).hexdigest()[:12]}.dxf"
    path.write_bytes(data)
    meta, _, geometry, fields = pyogrio.raw.read(path, layer="entities")
    named = dict(zip(meta["fields"], fields, strict=True))
    columns = (named["EntityHandle"], named["Layer"], named["Text"], geometry)
    return [
        Seen(str(h), str(layer), "" if text is None else str(text), g)
        for h, layer, text, g in zip(*columns, strict=True)
    ]


def _by_handle(seen: list[Seen]) -> dict[str, list[bytes]]:
    found: dict[str, list[bytes]] = {}
    for entity in seen:
        found.setdefault(entity.handle, []).append(entity.geometry)
    return found


@cache
def _pair(placement: Placement, note: str = "") -> tuple[bytes, bytes]:
    source = plan_bytes(origin=placement.origin)
    return source, _marked(source, placement, note)


def _marked(source: bytes, placement: Placement, note: str = "", name: str = "quay b2.dxf") -> bytes:
    held = Source(name=name, sha256=hashlib.sha256(source).hexdigest())
    wet = [replace(leak, note=note) for leak in leaks()]
    job = job_on([replace(sheet_b2(None, placement), source=held), sheet_b1()], with_leaks=wet)
    made = marked_dxf(job, repairs(), sources={held.sha256: source}, heading=HEADING)
    return next(iter(made.files.values()))


def test_every_original_geometry_is_equal_by_handle(tmp_path: Path) -> None:
    """Lines, arcs, bulges, ellipses, circles, mirrored blocks and texts of the drawing: bit for bit as they were.

    The drawing lies at survey coordinates, 3,450 and 5,680 km from its zero.
    """
    source, marked = _pair(SURVEY)
    before, after = _by_handle(_seen(source, tmp_path)), _by_handle(_seen(marked, tmp_path))
    assert len(before) == 29
    assert {handle: after.get(handle) for handle in before} == before


def test_our_marks_lie_on_their_layers_with_exact_coordinates(tmp_path: Path) -> None:
    """The corners of each plain joint lie within 0.1 mm of the placed ones; a tenth of a drawing unit."""
    seen = _seen(_pair(SURVEY)[1], tmp_path)
    layers = {
        "construction": "WP-JOINT-CONSTRUCTION",
        "contraction": "WP-JOINT-CONTRACTION",
        "wall-base": "WP-JOINT-WALLBASE",
    }
    for joint in joints():
        if joint.path is None or joint.kind.value not in layers:
            continue
        wanted = [SURVEY.to_drawing(corner) for corner in joint.path.corners]
        lines = [entity.shape for entity in seen if entity.layer == layers[joint.kind.value]]
        best = min((line for line in lines if len(line.coords) == len(wanted)), key=lambda line: _away(line, wanted))
        assert _away(best, wanted) < 0.1


def _away(line: BaseGeometry, wanted: list[tuple[float, float]]) -> float:
    return max(hypot(c[0] - x, c[1] - y) for c, (x, y) in zip(line.coords, wanted, strict=True))


def test_zone_outlines_have_the_area_of_their_bands(tmp_path: Path) -> None:
    """The outline of each zone that lies in plan has the area of its band of the work-out, to a square millimetre."""
    seen = _seen(_pair(SURVEY)[1], tmp_path)
    outlines = [shapely.Polygon(entity.shape.coords) for entity in seen if entity.layer.startswith("WP-ZONE-OUTLINE")]
    outlines += [shapely.Polygon(entity.shape.coords) for entity in seen if entity.layer == "WP-ZONE-PROVISIONAL"]
    areas = [outline.area / 1e6 for outline in outlines]
    for zone in repairs().zones:
        for band in zone.bands:
            wanted = sum(shapely.Polygon(rings[0], rings[1:]).area for rings in band.rings)
            assert min(abs(area - wanted) for area in areas) < 1e-6


def test_references_stand_on_the_plan(tmp_path: Path) -> None:
    """Every zone, joint and leak is named by a text, in the colour layer of its kind."""
    words = {(entity.layer, entity.text) for entity in _seen(_pair(SURVEY)[1], tmp_path)}
    assert {("WP-ZONE-TEXT", zone.ref) for zone in repairs().zones if not zone.provisional} <= words
    assert ("WP-ZONE-TEXT", "Z-04 provisional") in words
    assert {("WP-LEAK-TEXT", leak.ref) for leak in leaks()} <= words
    assert {("WP-JOINT-TEXT", joint.ref) for joint in joints() if not joint.vertical} <= words
    assert ("WP-JOINT-TEXT", "V-01  4.20") in words


@pytest.mark.slow
@pytest.mark.parametrize(
    "note",
    [r"{\H5;x}", "5^2 ^J", "насос 💧", "a\tb", "x" * 255, r"C:\Plans\new"],
    ids=["codes", "carets", "letters", "tab", "long", "backslashes"],
)
def test_typed_text_is_read_as_typed(note: str, tmp_path: Path) -> None:
    """A note of a leak is an attribute; a second reader shows what was typed."""
    words = {entity.text for entity in _seen(_pair(SURVEY, note)[1], tmp_path)}
    assert note in words


@pytest.mark.slow
@pytest.mark.parametrize("name", ["barcelona_plan.dxf", "barcelona_pabellon.dxf", "evil_plan.dxf"])
def test_real_drawings_keep_their_geometry(name: str, tmp_path: Path) -> None:
    """Drawings that nobody here wrote: every geometry equal by handle."""
    path = CORPUS / name
    if not path.exists():
        pytest.skip(f"{name} of the shared corpus is not here")
    source = path.read_bytes()
    with fixed_metadata():
        marked = _marked(source, Placement(), name=name)
    before, after = _by_handle(_seen(source, tmp_path)), _by_handle(_seen(marked, tmp_path))
    assert len(before) > 20
    assert {handle: after.get(handle) for handle in before} == before


@pytest.mark.filterwarnings("ignore:'crs' was not provided")  # a drawing has none
def test_a_program_that_keeps_lines_alone_loses_the_record_and_that_is_one_sentence(tmp_path: Path) -> None:
    """GDAL reads the marked drawing and writes it anew: the lines are there, the record is not, and a job is refused."""
    before, after = tmp_path / "marked.dxf", tmp_path / "anew.dxf"
    before.write_bytes(marked_with_record())
    meta, _, geometry, fields = pyogrio.raw.read(before, layer="entities", columns=["Layer", "Text"])
    kept = [index for index, each in enumerate(geometry) if not shapely.from_wkb(each).geom_type.startswith("Geometry")]
    pyogrio.raw.write(
        after, geometry[kept], [field[kept] for field in fields], fields=list(meta["fields"]), geometry_type="Unknown",
        driver="DXF",
    )  # fmt: skip
    assert len(read_drawing("anew.dxf", after.read_bytes()).strokes) > 29
    with pytest.raises(UnusableDrawing, match=r"anew.dxf holds no record of a job: .* or the record was purged"):
        job_from_marked("anew.dxf", after.read_bytes())

"""Blocks with attributes."""

from __future__ import annotations

import ezdxf
import pytest
from ezdxf.entities import Insert

from leakmap.geometry.placement import Placement
from leakmap.issue.marked_dxf.layers import add_layers
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.tags import TAGS, Tagger, add_blocks, block_name, stem_of
from leakmap.issue.marks.primitives import Coat, Mark, What
from leakmap.issue.marks.signs import relief_sign
from tests.helpers.marked_files import blocks_of, sample


def test_every_attribute_is_defined_in_its_block() -> None:
    """Each block that was put has only attributes that its definition names, so that tables can be made of them."""
    doc = sample()
    for what, name in ((What.LEAK, "LEAK"), (What.ZONE, "ZONE"), (What.RELIEF, "RELIEF"), (What.VERTICAL, "VERTICAL")):
        defined = {attdef.dxf.tag for attdef in doc.blocks.get(f"WP-{name}").attdefs()}
        assert defined == {"LABEL", *TAGS[what]}
        for insert in blocks_of(doc, name).values():
            assert {attrib.dxf.tag for attrib in insert.attribs} - {"LABEL"} == set(TAGS[what])


def test_every_kind_tells_reference_length_and_status() -> None:
    """Whatever is marked, a table of its blocks has these three columns; a point is 0 long."""
    assert all({"REF", "LENGTH_M", "STATUS"} <= set(names) for names in TAGS.values())
    doc = sample()
    statuses = {
        (name, ref): insert.get_attrib_text("STATUS")
        for name in ("LEAK", "ZONE", "JOINT", "RELIEF", "BLIND", "CUT")
        for ref, insert in blocks_of(doc, name).items()
    }
    assert statuses["LEAK", "L-06"] == statuses["JOINT", "J-04"] == "another method"
    assert (statuses["ZONE", "Z-01"], statuses["ZONE", "Z-04"]) == ("firm", "provisional")
    assert (statuses["JOINT", "J-01"], statuses["BLIND", "J-06"]) == ("repaired", "cleared")
    assert blocks_of(doc, "RELIEF")["Z-02"].get_attrib_text("LENGTH_M") == "0.000"


@pytest.mark.parametrize("aside", [(0.0, 1.0), (1.0, 0.0), (0.6, -0.8)])
def test_a_relief_block_is_the_sign_of_the_plan(aside: tuple[float, float]) -> None:
    """The turned and sized block has its stem's end where the plan's own sign has it."""
    doc = ezdxf.new("R2018")
    plane = Plane(placement=Placement(x_m_per_unit=0.001, y_m_per_unit=0.001), scale=50.0, whole=50.0)
    add_layers(doc, "WP", plane.unit)
    add_blocks(doc, "WP")
    signs = relief_sign((2.0, 3.0), aside, 50.0)
    mark = Mark(what=What.RELIEF, ref="Z-01", item=None, coat=Coat.RELIEF, primitives=signs)
    assert stem_of(mark)[1] == pytest.approx(aside)
    Tagger(space=doc.modelspace(), plane=plane, discipline="WP").relief(mark, {"REF": "Z-01"})
    (insert,) = doc.modelspace().query("INSERT")
    assert isinstance(insert, Insert)
    stem = next(part for part in insert.virtual_entities() if part.dxftype() == "LWPOLYLINE")
    end = stem.get_points()[-1][:2]
    assert end == pytest.approx(plane.place(signs[0].points[-1]))


def test_block_names_tell_kind_and_way() -> None:
    """The lozenges of vertical joints differ by their way."""
    assert block_name("WP", What.VERTICAL, "UP") == "WP-VERTICAL-UP"
    assert block_name("WP2", What.LEAK) == "WP2-LEAK"

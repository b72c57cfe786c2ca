"""Blocks with attributes: what programs and people read of every leak, zone, joint and relief point.

The reference that stands on the plan is an attribute of its block; the others are hidden. Names of
attributes are stable: units stand in them, metres and millimetres, with a point and three decimals.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.mtext import MText
from ezdxf.layouts.base import BaseLayout
from ezdxf.layouts.blocklayout import BlockLayout

from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.issue.marked_dxf.layers import layer_name
from leakmap.issue.marked_dxf.paint import TEXT_CONTENT, Painter
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.text import cut_to, needs_paragraph, one_line, paragraph
from leakmap.issue.marked_dxf.xdata import add_app_id
from leakmap.issue.marks.primitives import PAPER_SCALE, Coat, Disc, Label, Line, Mark, What, on_site
from leakmap.issue.marks.signs import Way, lozenge, relief_sign

Facts = Mapping[str, str]
"""Attributes of one thing: name to value, in the order of the block's definition."""

FONT_FILE: Final = "arial.ttf"
BOLD_FILE: Final = "arialbd.ttf"
FONT_FAMILY: Final = "Arial"
"""A face that most systems have; a program without the file takes the family, or its own fallback."""

_LEAK: Final = (
    *("REF", "SHEET", "JOINT", "FROM_M", "TO_M", "LENGTH_M", "WETNESS", "WETNESS_WORD"),
    *("WORST_M", "FLOW_L_MIN", "SEEN", "ZONE", "STATUS", "NOTE", "REVISION"),
)
_ZONE: Final = (
    *("REF", "SHEET", "JOINT", "FROM_M", "TO_M", "ROWS", "LENGTH_M", "CHARGEABLE_M", "WET_M", "BRIDGED_M", "BLIND_M"),
    *(
        "DEPTH_MM",
        "METHOD",
        "RELIEF_POINTS",
        "STATUS",
        "PROVISIONAL",
        "HOLDS",
        "COAT1_M2",
        "COAT2_M2",
        "SLOT_L",
        "PLUG_L",
    ),
    *("DRYPACK_L", "REVISION"),
)
_JOINT: Final = ("REF", "SHEET", "KIND", "FACE", "HEIGHT_M", "START_M", "LENGTH_M", "STATUS", "REPAIRABLE", "REVISION")

TAGS: Final = {
    What.LEAK: _LEAK,
    What.ZONE: _ZONE,
    What.JOINT: _JOINT,
    What.VERTICAL: (*_JOINT, "HEAD_SHEET", "RISE_M"),
    What.RELIEF: (
        *("REF", "SHEET", "JOINT", "AT_M", "LENGTH_M", "STATUS", "DEPTH_MM", "WETNESS", "WETNESS_WORD", "HOLE_L"),
        "REVISION",
    ),
    What.BLIND: ("REF", "SHEET", "FROM_M", "TO_M", "LENGTH_M", "STATUS", "HIDDEN_BY", "CLEARED_BY", "REVISION"),
    What.CUT: ("REF", "SHEET", "AT_M", "LENGTH_M", "STATUS", "REVISION"),
}
"""Attributes by kind, each with its reference, its length (0 at a point) and its status. LABEL stands before them where words on the plan say more than the reference."""

_NAMES: Final = {
    What.LEAK: "LEAK",
    What.ZONE: "ZONE",
    What.JOINT: "JOINT",
    What.VERTICAL: "VERTICAL",
    What.RELIEF: "RELIEF",
    What.BLIND: "BLIND",
    What.CUT: "CUT",
}
_HIDDEN_MM: Final = 1.8
_ONE_TO_ONE: Final = Plane(placement=Placement(), scale=PAPER_SCALE, whole=1.0)


def style_name(discipline: str, *, bold: bool = False) -> str:
    """Name of a text style of ours."""
    return layer_name(discipline, "TEXT-BOLD" if bold else "TEXT")


def block_name(discipline: str, what: What, way: str = "") -> str:
    """Name of a block of ours."""
    return layer_name(discipline, f"{_NAMES[what]}-{way}" if way else _NAMES[what])


def add_blocks(doc: Drawing, discipline: str) -> None:
    """Make our text styles and our blocks, whose unit is a millimetre on paper."""
    for bold, file in ((False, FONT_FILE), (True, BOLD_FILE)):
        style = doc.styles.add(style_name(discipline, bold=bold), font=file)
        style.set_extended_font_data(FONT_FAMILY, bold=bold)
    add_app_id(doc)
    if not doc.objects.query("WIPEOUTVARIABLES"):
        doc.set_wipeout_variables(frame=0)  # type: ignore[no-untyped-call]  # not annotated there
    for what, names in TAGS.items():
        block = doc.blocks.new(block_name(discipline, what))
        if what is What.RELIEF:
            _draw(block, discipline, _relief())
        for name in ("LABEL", *names):
            _define(block, name, discipline, hidden=name != "LABEL", what=what)
    for way in Way:
        block = doc.blocks.new(block_name(discipline, What.VERTICAL, way.name))
        signs = lozenge((0.0, 0.0), way, PAPER_SCALE)
        _draw(block, discipline, Mark(what=What.VERTICAL, ref="", item=None, coat=Coat.VERTICAL, primitives=signs))


def _relief() -> Mark:
    signs = relief_sign((0.0, 0.0), (0.0, 1.0), PAPER_SCALE)
    return Mark(what=What.RELIEF, ref="", item=None, coat=Coat.RELIEF, primitives=signs)


def _draw(block: BlockLayout, discipline: str, mark: Mark) -> None:
    Painter(space=block, plane=_ONE_TO_ONE, discipline=discipline).mark(mark)


def _define(block: BlockLayout, name: str, discipline: str, *, hidden: bool, what: What) -> None:
    content = "TAG-HIDDEN" if hidden else TEXT_CONTENT.get(what, "JOINT-TEXT")
    look = {"layer": layer_name(discipline, content), "style": style_name(discipline), "prompt": name}
    attdef = block.add_attdef(name, (0, 0), "", height=_HIDDEN_MM, dxfattribs=look)
    attdef.is_invisible = hidden


@dataclass(frozen=True, slots=True, kw_only=True)
class Tagger:
    """Puts blocks with attributes into the model space of a drawing."""

    space: BaseLayout
    plane: Plane
    discipline: str

    def label(self, what: What, label: Label, facts: Facts) -> None:
        """Put the block of a thing whose reference stands on the plan, at its label."""
        unit, cap = self.plane.unit, label.cap_height_m / on_site(1, self.plane.scale)
        shown = "REF" if label.words == facts["REF"] else "LABEL"
        values = {"LABEL": label.words, **facts} if shown == "LABEL" else dict(facts)
        self._insert(what, self.plane.place(label.at), values, shown=shown, height=cap * unit)

    def point(self, what: What, at: Point, facts: Facts, *, turn_deg: float = 0.0) -> None:
        """Put the block of a thing that has no words on the plan."""
        self._insert(
            what, self.plane.place(at), facts, shown="", height=_HIDDEN_MM * self.plane.unit, turn_deg=turn_deg
        )

    def relief(self, mark: Mark, facts: Facts) -> None:
        """Put a relief point: its sign is the block, turned as the mark's stem."""
        at, (ax, ay) = stem_of(mark)
        self.point(What.RELIEF, at, facts, turn_deg=self.plane.turn_deg((ax, ay)) - 90)

    def lozenge(self, at: Point, way: str) -> None:
        """Put the sign of a vertical joint; its attributes stand at its label."""
        name = block_name(self.discipline, What.VERTICAL, way.upper())
        self.space.add_blockref(name, self.plane.place(at), dxfattribs=self._size(What.VERTICAL, 0.0))

    def _size(self, what: What, turn_deg: float) -> dict[str, object]:
        content = {What.RELIEF: "RELIEF-POINT", What.VERTICAL: "JOINT-VERTICAL"}.get(what) or TEXT_CONTENT.get(
            what, "JOINT-TEXT"
        )
        unit = self.plane.unit
        return {
            "layer": layer_name(self.discipline, content),
            "xscale": unit,
            "yscale": unit,
            "zscale": unit,
            "rotation": turn_deg,
        }

    def _insert(
        self, what: What, at: Point, values: Facts, *, shown: str, height: float, turn_deg: float = 0.0
    ) -> None:
        insert = self.space.add_blockref(block_name(self.discipline, what), at, dxfattribs=self._size(what, turn_deg))
        text = layer_name(self.discipline, TEXT_CONTENT.get(what, "JOINT-TEXT"))
        for name, value in values.items():
            look = {
                "layer": text if name == shown else layer_name(self.discipline, "TAG-HIDDEN"),
                "style": style_name(self.discipline),
                "height": height,
            }
            attrib = insert.add_attrib(name, cut_to(one_line(value)), at, dxfattribs=look)
            if needs_paragraph(value):
                words = {"text": paragraph(value), "insert": at, "char_height": height, "style": look["style"]}
                attrib.embed_mtext(MText.new(dxfattribs=words, doc=insert.doc), graphic_properties=False)
            attrib.is_invisible = name != shown


def stem_of(mark: Mark) -> tuple[Point, Point]:
    """Where a relief sign stands, and the unit vector of its stem."""
    centre = next(part.centre for part in mark.primitives if isinstance(part, Disc))
    end = next(part.points[-1] for part in mark.primitives if isinstance(part, Line))
    dx, dy = end[0] - centre[0], end[1] - centre[1]
    return centre, (dx / hypot(dx, dy), dy / hypot(dx, dy))

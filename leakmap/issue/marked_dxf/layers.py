"""Our layers in a marked drawing: one scheme, colours and line types set by layer.

A name is discipline-element-content, such as ``WP-LEAK-DRIP``. The discipline is WP, for
waterproofing; where the drawing already has layers, blocks, line types or text styles that begin with
it, ours are WP2, WP3 and so on. ``LOOKS`` lists every element and content; ``layer_table`` prints them, in the README
as in the description of each layer in the drawing.

Of the fields of ISO 13567-2 (from memory) the discipline is the agent responsible, element and content are the element,
and what a layer presents is said by its content and in the table. Status and the other optional fields are not in the
names: all our marks are of one status, planned work, and what each may be used for stands in its attributes.

A tint is a light colour, half clear: it stays a tint in a program that shows or prints nothing clear.
Ink is colour 7, which is dark on paper and light on a dark screen. Water and repair are true colours
that can be read on both. Number, hatch and line type say the same as colour, so black and white will do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from ezdxf.document import Drawing

from leakmap.base.errors import BadValue
from leakmap.issue.marks.leaks import SUSPECT_OUTLINE
from leakmap.issue.marks.lines import PENS
from leakmap.issue.marks.zones import PROVISIONAL_PEN
from leakmap.model.words import Kind

DISCIPLINE: Final = "WP"
FORBIDDEN: Final = '<>/\\":;?*|,=`'
"""Characters that a drawing's names must not hold (from memory of the DXF reference)."""

INK: Final = 7
Rgb = tuple[int, int, int]
WATER: Final[Rgb] = (0x1F, 0x63, 0x9F)
REPAIR: Final[Rgb] = (0xA6, 0x3A, 0x1E)
_FAINT: Final[Rgb] = (0x80, 0x86, 0x89)
_FILLS: Final[tuple[Rgb, ...]] = (
    (0xDC, 0xE9, 0xF3),
    (0xB9, 0xD4, 0xE8),
    (0x86, 0xB4, 0xD9),
    (0x4C, 0x8C, 0xC2),
    (0x1F, 0x63, 0x9F),
)


class Shows(StrEnum):
    """What a layer presents of its element."""

    ELEMENT = "element"
    HATCH = "hatch"
    TEXT = "text"
    PAGE = "page"


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What a layer of ours holds and how it looks.

    Attributes:
        shows: What it presents.
        words: What lies on it, for people; it stands in the drawing too.
        rgb: True colour; None: ink.
        weight: Line weight, hundredths of a millimetre; one of the sizes that the format knows.
        dash_mm: Lengths on paper, drawn and left open in turn, 0 a dot; empty: continuous.
        clear: Transparency, 0 to 1.
        shown: Whether it is on.
        printed: Whether it is printed.
    """

    shows: Shows
    words: str
    rgb: Rgb | None = None
    weight: int = 25
    dash_mm: tuple[float, ...] = ()
    clear: float = 0.0
    shown: bool = True
    printed: bool = True


DOT_MM: Final = 0.25
"""Length of a dot: half of the line's width, the most that ISO 128-2 gives a dot (from memory)."""

KIND_CONTENT: Final = {
    Kind.CONSTRUCTION: "CONSTRUCTION",
    Kind.CONTRACTION: "CONTRACTION",
    Kind.MOVEMENT: "MOVEMENT",
    Kind.WALL_BASE: "WALLBASE",
    Kind.CRACK: "CRACK",
    Kind.PIPE_COLLAR: "COLLAR",
}
_KIND_WORDS: Final = {Kind.WALL_BASE: "wall-base joints", Kind.CRACK: "cracks", Kind.PIPE_COLLAR: "pipe collars"}
WETNESS_CONTENT: Final = ("SUSPECT", "DAMP", "SEEP", "DRIP", "RUN", "JET")

LOOKS: Final[dict[str, Look]] = {
    "ZONE-BAND": Look(shows=Shows.HATCH, words="coat band of a zone, tinted", rgb=(0xE8, 0xCC, 0xC5), clear=0.5),
    "ZONE-WET": Look(shows=Shows.HATCH, words="its wet part, tinted", rgb=(0xDE, 0xB6, 0xAC), clear=0.5),
    "ZONE-OVERRUN": Look(shows=Shows.HATCH, words="overrun: one diagonal", rgb=REPAIR, weight=18),
    "ZONE-MERGED": Look(
        shows=Shows.HATCH,
        words="merged overruns: both diagonals; bridged gaps: lines along and across",
        rgb=REPAIR,
        weight=18,
    ),
    "ZONE-OUTLINE": Look(shows=Shows.ELEMENT, words="outline of a coat band, true size", rgb=REPAIR, weight=35),
    "ZONE-PROVISIONAL": Look(
        shows=Shows.ELEMENT,
        words="outline of a provisional zone: not for work",
        rgb=REPAIR,
        weight=35,
        dash_mm=PROVISIONAL_PEN.dash_mm,
    ),
    "ZONE-EDGE": Look(
        shows=Shows.ELEMENT, words="borders that fills without an outline hang on", rgb=REPAIR, weight=13, shown=False
    ),
    "ZONE-CUT": Look(shows=Shows.ELEMENT, words="places where zones are kept apart", rgb=REPAIR, weight=70),
    "ZONE-TEXT": Look(shows=Shows.TEXT, words="references of zones, blocks with attributes", rgb=REPAIR),
    **{
        f"JOINT-{content}": Look(
            shows=Shows.ELEMENT,
            words=_KIND_WORDS.get(kind, f"{kind.value} joints"),
            weight=round(PENS[kind].width_mm * 100),
            dash_mm=PENS[kind].dash_mm,
        )
        for kind, content in KIND_CONTENT.items()
    },
    "JOINT-VERTICAL": Look(shows=Shows.ELEMENT, words="vertical joints, staffs and their signs", weight=35),
    "JOINT-START": Look(shows=Shows.ELEMENT, words="chainage 0 and the direction it runs in", weight=25),
    "JOINT-BLIND": Look(
        shows=Shows.ELEMENT, words="blind stretches: no slot can be opened", rgb=_FAINT, weight=35, dash_mm=(1.2, 0.8)
    ),
    "JOINT-TEXT": Look(shows=Shows.TEXT, words="references of joints, blocks with attributes"),
    "LEAK-SUSPECT": Look(
        shows=Shows.ELEMENT, words="outline of a suspect, wetness 0", rgb=WATER, dash_mm=SUSPECT_OUTLINE.dash_mm
    ),
    **{
        f"LEAK-{content}": Look(shows=Shows.HATCH, words=f"fill of a leak, wetness {number}", rgb=rgb)
        for number, (content, rgb) in enumerate(zip(WETNESS_CONTENT[1:], _FILLS, strict=True), start=1)
    },
    "LEAK-OUTLINE": Look(shows=Shows.ELEMENT, words="outline of a leak", rgb=WATER),
    "LEAK-STROKES": Look(shows=Shows.ELEMENT, words="cross strokes, as many as the wetness", rgb=WATER, weight=35),
    "LEAK-TEXT": Look(shows=Shows.TEXT, words="references of leaks, blocks with attributes", rgb=WATER),
    "RELIEF-POINT": Look(shows=Shows.ELEMENT, words="relief points, blocks with attributes", weight=50),
    "NOTE-HEADING": Look(shows=Shows.TEXT, words="job, revision and cautions beside the plan"),
    "NOTE-TABLE": Look(shows=Shows.TEXT, words="tables beside the plan", weight=18),
    "NOTE-KEY": Look(shows=Shows.TEXT, words="words of the key"),
    "NOTE-SHEET": Look(shows=Shows.PAGE, words="frame, title block and scale bar of layouts"),
    "NOTE-FRAME": Look(shows=Shows.PAGE, words="viewports of layouts", rgb=_FAINT, printed=False),
    "TAG-HIDDEN": Look(shows=Shows.TEXT, words="attributes that only programs read", rgb=_FAINT),
}


def layer_name(discipline: str, element_content: str) -> str:
    """The whole name of a layer.

    Raises:
        BadValue: The discipline is empty or holds a character that no drawing takes in a name.
    """
    bad = sorted({sign for sign in discipline if sign in FORBIDDEN or ord(sign) < 32})
    if bad or not discipline.strip():
        shown = " ".join(bad) or "nothing"
        raise BadValue(f"A layer's name must not hold {shown}; use letters and digits for the discipline.")
    return f"{discipline}-{element_content}"


def is_ours(name: str, discipline: str) -> bool:
    """Whether a name in a drawing (of a layer, block, line type, style) is one of ours, in capitals or not."""
    return name.casefold().startswith(layer_name(discipline, "").casefold())


def free_discipline(doc: Drawing, wanted: str) -> str:
    """``wanted``, or with the lowest number at its end that makes every name of ours new to the drawing."""
    taken = tuple(_names(doc))
    for number in range(1, len(taken) + 2):
        tried = wanted if number == 1 else f"{wanted}{number}"
        if not any(is_ours(name, tried) for name in taken):
            return tried
    raise AssertionError("there are more numbers than names")


def _names(doc: Drawing) -> Iterable[str]:
    for table in (doc.layers, doc.linetypes, doc.styles):
        yield from (entry.dxf.name for entry in table)
    yield from (block.name for block in doc.blocks)


def add_layers(doc: Drawing, discipline: str, unit: float) -> None:
    """Make all our layers and line types in a drawing.

    Args:
        doc: The drawing.
        discipline: First part of every name, new to the drawing.
        unit: Drawing units of one millimetre on paper. Line types have real lengths: they are
            divided by the drawing's own line type scale, which multiplies every line type.
    """
    whole = unit / (float(doc.header.get("$LTSCALE", 1.0)) or 1.0)
    for content, look in LOOKS.items():
        layer = doc.layers.add(layer_name(discipline, content), color=INK, lineweight=look.weight)
        layer.description = look.words
        if look.rgb is not None:
            layer.rgb = look.rgb
        if look.clear:
            layer.transparency = look.clear
        if not look.shown:
            layer.off()
        layer.dxf.plot = int(look.shown and look.printed)
        if look.dash_mm:
            layer.dxf.linetype = _line_type(doc, layer.dxf.name, look.dash_mm, whole)


def _line_type(doc: Drawing, name: str, dash_mm: tuple[float, ...], unit: float) -> str:
    lengths = [length or DOT_MM for length in dash_mm]
    signed = [length * unit * (1 if index % 2 == 0 else -1) for index, length in enumerate(lengths)]
    doc.linetypes.add(name, [sum(lengths) * unit, *signed], description=name)
    return name


def layer_table(discipline: str = DISCIPLINE) -> str:
    """Every layer of ours as a table for people, in the writing of the README."""
    rows = ["| layer | shows | holds | colour | width | line |", "|---|---|---|---|---|---|"]
    for content, look in LOOKS.items():
        colour = "ink" if look.rgb is None else "#{:02X}{:02X}{:02X}".format(*look.rgb)
        dashes = " ".join(f"{length:g}" for length in look.dash_mm)
        line = f"dashed {dashes}" if dashes else "continuous"
        state = "" if look.shown and look.printed else "; not printed" if look.shown else "; off, not printed"
        name, width = layer_name(discipline, content), f"{look.weight / 100:.2f}"
        rows.append(f"| `{name}` | {look.shows.value} | {look.words}{state} | {colour} | {width} | {line} |")
    return "\n".join(rows)

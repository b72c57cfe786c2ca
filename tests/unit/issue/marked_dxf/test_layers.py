"""Our layers: names, looks, line types in real lengths."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from leakmap.base.errors import BadValue
from leakmap.issue.marked_dxf.layers import FORBIDDEN, LOOKS, add_layers, free_discipline, layer_name, layer_table


@pytest.mark.parametrize("bad", [*FORBIDDEN, "\n", ""])
def test_a_name_with_a_forbidden_character_is_refused(bad: str) -> None:
    """No layer name of ours can hold what a drawing refuses; the sentence says what to do."""
    with pytest.raises(BadValue, match="use letters and digits"):
        layer_name(f"A{bad}B" if bad else "", "ZONE-TEXT")


def test_names_have_three_parts() -> None:
    """discipline-element-content, in capitals."""
    for content in LOOKS:
        parts = layer_name("WP", content).split("-")
        assert len(parts) == 3
        assert all(part.isupper() and part.isalpha() for part in parts)


@pytest.mark.parametrize("table", ["layers", "linetypes", "styles", "blocks"])
def test_a_drawing_that_has_our_names_gets_others(table: str) -> None:
    """Layers of the drawing that look like ours stay untouched: ours get a number. Case does not matter."""
    doc = ezdxf.new()
    assert free_discipline(doc, "WP") == "WP"
    if table == "blocks":
        doc.blocks.new("wp-zone")
    else:
        getattr(doc, table).add(
            "wp-zone-text",
            **({"font": "x.ttf"} if table == "styles" else {})
            | ({"pattern": [1.0, 1.0, 0.0]} if table == "linetypes" else {}),
        )
    assert free_discipline(doc, "WP") == "WP2"


def test_line_types_have_real_lengths_whatever_the_drawings_own_scale() -> None:
    """A contraction joint's dash is 6 mm on paper: 300 mm in a millimetre drawing at 1:50.

    The drawing's own line type scale of 25 multiplies every pattern, so ours is divided by it.
    """
    doc = ezdxf.new()
    doc.header["$LTSCALE"] = 25.0
    add_layers(doc, "WP", unit=50.0)
    layer = doc.layers.get("WP-JOINT-CONTRACTION")
    tags = doc.linetypes.get(layer.dxf.linetype).pattern_tags.tags
    lengths = [tag.value * 25.0 for tag in tags if tag.code == 49]
    assert lengths == pytest.approx([300.0, -75.0])


def test_looks_are_set_by_layer_and_told_apart_without_colour() -> None:
    """Kinds of joints differ by line type, weight or shape; borders of hatches are off and not printed."""
    doc = ezdxf.new()
    add_layers(doc, "WP", unit=1.0)
    looks = {
        name: (doc.layers.get(f"WP-JOINT-{name}").dxf.linetype, doc.layers.get(f"WP-JOINT-{name}").dxf.lineweight)
        for name in ("CONSTRUCTION", "CONTRACTION", "WALLBASE")
    }
    assert len(set(looks.values())) == 3
    edge = doc.layers.get("WP-ZONE-EDGE")
    assert edge.is_off()
    assert edge.dxf.plot == 0


def test_the_readme_shows_the_layers_as_they_are() -> None:
    """The table of the README is the one that is made from the layers, and each drawing describes them by its words."""
    readme = (Path(__file__).parents[4] / "README.md").read_text("utf-8")
    assert layer_table() in readme
    doc = ezdxf.new()
    add_layers(doc, "WP", unit=1.0)
    assert all(doc.layers.get(f"WP-{content}").description == look.words for content, look in LOOKS.items())
    assert doc.audit().errors == []


def test_every_layer_has_a_line_width_of_iso_128() -> None:
    """The series goes by the square root of two from 0.13 to 1 mm (ISO 128-2, from memory)."""
    assert {look.weight for look in LOOKS.values()} <= {13, 18, 25, 35, 50, 70, 100}

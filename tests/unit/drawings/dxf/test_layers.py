"""Layers: states, spelling, names that the table does not hold."""

from __future__ import annotations

from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import LayerState
from tests.helpers.dxf_files import as_bytes, codes, document, finding, layer_names, reread


def test_a_layer_is_on_off_or_frozen() -> None:
    """Frozen wins over off; lines on all of them are kept, and only visible ones count for the view."""
    made = document()
    for name, change in (("ON", ""), ("OFF", "off"), ("COLD", "freeze"), ("BOTH", "off freeze")):
        layer = made.layers.add(name)
        for deed in change.split():
            getattr(layer, deed)()
        made.modelspace().add_line((0, 0), (len(name) * 100, 10), dxfattribs={"layer": name})
    drawing = reread(made)
    states = {layer.name: layer.state for layer in drawing.layers}
    assert states["ON"] is LayerState.ON
    assert states["OFF"] is LayerState.OFF
    assert states["COLD"] is LayerState.FROZEN
    assert states["BOTH"] is LayerState.FROZEN
    assert len(drawing.strokes) == 4
    assert drawing.shown == (0, 0, 200, 10)


def test_layers_keep_the_order_of_the_file() -> None:
    """Layer 0 first, then as they were made; unused ones stay."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0)))
    for name in ("WALLS", "AXES", "joints"):
        made.layers.add(name)
    names = [layer.name for layer in reread(made).layers if layer.name not in {"0", "Defpoints"}]
    assert names == ["WALLS", "AXES", "joints"]


def test_layer_names_do_not_tell_capitals_from_small_letters() -> None:
    """An entity on "walls" lies on the layer "Walls" of the table."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0), dxfattribs={"layer": "walls"}))
    made.layers.add("Walls")
    drawing = reread(made)
    assert layer_names(drawing) == ["Walls"]


def test_a_layer_that_only_entities_name_is_added() -> None:
    """It shows, as drawing programs let it."""
    drawing = reread(document(lambda msp: msp.add_line((0, 0), (9, 0), dxfattribs={"layer": "LOOSE"})))
    assert layer_names(drawing) == ["LOOSE"]
    assert drawing.shown == (0, 0, 9, 0)


def test_a_layer_name_with_broken_characters_is_read() -> None:
    """A byte of Windows-1252 in a name of a UTF-8 file."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0), dxfattribs={"layer": "WAENDE"}))
    made.layers.add("WAENDE")
    drawing = read_dxf(as_bytes(made).replace(b"WAENDE", b"W\xc4NDE"))
    assert layer_names(drawing) == ["WÄNDE"]
    assert "layer names" in finding(drawing, "text-characters").text


def test_a_drawing_with_everything_off_is_kept() -> None:
    """Nothing is shown, a finding says so, and the lines are there to be switched on."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0), dxfattribs={"layer": "DARK"}))
    made.layers.add("DARK").off()
    drawing = reread(made)
    assert drawing.shown is None
    assert len(drawing.strokes) == 1
    assert "nothing-visible" in codes(drawing)

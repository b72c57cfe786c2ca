"""Layers of a page: its optional content where the file names any, else what things are.

A PDF may say of each thing to which optional content it belongs (ISO 32000-1, 8.11), and a drawing that was
printed with its layers does. What belongs to none lies on a layer that says what it is.
"""

from __future__ import annotations

from ctypes import POINTER, c_ubyte, c_ulong, c_ushort, cast, create_string_buffer
from typing import Any, Final

import pikepdf
from pypdfium2 import raw  # type: ignore[import-untyped]

from leakmap.drawings.pdf.document import TROUBLE, PdfFile
from leakmap.model.drawing import Layer, LayerState

LINES: Final = "lines"
FILLS: Final = "fills"
TEXTS: Final = "text"
HIDDEN_TEXTS: Final = "hidden text"
PICTURE: Final = "picture"

MOST_LAYERS: Final = 5000
_LONGEST_NAME: Final = 200


class LayerNumbers:
    """Numbers the layers of a page: those of the file in its order, then ours as they are needed.

    Args:
        file: The file.
    """

    def __init__(self, file: PdfFile) -> None:
        self._layers: list[Layer] = []
        self._numbers: dict[str, int] = {}
        for name, state in _content_groups(file):
            self._add(name, state)

    def number(self, name: str) -> int:
        """The number of a layer."""
        number = self._numbers.get(name)
        if number is None and len(self._layers) >= MOST_LAYERS:
            return self.number(LINES) if LINES in self._numbers else len(self._layers) - 1
        state = LayerState.OFF if name == HIDDEN_TEXTS else LayerState.ON
        return self._add(name, state) if number is None else number

    @property
    def layers(self) -> tuple[Layer, ...]:
        """All layers."""
        return tuple(self._layers)

    def _add(self, name: str, state: LayerState) -> int:
        if name in self._numbers:  # two of one name cannot be told apart on a page
            return self._numbers[name]
        self._layers.append(Layer(name, state))
        number = self._numbers[name] = len(self._layers) - 1
        return number


def content_of(thing: Any) -> str | None:  # noqa: ANN401 - a pointer of pdfium
    """Name of the optional content that a thing belongs to.

    Returns:
        Empty where it belongs to some that has no name of its own; None where it belongs to none.
    """
    found = None
    for index in range(raw.FPDFPageObj_CountMarks(thing)):
        mark = raw.FPDFPageObj_GetMark(thing, index)
        if _name_of(mark) == "OC":
            found = _layer_name(mark)
    return found


def _name_of(mark: Any) -> str:  # noqa: ANN401 - a pointer of pdfium
    room, needed = create_string_buffer(2 * _LONGEST_NAME), c_ulong()
    if not raw.FPDFPageObjMark_GetName(mark, cast(room, POINTER(c_ushort)), len(room), needed):
        return ""
    return room.raw[: min(needed.value, len(room))].decode("utf-16-le", "ignore").rstrip("\x00")


def _layer_name(mark: Any) -> str:  # noqa: ANN401 - a pointer of pdfium
    """Name of the group that a mark stands for; its bytes, as pdfium reads letters beyond ASCII wrongly here."""
    room, needed = create_string_buffer(2 * _LONGEST_NAME), c_ulong()
    at = cast(room, POINTER(c_ubyte))
    if not raw.FPDFPageObjMark_GetParamBlobValue(mark, b"Name", at, len(room), needed):
        return ""
    return plain(str(pikepdf.String(room.raw[: min(needed.value, len(room))])))[:_LONGEST_NAME]


def plain(words: str) -> str:
    r"""Words without what cannot be printed.

    >>> plain("Walls\x00"), plain("a\tb \ud800")
    ('Walls', 'a b')
    """
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())


def _content_groups(file: PdfFile) -> list[tuple[str, LayerState]]:
    """Name and state of each optional content group of a file, in its order."""
    if file.facts is None:
        return []
    try:
        content = file.facts.Root.get("/OCProperties")
        if content is None:
            return []
        usual: Any = content.get("/D", {})
        base_off = str(usual.get("/BaseState", "/ON")) == "/OFF"
        turned = {group.objgen for group in usual.get("/ON" if base_off else "/OFF", [])}
        groups = list(content.get("/OCGs", []))[:MOST_LAYERS]
        return [
            (name, LayerState.OFF if (group.objgen in turned) != base_off else LayerState.ON)
            for group in groups
            if (name := plain(str(group.get("/Name", "")))[:_LONGEST_NAME])
        ]
    except TROUBLE:
        return []

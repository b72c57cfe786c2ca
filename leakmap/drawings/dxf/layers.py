"""Layers of a drawing: names, numbers and what shows."""

from __future__ import annotations

from typing import Final

from ezdxf.document import Drawing as Document

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.texts import Wording
from leakmap.drawings.dxf.troubles import TROUBLE, Troubles
from leakmap.model.drawing import Layer, LayerState

ZERO = "0"
"""The layer whose content, inside a block, takes the layer of the insert."""


MOST_LAYERS: Final = 10_000
"""Layers that a drawing is shown with (ours)."""


class LayerNumbers:
    """Numbers the layers of a document in the order of the file.

    Layer names do not tell capitals from small letters. A layer that entities name but the file's
    table does not hold is added at the end and shows. Beyond ``MOST_LAYERS`` all of one state share one.
    """

    def __init__(self, document: Document, wording: Wording, troubles: Troubles) -> None:
        self._wording, self._troubles = wording, troubles
        self._shared: dict[LayerState, int] = {}
        self._layers: list[Layer] = []
        self._numbers: dict[str, int] = {}
        for entry in document.layers:
            try:
                state = _state(frozen=entry.is_frozen(), off=entry.is_off())
                self._add(entry.dxf.name, state)
            except TROUBLE as trouble:
                troubles.failed("LAYER", "", trouble)

    def number(self, name: str) -> int:
        """The number of a layer by its name in the file."""
        number = self._numbers.get(name)
        if number is None:
            number = self._numbers.get(name.casefold())
            number = self._add(name, LayerState.ON) if number is None else number
            self._numbers[name] = number
        return number

    def frozen(self, number: int) -> bool:
        """Whether a layer is frozen; one that is not known yet is not."""
        return number >= 0 and self._layers[number].state is LayerState.FROZEN

    @property
    def layers(self) -> tuple[Layer, ...]:
        """All layers."""
        return tuple(self._layers)

    def _add(self, name: str, state: LayerState) -> int:
        if len(self._layers) - len(self._shared) >= MOST_LAYERS:
            number = self._numbers[name.casefold()] = self._share(state)
            return number
        self._layers.append(Layer(self._wording.plain(name, what="layer names"), state))
        number = self._numbers[name.casefold()] = len(self._layers) - 1
        return number

    def _share(self, state: LayerState) -> int:
        """Number of the layer that all further ones of a state share."""
        text = f"The drawing has over {MOST_LAYERS:,} layers; those beyond are shown as one: {{n}}."
        self._troubles.note("too-many-layers", text, effect=Effect.LOOK)
        if state not in self._shared:
            self._layers.append(Layer(f"further layers, {state}", state))
            self._shared[state] = len(self._layers) - 1
        return self._shared[state]


def _state(*, frozen: bool, off: bool) -> LayerState:
    if frozen:
        return LayerState.FROZEN
    return LayerState.OFF if off else LayerState.ON

"""Texts of a drawing in arrays, as many as there are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Self, overload

import numpy as np
import numpy.typing as npt

from leakmap.model.drawing import FloatArray, IntArray, Text

ByteArray = npt.NDArray[np.uint8]

_LAST_OF_ASCII: Final = 127


@dataclass(frozen=True, slots=True, eq=False)
class Texts(Sequence[Text]):
    """Texts in arrays, so that many thousands are there at once; a ``Text`` is made when it is asked for.

    Attributes:
        at: ``(n, 2)`` float64, insertion points.
        shape: ``(n, 4)`` float64: height, turn_deg, across and up of each.
        layer: ``(n,)`` int32.
        words: UTF-8 of all, one after the other.
        ends: ``(n,)`` int32; the words of text i end before byte ``ends[i]``.
    """

    at: FloatArray
    shape: FloatArray
    layer: IntArray
    words: ByteArray
    ends: IntArray

    @classmethod
    def of(cls, texts: Iterable[Text]) -> Self:
        """Some texts in arrays; those that are in arrays stay as they are."""
        if isinstance(texts, cls):
            return texts
        each = tuple(texts)
        words = [text.words.encode() for text in each]
        return cls(
            at=np.array([text.at for text in each], dtype=np.float64).reshape(-1, 2),
            shape=np.array([_shape(text) for text in each], dtype=np.float64).reshape(-1, 4),
            layer=np.array([text.layer for text in each], dtype=np.int32),
            words=np.frombuffer(b"".join(words), dtype=np.uint8),
            ends=np.cumsum([len(one) for one in words], dtype=np.int64).astype(np.int32),
        )

    @property
    def beyond_ascii(self) -> bool:
        """Whether any letter of them lies beyond ASCII.

        >>> from leakmap.model.drawing import Text
        >>> Texts.of([Text((0, 0), 1, 0, 1, 0, "Gänge", 0)]).beyond_ascii, Texts.of([]).beyond_ascii
        (True, False)
        """
        return bool((self.words > _LAST_OF_ASCII).any())

    def __len__(self) -> int:
        """Number of texts."""
        return len(self.layer)

    @overload
    def __getitem__(self, index: int) -> Text: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Text, ...]: ...
    def __getitem__(self, index: int | slice) -> Text | tuple[Text, ...]:
        """One text, or some."""
        if isinstance(index, slice):
            return tuple(self[each] for each in range(*index.indices(len(self))))
        number = range(len(self))[index]
        x, y = self.at[number].tolist()
        begin = int(self.ends[number - 1]) if number else 0
        words = self.words[begin : int(self.ends[number])].tobytes().decode()
        height, turn_deg, across, up = self.shape[number].tolist()
        return Text((x, y), height, turn_deg, across, up, words, int(self.layer[number]))


def _shape(text: Text) -> tuple[float, float, float, float]:
    return text.height, text.turn_deg, text.across, text.up

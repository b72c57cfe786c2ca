"""Texts in arrays."""

from __future__ import annotations

import pytest

from leakmap.model.drawing import Text
from leakmap.model.texts import Texts

SOME = (
    Text((1.5, -2.0), 0.2, 90.0, 0.5, 1.0, "SUMP\nTür", 1),
    Text((0.1, 0.2), 0.3, 0.0, 0.0, 0.0, "", 0),
    Text((7.0, 8.0), 0.1, 12.5, 1.0, 0.5, "насос", 2),
)


def test_texts_come_out_as_they_went_in() -> None:
    """Each text, some of them, and those counted from the end are equal to what was put in."""
    texts = Texts.of(SOME)
    assert len(texts) == 3
    assert tuple(texts) == SOME
    assert (texts[-1], texts[1:], texts[::-2]) == (SOME[2], SOME[1:], SOME[::-2])
    assert texts.index(SOME[1]) == 1
    with pytest.raises(IndexError):
        texts[3]


def test_texts_in_arrays_are_not_put_into_arrays_again() -> None:
    """What is in arrays already stays itself; no texts are arrays of no length."""
    texts = Texts.of(SOME)
    assert Texts.of(texts) is texts
    assert tuple(Texts.of(())) == ()
    assert Texts.of(()).at.shape == (0, 2)

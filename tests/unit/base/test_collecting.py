"""Putting Python's search for cycles of dead values off."""

from __future__ import annotations

import gc

import pytest

from leakmap.base.collecting import collecting_later


def test_the_search_goes_on_after_trouble() -> None:
    """Whatever is raised inside, the search is on again afterwards."""
    with pytest.raises(KeyError), collecting_later():
        dict.fromkeys("a")["b"]
    assert gc.isenabled()


def test_one_inside_another_leaves_the_outer_one_alone() -> None:
    """The search stays off until the outer one is left."""
    with collecting_later():
        with collecting_later():
            pass
        assert not gc.isenabled()
    assert gc.isenabled()

"""Words on a joint laid out straight that cover each other, a stem or a relief point, or that the edge of the pane cuts."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from leakmap.desk.larger import scaled
from leakmap.desk.tape.shown import Shown, Words
from leakmap.desk.tokens import CAPTION_TYPE

CAPITAL = 0.36
"""Half of the height of a capital, as a share of the size of its letters."""


class Box(NamedTuple):
    """Left, top, right and bottom of a line of words, px."""

    left: float
    top: float
    right: float
    bottom: float
    words: str

    def meets(self, other: Box) -> bool:
        """Whether both cover a place."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


def boxes_of(words: Words, px: float) -> Iterator[Box]:
    """A box round each line of some words, as high as its capitals."""
    half = CAPITAL * scaled(px)
    yield Box(words.x, words.y - half, words.x + words.wide, words.y + half, words.strong + words.plain)
    if words.below:
        low, half = words.y + scaled(17.0), CAPITAL * scaled(CAPTION_TYPE)
        yield Box(words.x, low - half, words.x + words.wide, low + half, words.below)


def clashes(shown: Shown, px: float, width: float) -> list[str]:
    """What covers what, in words; ``px`` is the size of letters, ``width`` that of the pane."""
    named = [*shown.names, *(branch.words for branch in shown.branches if branch.words is not None)]
    boxes = [box for words in named for box in boxes_of(words, px)]
    found = [f"{one.words} over {other.words}" for one, other in combinations(boxes, 2) if one.meets(other)]
    stems = [
        Box(branch.x - 1, shown.lanes.body[1], branch.x + 1, (branch.box[1] + branch.box[3]) / 2, "stem")
        for branch in shown.branches
    ]
    found += [f"{box.words} over the stem at {stem.left:.0f}" for box in boxes for stem in stems if box.meets(stem)]
    found += [
        f"{box.words} cut" for box in boxes if box.left < 0 or box.right > width or box.bottom > shown.lanes.height
    ]
    return found

"""An index of things by their words: every word of a query must begin a word of the thing.

A word is in a thing's name or about it. What is called so comes before what begins so, a name before what is said
about a thing, and a slip of typing after all these; equal ones stay in the order in which they were put in. Words lie
sorted, so that all that begin alike lie together: a query is a few slices, however many things there are.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from leakmap.work.find.folding import asked, by_first_letter, has_meaning, meanings, mended

_NONE: Final = 99
_SLIP: Final = 4
_LAST: Final = "\U0010ffff"


class Postings:
    """Words in order, each with the numbers of the things that have it."""

    def __init__(self, things: dict[str, list[int]]) -> None:
        self.words = sorted(things)
        lists = list(map(things.__getitem__, self.words))
        lengths = np.fromiter(map(len, lists), dtype=np.int64, count=len(lists))
        self._ends = np.concatenate((np.zeros(1, np.int64), np.cumsum(lengths)))
        self._things = np.fromiter(chain.from_iterable(lists), dtype=np.int64, count=int(self._ends[-1]))

    def of(self, word: str, *, begun: bool) -> npt.NDArray[np.int64]:
        """Things with a word, or with one that begins so."""
        first = bisect_left(self.words, word)
        past = bisect_left(self.words, word + _LAST) if begun else first + self.has(word)
        return self._things[self._ends[first] : self._ends[past]]

    def has(self, word: str) -> bool:
        """Whether a word is there."""
        at = bisect_left(self.words, word)
        return at < len(self.words) and self.words[at] == word

    def has_begun(self, word: str) -> bool:
        """Whether a word that begins so is there."""
        at = bisect_left(self.words, word)
        return at < len(self.words) and self.words[at].startswith(word)


class Word(NamedTuple):
    """A word of a query: what it may mean, and whether that was guessed from a slip."""

    meanings: tuple[str, ...]
    guessed: bool = False


@dataclass
class Putting:
    """What goes into an index, thing after thing."""

    names: dict[str, list[int]] = field(default_factory=dict)
    about: dict[str, list[int]] = field(default_factory=dict)
    count: int = 0

    def put(self, names: Iterable[str], about: Iterable[str]) -> None:
        """Put the next thing in, by the folded words of its name and of what is said about it."""
        for words, things in ((names, self.names), (about, self.about)):
            for word in words:
                things.setdefault(word, []).append(self.count)
        self.count += 1


class Index:
    """Things by their words, numbered as they were put in.

    Args:
        put: What was put in.
        names: Its names in order, where they were made before; else they are made here.
    """

    def __init__(self, put: Putting, names: Postings | None = None) -> None:
        self.count = put.count
        self._names, self._about = names or Postings(put.names), Postings(put.about)

    @cached_property
    def known(self) -> dict[str, list[str]]:
        """Its words without figures, by their first letter: what a slip may have meant."""
        return by_first_letter([*self._names.words, *self._about.words])

    def knows(self, word: str) -> bool:
        """Whether a word of a query begins a word of anything."""
        return self._names.has_begun(word) or self._about.has_begun(word)

    def found(
        self, words: Sequence[Word], *, most: int, later: npt.NDArray[np.bool_] | None = None
    ) -> tuple[list[int], int]:
        """Numbers of things that all words mean, the best first, and how many there are in all.

        Args:
            words: Words of a query; none find nothing.
            most: As many are given.
            later: Which things come after others that fit as well.
        """
        if not words:
            return [], 0
        total = np.zeros(self.count, np.int64)
        for word in words:
            total += self._ranks(word)
        there = np.flatnonzero(total < _NONE)
        keys = total[there] * 2 if later is None else total[there] * 2 + later[there]
        best = there[np.argsort(keys, kind="stable")[:most]]
        return best.tolist(), len(there)

    def _ranks(self, word: Word) -> npt.NDArray[np.int64]:
        ranks = np.full(self.count, _NONE, np.int64)
        grades = ((self._about, True), (self._about, False), (self._names, True), (self._names, False))
        for rank, (postings, begun) in zip((3, 2, 1, 0), grades, strict=True):
            for meaning in word.meanings:
                ranks[postings.of(meaning, begun=begun)] = rank + (_SLIP if word.guessed else 0)
        return ranks


def understood(query: str, indexes: Collection[Index]) -> tuple[Word, ...]:
    """The words of a query, with slips of typing mended where no index knows a word."""
    return tuple(_understood(word, indexes) for word in asked(query))


def _understood(word: str, indexes: Collection[Index]) -> Word:
    plain = meanings(word)
    if has_meaning(word) or any(index.knows(meaning) for index in indexes for meaning in plain):
        return Word(plain)
    guesses = dict.fromkeys(guess for index in indexes for guess in mended(word, index.known))
    return Word(tuple(dict.fromkeys(one for guess in guesses for one in meanings(guess))), guessed=True)

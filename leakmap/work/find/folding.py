"""Words as they are compared when something is looked for: without case, accents, dashes and leading zeros.

What is written in several ways is one word here: Z-07, z07 and z7; wall-base and wall base. Words of the trade that
differ between countries stand for each other (job.md, Words; common practice, no published source).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

_DASHES: Final = re.compile(r"[-‐‑‒–—−_.'’]")
_PARTS: Final = re.compile(r"[^\s,;/()\[\]\"“”:]+")
_ZEROS: Final = re.compile(r"(?<=[^\W\d])0+(?=\d)")
_LONE: Final = re.compile(r"(?<!\S)([^\W\d])[\s]*[-‐‑‒–—−\s]\s*(?=\d)")
_NOTHING: Final = frozenset({"the", "of", "on", "in", "at", "to", "and", "for"})
_LEAST_SLIP: Final = 3
_ALIKE: Final = 0.75
_SAME: Final = {
    "expansion": ("movement",),
    "control": ("contraction",),
    "kicker": ("wallbase",),
    "cove": ("wallbase",),
    "coving": ("wallbase",),
    "seam": ("joint",),
    "chase": ("slot",),
    "rout": ("slot",),
    "groove": ("slot",),
    "underside": ("soffit",),
    "ceiling": ("soffit",),
    "station": ("chainage",),
    "asconstructed": ("asbuilt",),
    "drawings": ("drawing",),
    "floor": ("level",),
    "storey": ("level",),
    "story": ("level",),
    "wet": ("damp", "seep", "drip", "run", "jet"),
    "weep": ("seep",),
    "dripping": ("drip",),
    "running": ("run",),
    "flow": ("run",),
    "stained": ("suspect",),
    "pipe": ("pipecollar",),
    "penetration": ("pipecollar",),
    "color": ("colour",),
    "colors": ("colours",),
    "meter": ("metre",),
    "bleed": ("relief",),
}
"""What a word may mean besides itself, as people of other countries or another trade say it."""


@lru_cache(maxsize=4096)
def folded(text: str) -> tuple[str, ...]:
    """The words of a text that is found by them, each in every way in which it may be asked for.

    >>> folded("Z-07"), folded("Wall-base"), folded("Pumpenraum Süd"), folded("—")
    (('z07', 'z7'), ('wallbase', 'wall', 'base'), ('pumpenraum', 'sud'), ())
    """
    found: dict[str, None] = {}
    for part in _PARTS.findall(_plain(text)):
        whole = _DASHES.sub("", part)
        parts = [one for one in _DASHES.split(part) if len(one) > 1 and one.isalpha()]
        for word in (whole, _ZEROS.sub("", whole), *(parts if len(parts) > 1 else ())):
            if word:
                found[word] = None
    return tuple(found)


def asked(query: str) -> tuple[str, ...]:
    """The words of a query, each once; small words that say nothing are left out where others are there.

    >>> asked("z-07"), asked("Z 7"), asked("leak in the sump"), asked("to"), asked("Pump 1")
    (('z07',), ('z7',), ('leak', 'sump'), ('to',), ('pump', '1'))
    """
    joined = _LONE.sub(r"\1", _plain(query))
    words = tuple(dict.fromkeys(filter(None, (_DASHES.sub("", part) for part in _PARTS.findall(joined)))))
    telling = tuple(word for word in words if word not in _NOTHING)
    return telling or words


def meanings(word: str) -> tuple[str, ...]:
    """A word of a query, and what it may mean besides.

    >>> meanings("z07"), meanings("expans"), meanings("sump")
    (('z07', 'z7'), ('expans', 'movement'), ('sump',))
    """
    short = _ZEROS.sub("", word)
    others = (other for same in _same(word) for other in _SAME[same])
    return tuple(dict.fromkeys((word, short, *others)))


def has_meaning(word: str) -> bool:
    """Whether a word stands for others."""
    return next(_same(word), None) is not None


def mended(word: str, known: dict[str, list[str]]) -> tuple[str, ...]:
    """Words that were meant where a word has a slip or two of typing; none where nothing is like it.

    A figure is never a slip for another: Z-07 is not Z-01.

    Args:
        word: What was typed, as ``asked`` gives it.
        known: Words that there are, without figures, by their first letter.

    >>> mended("dirp", by_first_letter(["drip", "sump", "damp"])), mended("z77", by_first_letter(["z7"]))
    (('drip',), ())
    """
    if len(word) < _LEAST_SLIP or not word.isalpha():
        return ()
    longest = len(word) + 1
    heads: dict[str, list[str]] = {}
    for letter in dict.fromkeys(word[:2]):
        for one in known.get(letter, ()):
            if len(one) >= len(word) - 1:
                heads.setdefault(one[:longest], []).append(one)
    close = get_close_matches(word, heads, n=3, cutoff=_ALIKE)
    return tuple(one for head in close for one in heads[head])


def by_first_letter(words: list[str]) -> dict[str, list[str]]:
    """Words without figures, by their first letter."""
    found: dict[str, list[str]] = {}
    for word in (*words, *_SAME):
        if word.isalpha() and len(word) >= _LEAST_SLIP:
            found.setdefault(word[0], []).append(word)
    return found


def _same(word: str) -> Iterator[str]:
    if len(word) >= _LEAST_SLIP:
        yield from (same for same in _SAME if same.startswith(word))


def _plain(text: str) -> str:
    """Small letters without accents."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter))

"""What writing a drawing again did to its own entities: their tags before and after, read as they lie in the file.

The library that writes marks into a drawing writes all of it anew: it leaves values out that say nothing, fills others
in, and numbers entities that have no handle or share one. What it did is counted and told, so that nobody has to trust
it. The text form is read here, pair of lines by pair of lines (from memory of the DXF reference); what owns, names or
merely orders an entity is left aside.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Final

from leakmap.base.counted import many
from leakmap.base.findings import Effect, Finding
from leakmap.base.sentences import listed

Tag = tuple[int, object]

_ASIDE: Final = frozenset({0, 5, 100, 102, 330, 360, 67, 410, 280, 66, 92, 160, 310})
"""Codes of handles, owners, markers, layouts and counts."""

_NUMBERS: Final = (range(10, 60), range(140, 150), range(210, 240), range(460, 470))
_NOTHING: Final = (0.0, 1.0)
"""Values that say nothing where a number may be left out."""

_NEXT_TO_NOTHING: Final = 1e-9

_SECTIONS: Final = (b"ENTITIES", b"BLOCKS")
_STRUCTURE: Final = frozenset({b"SECTION", b"ENDSEC", b"BLOCK", b"ENDBLK", b"SEQEND", b"EOF"})
_CODE_POINT: Final = re.compile(r"\\U\+([0-9A-Fa-f]{4})")
_EXTENDED: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Rewritten:
    """What happened to the entities of a drawing.

    Attributes:
        entities: How many it has.
        silent: Of how many values that say nothing were left out or filled in.
        numbered: How many had no handle or shared one.
        changed: How many have other numbers.
        gone: How many are not there any more.
    """

    entities: int
    silent: int
    numbered: int
    changed: int
    gone: int


def rewritten(before: bytes, after: bytes, *, encoding: str) -> Rewritten:
    """Compare the entities of a drawing in the text form with those of its marked file, handle by handle.

    Args:
        before: The drawing.
        after: The file that was written.
        encoding: Of the texts of the drawing; those of the file are UTF-8.
    """
    old, new = list(_records(before)), dict(_records(after))
    shared = Counter(handle for handle, _ in old)
    counts: Counter[str] = Counter()
    astray: list[tuple[str, Counter[Tag]]] = []
    for handle, lines in old:
        written = new.get(handle) if handle and shared[handle] == 1 else None
        if written == lines:
            continue
        tags = _tags(lines, encoding)
        found = "gone" if written is None else _difference(tags, _tags(written, "utf-8"))
        if handle and shared[handle] == 1 and found in {"same", "silent"}:
            counts[found] += 1
        else:
            astray.append((found, tags))
    counts.update(_found_elsewhere(astray, new.values()))
    return Rewritten(
        entities=len(old),
        silent=counts["silent"],
        numbered=counts["numbered"],
        changed=counts["changed"],
        gone=counts["gone"],
    )


def _found_elsewhere(astray: list[tuple[str, Counter[Tag]]], written: Iterable[tuple[bytes, ...]]) -> Iterator[str]:
    """Of entities that are not under their handle: whether one that says the same is under another, else what is wrong."""
    if not astray:
        return
    free = Counter(_numbers(_tags(lines, "utf-8")) for lines in written)
    for found, tags in astray:
        key = _numbers(tags)
        if free[key]:
            free[key] -= 1
            yield "numbered"
        else:
            yield found


def _numbers(tags: Counter[Tag]) -> frozenset[tuple[Tag, int]]:
    """The numbers of an entity that say something."""
    return frozenset(
        (tag, count) for tag, count in tags.items() if isinstance(tag[1], float) and not _says_nothing(tag[1])
    )


def _records(data: bytes) -> Iterator[tuple[bytes, tuple[bytes, ...]]]:
    """Handle and lines of each entity in the sections of entities and blocks; no handle where it has none."""
    lines = [line.strip(b"\r") for line in data.split(b"\n")]
    starts = [at for at in range(0, len(lines) - 1, 2) if lines[at].strip() == b"0"]
    inside = False
    for at, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        kind = lines[at + 1].strip()
        if kind == b"SECTION":
            inside = lines[at + 3].strip() in _SECTIONS if at + 3 < end else False
        elif kind == b"ENDSEC":
            inside = False
        if inside and kind not in _STRUCTURE:
            pairs = range(at, min(end, len(lines) - 1), 2)
            handle = next((lines[each + 1].strip() for each in pairs if lines[each].strip() == b"5"), b"")
            yield handle.upper(), tuple(lines[at:end])


def _tags(lines: tuple[bytes, ...], encoding: str) -> Counter[Tag]:
    """Tags that say something of an entity itself, in any order; long texts in one piece."""
    found: Counter[Tag] = Counter()
    text, group = "", False
    for code_line, value_line in zip(islice(lines, 0, None, 2), islice(lines, 1, None, 2), strict=False):
        code = int(code_line)
        value = value_line.decode(encoding, "surrogateescape")
        if code == 102:  # a group of owners or reactors, in braces
            group = value.startswith("{")
        elif code >= _EXTENDED or group or code in _ASIDE:
            continue
        elif any(code in numbers for numbers in _NUMBERS):
            found[code, float(value)] += 1
        elif code == 1 or (code == 3 and lines[1].strip() == b"MTEXT"):
            text += _CODE_POINT.sub(lambda point: chr(int(point[1], 16)), value)
        else:
            found[code, value.strip().upper()] += 1
    found[1, text] += 1
    return found


def _difference(old: Counter[Tag], new: Counter[Tag]) -> str:
    """What differs: numbers that say something, only what says nothing, or not even that."""
    lost, added = old - new, new - old
    if not lost and not added:
        return "same"
    both = {code for code, _ in lost} & {code for code, _ in added}
    for code, value in (*lost, *added):
        if isinstance(value, float) and (code in both or not _says_nothing(value)):
            return "changed"
    return "silent"


def _says_nothing(value: float) -> bool:
    """Whether a number may be left out: nought, one, or a tolerance that is next to nothing."""
    return any(abs(value - each) < _NEXT_TO_NOTHING for each in _NOTHING)


def told(found: Rewritten, name: str) -> tuple[Finding, ...]:
    """The finding on a drawing that was written again; none where every entity says what it said."""
    parts = [
        (found.silent, "had values that say nothing left out or filled in"),
        (found.numbered, "had no handle of their own and got one"),
        (found.changed, "have other numbers"),
        (found.gone, "could not be kept"),
    ]
    said = [f"{count} {words}" for count, words in parts if count]
    if not said:
        return ()
    harm = found.changed + found.gone
    rest = (
        "Compare those with the drawing."
        if harm
        else "The geometry of every other one is what it was, number by number."
    )
    if not harm and not found.numbered:
        rest = "Their geometry is what it was, number by number."
    text = f"{name} was written again: of its {many(found.entities, 'entity', 'entities')} {listed(said)}. {rest}"
    effect = Effect.LOST if found.gone else Effect.LOOK if found.changed else Effect.TOLD
    return (Finding("written-again", name, text, effect),)

"""What went wrong while reading a drawing, gathered by kind.

Codes of the findings that a DXF drawing can carry:

==================== ====== =====================================================================
code                 effect when
==================== ====== =====================================================================
file-cut             lost   the file stops before its end; what came before was read
file-repaired        fixed  the file is damaged and was read by the recovering reader
file-damaged         lost   the file is damaged so badly that parts of it are certainly missing
file-fault           any    the audit fixed or removed something, or could not put it right
file-warning         look   the library warned while it read, such as of handles used twice
codepage-guessed     look   an old file with letters beyond ASCII names no code page that can be
entity-failed        lost   an entity could not be understood
dimension-drawn      look   dimensions without a picture in the file, drawn from what they measure
not-drawn            lost   an entity of a kind that has no lines in plan: solids, signs, views
outside-file         lost   pictures and pages that the drawing only names; of pictures the frame is drawn
cover                look   blank covers, beneath which the file hides what shows here
endless-line         any    construction lines without ends: drawn as far as all else, or left out
points               look   point marks, which carry no line
invisible            look   entities that the file itself hides
no-length            look   lines that are a mere point in plan
bad-coordinate       lost   coordinates that are not numbers or beyond all measure
heights-ignored      look   lines off the level z = 0, drawn as seen from above
block-missing        lost   inserts of blocks that the file does not hold
block-loop           lost   blocks that hold themselves
block-clipped        look   clipped inserts, of which only what the frame lets show is drawn
external-reference   lost   inserts of other files
too-many-layers      look   more layers than a list can show; the others share one
too-much             lost   inserts that would grow the drawing beyond what can be shown
too-many-sizes       look   blocks that come in so many sizes that curves of one serve for another
curves-coarser       look   curves drawn coarser, as finer ones would grow the drawing beyond what can be shown
text-characters      fixed  texts or names with broken characters
text-cut             lost   texts longer than any on a plan
text-no-height       lost   texts without a usable height
paper-layout         look   the model space is empty; a paper layout was read
far-away             look   a few things lie far from the rest and do not count for the view
nothing-visible      look   all layers with lines are off or frozen
unit-missing         look   the file names no unit
unit-doubtful        look   the size cannot be that of a building in the named unit
unit-overruled       look   the user's unit is not the one that the file names
==================== ====== =====================================================================
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from ezdxf.lldxf.const import DXFError
from shapely.errors import ShapelyError

from leakmap.base.findings import Effect, Finding

TROUBLE: Final = (
    DXFError,  # what ezdxf raises on purpose
    ArithmeticError,  # lengths of zero, numbers beyond the range
    AssertionError,  # ezdxf's own expectations of a tag structure
    AttributeError,  # a tag that names an entity of another kind
    LookupError,  # missing tags, blocks, styles
    RuntimeError,  # nesting beyond the stack, things not implemented, streams that end early
    StopIteration,  # a header that ends early
    TypeError,  # a missing value
    ValueError,  # a text where a number should be; broken encodings too
    ShapelyError,  # clipping frames without numbers
    struct.error,  # a binary file that ends early
)
"""Everything that ezdxf, and shapely behind it, was seen to raise on damaged files; never a bare ``Exception``."""


@dataclass(slots=True)
class _Kind:
    count: int
    where: str


class Troubles:
    """Findings in the making: one for each kind, with a count and the first place."""

    def __init__(self) -> None:
        self._kinds: dict[tuple[str, str, Effect], _Kind] = {}
        self._first: dict[tuple[str, str], str] = {}

    def note(self, code: str, text: str, *, where: str = "", effect: Effect = Effect.LOST, count: int = 1) -> None:
        """Take note of one more case.

        Args:
            code: Code of the finding, see the table above.
            text: One sentence; ``{n}`` stands for the number of cases.
            where: Handle, layer or name of this case; the first one is kept.
            effect: What it did to the drawing.
            count: How many cases; none is no trouble.
        """
        if count <= 0:
            return
        kind = self._kinds.setdefault((code, text, effect), _Kind(0, where))
        kind.count += count
        kind.where = kind.where or where

    def note_first(self, code: str, kind: str, words: str, *, where: str = "", effect: Effect) -> None:
        """Take note of one more case of a library's message; the words of the first one stand for all.

        Args:
            code: Code of the finding.
            kind: What makes messages the same kind.
            words: This message.
            where: Handle of this case.
            effect: What it did to the drawing.
        """
        text = self._first.setdefault((code, kind), f"{words_of(words)}; {{n}} of this kind.")
        self.note(code, text, where=where, effect=effect)

    def failed(self, kind: str, where: str, reason: BaseException) -> None:
        """Take note of an entity that could not be understood."""
        text = f"Left out, as they could not be understood ({type(reason).__name__}, {words_of(reason)}): {{n}} of {words_of(kind)}."
        self.note("entity-failed", text, where=where)

    def findings(self) -> tuple[Finding, ...]:
        """All findings, in the order in which their kinds first came up."""
        return tuple(self._made())

    def _made(self) -> Iterator[Finding]:
        for (code, text, effect), kind in self._kinds.items():
            yield Finding(code, kind.where, text.replace("{n}", str(kind.count)), effect)


def handle_of(entity: object) -> str:
    """The handle of an entity as ``#1F``, or nothing for one that has none."""
    handle = getattr(getattr(entity, "dxf", None), "handle", None)
    return f"#{words_of(str(handle))}" if handle else ""


def words_of(reason: BaseException | str) -> str:
    """A library's message so that it fits into a sentence: short, no last stop, only printable characters."""
    words = " ".join("".join(c if c.isprintable() else " " for c in str(reason) if c not in "{}").split())
    return words[:120].rstrip(". ") or (
        type(reason).__name__ if isinstance(reason, BaseException) else "no reason given"
    )

"""A DXF text file that stops before its end, as a broken download leaves it: what came before is read.

A whole file ends with a record of its end. Where a section is left open instead, the record that the file
stops in is dropped and the section closed, so that everything before it is read as of any other file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.troubles import Troubles

_END: Final = b"EOF"
_SECTION_END: Final = b"ENDSEC"
_NO_PLAN: Final = (b"0", b"SECTION", b"2", b"ENTITIES")
"""What is left of a file that stops in its first record."""

_PADDING: Final = b"\0\x1a \t\r\n"


@dataclass(frozen=True, slots=True)
class Cut:
    """Where a file stops.

    Attributes:
        line: Number of the last line that is there, from 1.
        within: Whether the file stops in the middle of that line, or between a code and its value.
        whole: What came before, closed as a whole file is.
    """

    line: int
    within: bool
    whole: bytes

    @property
    def place(self) -> str:
        """Where it stops, in words.

        >>> Cut(48210, True, b"").place, Cut(48210, False, b"").place
        ('in the middle of line 48,210', 'after line 48,210')
        """
        return f"{'in the middle of' if self.within else 'after'} line {self.line:,}"

    def note(self, troubles: Troubles) -> None:
        """Take note of it among the findings."""
        text = f"The file stops {self.place}; what came after it is missing."
        troubles.note("file-cut", text, where=self.place, effect=Effect.LOST)


def cut_of(data: bytes) -> Cut | None:
    r"""Where a DXF text file stops before its end; None for a file that ends, and for one that is no text of records.

    >>> cut_of(b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n") is None
    True
    >>> cut_of(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1.0\n0\nLI")
    Cut(line=10, within=True, whole=b'0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1.0\n0\nENDSEC\n0\nEOF\n')
    """
    text = data.rstrip(_PADDING)
    if text.endswith((_END, _SECTION_END)):
        return None
    lines = text.splitlines()
    heads = [at for at in range(0, len(lines), 2) if lines[at].strip() == b"0"]
    if not heads:
        return None
    within = len(lines) % 2 == 1 or len(text) == len(data)
    before = lines[: heads[-1]] or _NO_PLAN
    whole = b"\n".join([*before, b"0", _SECTION_END, b"0", _END, b""])
    return Cut(line=len(lines), within=within, whole=whole)

"""The colour profile of archive copies: sRGB as a matrix and a curve, made here and free for any use.

What red, green and blue of a paper look like is said by an ICC profile of version 2, the version that PDF/A-1 knows.
The curve is that of IEC 61966-2-1; the colorants are its primaries adapted to the white of profiles (D50), as published
with the standard profile of the colour consortium. All values from memory; a test compares the profile with another
library's.
"""

from __future__ import annotations

from functools import cache
from struct import pack
from typing import Final

CONDITION: Final = "sRGB IEC61966-2.1"
"""Name of the condition that colours are meant for."""

_D50: Final = (0.9642, 1.0, 0.8249)
_COLORANTS: Final = {
    b"rXYZ": (0.43607, 0.22249, 0.01392),
    b"gXYZ": (0.38515, 0.71687, 0.09708),
    b"bXYZ": (0.14307, 0.06061, 0.71410),
}
_STEPS: Final = 1024
_HEAD: Final = 128
_ENTRY: Final = 12
_KNEE: Final = 0.04045


@cache
def srgb_profile() -> bytes:
    """The profile, the same bytes each time."""
    curve = _curve()
    tags = {b"desc": _described(CONDITION), b"cprt": b"text\0\0\0\0Free for any use\0", b"wtpt": _xyz(_D50)}
    tags |= {name: _xyz(colorant) for name, colorant in _COLORANTS.items()}
    tags |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
    at, table, body = _HEAD + 4 + _ENTRY * len(tags), pack(">I", len(tags)), b""
    places: dict[bytes, int] = {}
    for name, content in tags.items():
        if content not in places:
            places[content] = at + len(body)
            body += content + bytes(-len(content) % 4)
        table += pack(">4sII", name, places[content], len(content))
    return _head(_HEAD + len(table) + len(body)) + table + body


def _head(size: int) -> bytes:
    made = (2000, 1, 1, 0, 0, 0)
    kinds = pack(">I4sI4s4s4s", size, bytes(4), 0x02100000, b"mntr", b"RGB ", b"XYZ ")
    white = pack(">3i", *(round(part * 65536) for part in _D50))
    head = kinds + pack(">6H", *made) + b"acsp" + bytes(28) + white
    return head.ljust(_HEAD, b"\0")


def _xyz(parts: tuple[float, float, float]) -> bytes:
    return b"XYZ \0\0\0\0" + pack(">3i", *(round(part * 65536) for part in parts))


def _described(words: str) -> bytes:
    text = words.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + pack(">I", len(text)) + text + bytes(4 + 4 + 2 + 1 + 67)


def _curve() -> bytes:
    values = [round(_linear(step / (_STEPS - 1)) * 65535) for step in range(_STEPS)]
    return b"curv\0\0\0\0" + pack(f">I{_STEPS}H", _STEPS, *values)


def _linear(value: float) -> float:
    return value / 12.92 if value <= _KNEE else float(((value + 0.055) / 1.055) ** 2.4)

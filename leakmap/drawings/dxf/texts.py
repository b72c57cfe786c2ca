"""Texts of a drawing: plain words, where they stand, and how they survive broken characters.

Bytes that the file's encoding does not know arrive as lone surrogates. Such a text is tried as
UTF-8 first, then its odd bytes as Windows-1252; what is left becomes U+FFFD.
"""

from __future__ import annotations

import re
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Any, Final

from ezdxf.enums import TextEntityAlignment
from ezdxf.lldxf.encoding import decode_dxf_unicode, decode_mif_to_unicode
from ezdxf.math import OCS, Vec3

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.ink import Lettering, Vector
from leakmap.drawings.dxf.troubles import Troubles, handle_of
from leakmap.model.drawing import Text

MOST_LETTERS: Final = 10_000
"""Letters of one text (ours); the library takes time that grows with their square."""

_ODD: Final = re.compile(r"[\ud800-\udfff\x00-\x08\x0b-\x1f\x7f]")
_ESCAPED: Final = re.compile(r"[\udc80-\udcff]+")
_ACROSS: Final = (0.0, 0.5, 1.0, 0.5, 0.5, 0.5)  # left, centre, right, aligned, middle, fit
_UP: Final = (0.0, 0.0, 0.5, 1.0)  # baseline, bottom, middle, top
_MIDDLE: Final = 4
_STRETCHED: Final = (TextEntityAlignment.ALIGNED, TextEntityAlignment.FIT)


def mended(words: str, encoding: str) -> str:
    r"""Words without lone surrogates and control characters, as much of them kept as can be.

    >>> mended("T\udcfcr", "utf-8"), mended("Tür", "cp1252"), mended("\ud83d\ude00 \udc81", "utf-8")
    ('Tür', 'Tür', '😀 �')
    """
    if not _ODD.search(words):
        return words
    try:
        words = words.encode(encoding, "surrogateescape").decode("utf-8")
    except (UnicodeError, LookupError):
        words = _ESCAPED.sub(lambda run: _bytes_of(run.group()).decode("cp1252", "replace"), _paired(words))
    return _ODD.sub(lambda odd: " " if odd.group() < " " else "\ufffd", words)


def by_letters(words: str) -> str:
    r"""Words with the letters that files write by their numbers, in Unicode or in a code page of two bytes.

    >>> by_letters(r"T\U+00FCr"), by_letters(r"\M+182A0"), by_letters(r"\U+D83D\U+DE00")
    ('Tür', 'あ', '😀')
    """
    if "\\" not in words:
        return words
    return _paired(decode_dxf_unicode(decode_mif_to_unicode(words)))


def _paired(words: str) -> str:
    """Words with surrogate pairs joined; lone ones stay."""
    return words.encode("utf-16", "surrogatepass").decode("utf-16", "surrogatepass")


def _bytes_of(run: str) -> bytes:
    return bytes(ord(mark) - 0xDC00 for mark in run)


class Wording:
    """Plain words of a file's texts and names.

    Attributes:
        encoding: How the file's bytes were read.
    """

    def __init__(self, encoding: str, troubles: Troubles) -> None:
        self.encoding = encoding
        self._troubles = troubles

    def plain(self, raw: str, *, what: str, where: str = "") -> str:
        """Words as people read them; what had to be replaced is noted."""
        raw = by_letters(raw)
        words = mended(raw, self.encoding)
        if words != raw:
            text = f"Broken characters in {what}, replaced as well as could be guessed: {{n}}; read them again."
            self._troubles.note("text-characters", text, where=where, effect=Effect.FIXED)
        return words


def cut_short(entity: Any, troubles: Troubles) -> None:  # noqa: ANN401 - ezdxf's entity attributes are untyped
    """Cut the raw words of a text that is longer than any on a plan, and say so."""
    many = entity.dxftype() == "MTEXT"
    raw = entity.text if many else entity.dxf.get("text", "")
    if len(raw) <= MOST_LETTERS:
        return
    text = f"Texts cut after {MOST_LETTERS:,} letters: {{n}}."
    troubles.note("text-cut", text, where=handle_of(entity))
    short = raw[: MOST_LETTERS + 1]  # one more, so that a second reading says it again
    if many:
        entity.text = short
    else:
        entity.dxf.text = short


def line_text(entity: Any, words: str, layer: int) -> Lettering:  # noqa: ANN401 - ezdxf's entity attributes are untyped
    """A TEXT, ATTRIB or ATTDEF of one line."""
    dxf = entity.dxf
    align, first, second = entity.get_placement()
    turn = radians(dxf.rotation)
    if align in _STRETCHED and second is not None and not first.isclose(second):
        turn = atan2(second.y - first.y, second.x - first.x)
        first = first.lerp(second)
    along, rise = Vec3(cos(turn), sin(turn)), Vec3(-sin(turn), cos(turn)) * dxf.height
    along, rise = (-along if entity.is_backward else along), (-rise if entity.is_upside_down else rise)
    ocs = OCS(dxf.extrusion)
    up = 0.5 if dxf.halign == _MIDDLE else 0.0 if align in _STRETCHED else _UP[_within(dxf.valign, _UP)]
    across = _ACROSS[_within(dxf.halign, _ACROSS)]
    place, line, letters = (_vector(Vec3(ocs.to_wcs(v))) for v in (first, along, rise))
    return Lettering(place, line, letters, across, up, words, layer)


def block_text(entity: Any, words: str, layer: int) -> Lettering:  # noqa: ANN401 - ezdxf's entity attributes are untyped
    """A text of many lines (MTEXT)."""
    dxf = entity.dxf
    along = Vec3(entity.get_text_direction()).normalize()
    rise = Vec3(dxf.extrusion).cross(along).normalize(dxf.char_height)
    place = dxf.attachment_point - 1
    across, up = (place % 3) / 2, 1.0 - min(max(place // 3, 0), 2) / 2
    return Lettering(_vector(Vec3(dxf.insert)), _vector(along), _vector(rise), across, up, words, layer)


def flat_text(lettering: Lettering) -> Text | None:
    """The text in plan; None when its letters have no height there.

    A mirrored text stays readable: it is turned over in place, so that it covers the same spot.
    """
    (ax, ay, _), (rx, ry, _) = lettering.along, lettering.rise
    length = hypot(ax, ay)
    height = abs(ax * ry - ay * rx) / length if length > 0 else 0.0
    if not 0 < height < float("inf"):
        return None
    across, up = lettering.across, lettering.up
    if ax * ry - ay * rx < 0:
        if ax > 1e-9 * length or (abs(ax) <= 1e-9 * length and ay > 0):
            up = 1 - up
        else:
            ax, ay, across = -ax, -ay, 1 - across
    return Text(lettering.at[:2], height, degrees(atan2(ay, ax)), across, up, lettering.words, lettering.layer)


def _within(index: int, choices: tuple[float, ...]) -> int:
    return index if 0 <= index < len(choices) else 0


def _vector(v: Vec3) -> Vector:
    return v.x, v.y, v.z

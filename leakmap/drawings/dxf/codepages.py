"""Code pages of DXF text files from before 2007, whose letters are bytes of a code page that the header names.

The word of the header is believed unless it is missing, or the bytes cannot be what it says; then the code page is
guessed from the letters, which short texts cannot make certain, and a finding says what was taken. What the user
says counts more than either. Where the word is not followed, every letter beyond ASCII is written by its number
before the file is read, in the way that the format has for this, so that whatever reads the file reads it alike.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING, Final

from leakmap.base.errors import BadValue
from leakmap.base.findings import Effect

if TYPE_CHECKING:
    from leakmap.drawings.dxf.troubles import Troubles

UTF_8: Final = "utf-8"
_LIBRARY: Final = "cp1252"
"""What the library takes where a file names none that it knows."""

_EAST_ASIAN: Final = ("cp949", "cp936", "cp950", "cp932")

_USUAL: Final = {
    "cp1252": "äöüßÄÖÜéèàçêôûîñóíáúãõâåæøÅÆØÉ°²³µ±½",
    "cp1250": "áéíóúýčďěňřšťůžąćęłńśźżőűăâîşţČŘŠŽŁŚŻÁ°",
    "cp1251": "оеаинтрсвлкмдпуяыьзбгчйхжшюцщэфОЕАИНТРСВЛКМДПУЗБГЧ",
    "cp1253": "αοιετνσηρπκλμςωάέίόύήΑΟΙΕΤΝΣΗΡΠΚΛΜ",
    "cp1254": "ıİşŞğĞçÇöÖüÜ",
    "cp1255": "אבגדהוזחטיכלמנסעפצקרשת",
    "cp1256": "ابتجحخدرزسشصطعفقكلمنهوي",
    "cp1257": "āēėīūšžčģķļņąęįųõĀŠŽČ",
    "cp1258": "ăâđêôơưĐ",
    "cp874": "กขคงจชดตถทนบปผพมยรลวสหอะาิีึืุู่้็เแโไ",
}
"""Code pages of one byte a letter, and the letters that are usual in their languages (from memory)."""

_OWN_LETTERS: Final = frozenset({"cp1251", "cp1253", "cp1255", "cp1256", "cp874"})
"""Those whose words hold no letters of ASCII."""

_USUAL_ROWS: Final = {"cp949": (0xB0, 0xC8), "cp936": (0xB0, 0xD7), "cp950": (0xA4, 0xC6), "cp932": (0x82, 0x97)}
"""Code pages of two bytes a letter: first and last leading byte of what is usual in their languages (from memory)."""

CODEPAGES: Final = (*sorted(_USUAL, key=lambda name: int(name[2:])), *sorted(_USUAL_ROWS), UTF_8)
"""Names of all code pages that a DXF file can be in, as Python names them."""

_ENOUGH: Final = 1000
_LONGEST: Final = 2049
"""Bytes of a text, at most, that is looked at for a guess: no proper one is longer."""

_UTF8_SINCE: Final = b"AC1021"
_BINARY_WORD: Final = re.compile(rb"(\$DWGCODEPAGE\x00\x03\x00?)[^\x00]*")
_VERSION: Final = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})")
_WORD: Final = re.compile(rb"\$DWGCODEPAGE\s+3[ \t]*[\r\n]+[ \t]*([^\r\n]*)")
_PAGE: Final = re.compile(r"(ansi_|dos|iso8859_)(\d{1,4})")
_BEYOND: Final = re.compile(rb"[\x80-\xff]")
_MIXED: Final = re.compile(r"[A-Za-z][^\x00-\x7f]|[^\x00-\x7f][A-Za-z]")
_LINE_END: Final = re.compile(rb"[\r\n]|\Z")


def codepage_of(words: str) -> str:
    """The name of a code page, however a user writes it.

    Raises:
        BadValue: There is none of this name.

    >>> codepage_of("ANSI_1251"), codepage_of("cp932"), codepage_of("UTF8"), codepage_of("874")
    ('cp1251', 'cp932', 'utf-8', 'cp874')
    """
    plain = words.strip().lower().replace("-", "").replace("_", "").removeprefix("ansi").removeprefix("cp")
    name = UTF_8 if plain in {"utf8", "65001"} else f"cp{plain}"
    if name not in CODEPAGES:
        raise BadValue(f'There is no code page "{words}"; the code pages are {", ".join(CODEPAGES)}.')
    return name


def by_numbers(data: bytes, codepage: str, troubles: Troubles) -> bytes:
    """A DXF text file whose letters any reader takes right.

    Args:
        data: The file.
        codepage: One of ``CODEPAGES`` that the user gives; empty for what the file says.
        troubles: Takes a guess.

    Returns:
        The same bytes where the file's own word is followed, as readers do; else the file with its letters written
        by numbers.
    """
    from leakmap.drawings.dxf.troubles import words_of  # noqa: PLC0415 - late: it brings a large library, which no window waits for

    if data.isascii():
        return data
    lines = list(_odd_lines(data))
    version = _VERSION.search(data)
    if version is not None and version[1] >= _UTF8_SINCE:
        taken = codepage or UTF_8
        return data if taken == UTF_8 else _numbered(data, lines, taken)
    word = _WORD.search(data)
    named = _named(word[1]) if word is not None else None
    samples = [data[a:z] for a, z in islice(lines, _ENOUGH) if z - a <= _LONGEST]
    taken = codepage or _believed(named, samples) or _guessed(samples)
    if not codepage and taken != named:
        _note(taken, None if word is None else words_of(word[1].decode("ascii", "replace")), troubles)
    return data if taken == (named if named in CODEPAGES else _LIBRARY) else _numbered(data, lines, taken)


def renamed(data: bytes, codepage: str) -> bytes:
    """A binary DXF file that names another code page of ``CODEPAGES``, if it names any; empty for its own."""
    if not codepage or codepage == UTF_8:
        return data
    return _BINARY_WORD.sub(rb"\g<1>ANSI_" + codepage.removeprefix("cp").encode(), data, count=1)


def _named(word: bytes) -> str | None:
    """The code page that a header names, such as ANSI_1252, dos850 or iso8859_2; None for a word that is none."""
    found = _PAGE.fullmatch(word.strip().lower().decode("ascii", "replace"))
    if found is None:
        return None
    name = f"iso8859-{found[2]}" if found[1].startswith("iso") else f"cp{found[2]}"
    try:
        codecs.lookup(name)
    except LookupError:
        return None
    return name


def _believed(named: str | None, samples: list[bytes]) -> str | None:
    """The named code page, if the bytes can be what it says; None if they cannot.

    What is UTF-8 throughout is nothing else, but for two-byte pages, where it may be chance.
    """
    if named is None or not all(_decodes(line, named) for line in samples):
        return None
    return None if named not in _EAST_ASIAN and all(_decodes(line, UTF_8) for line in samples) else named


def _guessed(samples: list[bytes]) -> str:
    """The code page in whose languages most letters are usual; cp1252 where none is more likely."""
    if all(_decodes(line, UTF_8) for line in samples):
        return UTF_8
    marks = {name: sum(_usual(line, name) for line in samples) for name in (*_USUAL, *_EAST_ASIAN)}
    return max(marks, key=lambda name: marks[name])  # the first of equals


def _usual(line: bytes, name: str) -> int:
    """How many bytes of a line belong to usual letters, less those that do not."""
    words = line.decode(name, "replace")
    beyond = [letter for letter in words if letter > "\x7f"]
    if name in _USUAL:
        mixed = len(_MIXED.findall(words)) if name in _OWN_LETTERS else 0
        return sum(1 if letter in _USUAL[name] else -1 for letter in beyond) - 2 * mixed
    first, last = _USUAL_ROWS[name]
    encoded = [letter.encode(name, "ignore") for letter in beyond]
    return sum(2 if len(pair) == 2 and first <= pair[0] <= last else -2 for pair in encoded)


def _decodes(line: bytes, name: str) -> bool:
    try:
        line.decode(name)
    except UnicodeDecodeError:
        return False
    return True


def _odd_lines(data: bytes) -> Iterator[tuple[int, int]]:
    """Begin and end of each line that holds bytes beyond ASCII."""
    done = 0
    while (odd := _BEYOND.search(data, done)) is not None:
        start = max(data.rfind(b"\n", done, odd.start()), data.rfind(b"\r", done, odd.start())) + 1
        end = _LINE_END.search(data, odd.end())
        assert end is not None
        yield max(start, done), end.start()
        done = end.start()


def _numbered(data: bytes, lines: list[tuple[int, int]], codepage: str) -> bytes:
    """The file with the letters of some lines written by numbers; bytes that are no letters stay."""
    parts: list[bytes] = []
    numbers, done = _Numbers(), 0
    for start, end in lines:
        words = data[start:end].decode(codepage, "surrogateescape").translate(numbers)
        parts += [data[done:start], words.encode("ascii", "surrogateescape")]
        done = end
    return b"".join((*parts, data[done:]))


class _Numbers(dict[int, str]):
    """Letters as they are in ASCII, others by their number; in two halves where four digits do not hold it."""

    def __missing__(self, code: int) -> str:
        letter = chr(code)
        if code >= 0x80 and not 0xDC80 <= code <= 0xDCFF:  # a byte that is no letter stays
            halves = codecs.encode(letter, "utf-16-be").hex().upper()
            letter = "".join(f"\\U+{halves[at : at + 4]}" for at in range(0, len(halves), 4))
        self[code] = letter
        return letter


def _note(taken: str, word: str | None, troubles: Troubles) -> None:
    because = "does not name its code page" if word is None else f"names the code page {word}, which cannot be"
    text = (
        f"The file {because}; its texts were read as {taken}. If words look wrong, bring the drawing in again with the"
        " code page that they were written in."
    )
    troubles.note("codepage-guessed", text, effect=Effect.LOOK)

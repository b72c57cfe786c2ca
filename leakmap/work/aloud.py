"""Words of the window as they are to be heard: a screen reader spells signs and units, or leaves them out."""

from __future__ import annotations

import re
from typing import Final

_HEARD: Final = (
    (re.compile(r"(?<=\d) m²"), " square metres"),
    (re.compile(r"(?<=\d) m\b"), " metres"),
    (re.compile(r"(?<=\d) mm\b"), " millimetres"),
    (re.compile(r"(?<=\d) L\b"), " litres"),
    (re.compile(r"(?<=[A-Z0-9])−(?=\d)"), " minus "),
    (re.compile(r"−(?=\d)"), "minus "),
    (re.compile(r"(?<=\d)–(?=\d)"), " to "),
    (re.compile(r"(?<= )\+(?= )"), "and"),
    (re.compile(r"(?<=[A-Z0-9])\+(?=\d)"), " plus "),
    (re.compile(r" / "), ", "),
    (re.compile(r"(?<=\d) ?°"), " degrees"),
    (re.compile(r"(?<=\d)' ?(?=\d)"), " feet "),
    (re.compile(r"(?<=\d)'(?!\w)"), " feet"),
    (re.compile(r'(?<=\d)"(?!\w)'), " inches"),
    (re.compile(r"(?<=: )–$|^–$"), "none"),
)
"""What is written, and what is said for it."""


def aloud(words: str) -> str:
    r"""Words with their units and signs in full.

    >>> aloud("Z-07, slot + plug, 3.90 m"), aloud("−7.80"), aloud("2.80–4.00"), aloud("J-07")
    ('Z-07, slot and plug, 3.90 metres', 'minus 7.80', '2.80 to 4.00', 'J-07')
    >>> aloud("C+12.20 / 4−0.35"), aloud("Caught on: –"), aloud("7' 10 1/2\""), aloud("45°")
    ('C plus 12.20, 4 minus 0.35', 'Caught on: none', '7 feet 10 1/2 inches', '45 degrees')
    """
    for written, heard in _HEARD:
        words = written.sub(heard, words)
    return words

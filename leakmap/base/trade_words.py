"""Words of the trade that differ in the US, in one table: what an imperial job says on papers and in the window.

Code, tables for machines and what people wrote themselves keep their words. Both sides are common practice, no
published source.
"""

from __future__ import annotations

import re
from typing import Final

from leakmap.base.measures import Units

US_WORDS: Final = {
    "chainage": "station",
    "chainages": "stations",
    "metre": "meter",
    "metres": "meters",
    "millimetre": "millimeter",
    "millimetres": "millimeters",
    "slot": "groove",
    "slots": "grooves",
    "soffit": "underside",
    "a soffit": "an underside",
    "wall-base": "cove",
}
"""What is said elsewhere, and what is said in the US."""

_WORD: Final = re.compile(rf"\b({'|'.join(US_WORDS)})\b", re.IGNORECASE)


def in_trade_words(units: Units, words: str) -> str:
    """Our own words as the trade says them where a job is read in these units; never for what a person typed.

    >>> in_trade_words(Units.IMPERIAL, "Chainages run along the soffit; slot + plug")
    'Stations run along the underside; groove + plug'
    >>> in_trade_words(Units.METRIC, "slot"), in_trade_words(Units.IMPERIAL, "Slots on a soffit")
    ('slot', 'Grooves on an underside')
    """
    return words if units.metric else _WORD.sub(_said, words)


def english_of(units: Units) -> str:
    """Which English our own words are where a job is read in these units, as BCP 47 names it.

    >>> english_of(Units.METRIC), english_of(Units.IMPERIAL)
    ('en-GB', 'en-US')
    """
    return "en-GB" if units.metric else "en-US"


def _said(found: re.Match[str]) -> str:
    us = US_WORDS[found[0].casefold()]
    return us.capitalize() if found[0][0].isupper() else us

"""What can be read in the window apart from the job: the cautions of every repair schedule, and what is new."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from leakmap.base.measures import Units
from leakmap.base.resources import resource
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.cautions import Caution, cautions

CAUTIONS: Final = "Cautions"
CHANGES: Final = "What is new"
_CODE: Final = re.compile(r"`([^`]+)`")


@dataclass(frozen=True, slots=True)
class Passage:
    """What stands under one heading, in paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Leaflet:
    """Something to read.

    Attributes:
        title: Its name.
        hint: One sentence on what it is.
        passages: What it says.
    """

    title: str
    hint: str
    passages: tuple[Passage, ...]


def cautions_leaflet(units: Units) -> Leaflet:
    """The cautions, in the words of those who read a job in these units.

    >>> cautions_leaflet(Units.METRIC).passages[0].heading
    'Dust'
    """
    hint = "Every repair schedule prints them. Read them once before the first slot is opened."
    return Leaflet(
        title=CAUTIONS,
        hint=in_trade_words(units, hint),
        passages=tuple(Passage(caution.heading, (_said(caution, units),)) for caution in cautions()),
    )


def changes_leaflet() -> Leaflet:
    """What changed in the program, the newest first."""
    with resource("resources", "changes.md").open(encoding="utf-8") as file:
        passages = tuple(_passages(file))
    return Leaflet(title=CHANGES, hint="What changed in leakmap, the newest first.", passages=passages)


def _said(caution: Caution, units: Units) -> str:
    words, source = (caution.text, caution.source) if units.metric else caution.for_us
    return in_trade_words(units, words) + (f" Source: {source}." if source else "")


def _passages(lines: Iterator[str]) -> Iterator[Passage]:
    """Passages of a text with a release under each ``##``, sorts of change under ``###``, and a change a line."""
    release, heading, told = "", "", list[str]()
    for line in (*(line.rstrip() for line in lines), "## "):
        if line.startswith(("## ", "### ")):
            if told:
                yield Passage(heading, tuple(told))
            told = []
            if line.startswith("## "):
                release = heading = line.removeprefix("## ")
            else:
                heading = f"{release}: {line.removeprefix('### ').lower()}"
        elif line.startswith("- "):
            told.append(_CODE.sub(r"“\1”", line.removeprefix("- ")))

"""The first-job guide: six steps, one a stage, each done by really doing it; pure, from a text file.

A step watches what the job was when it began and what it is now: whichever tool, key or button did the deed, it counts.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cache
from typing import Final
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.base.resources import resource
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.work.job_names import SAMPLE_NAME


@dataclass(frozen=True, slots=True)
class Seen:
    """What a step watches.

    Attributes:
        job: The job as kept.
        begun: Whether a revision is begun.
        stage: Number of the stage that the user is in.
    """

    job: Job
    begun: bool
    stage: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step.

    Attributes:
        stage: Number of its stage.
        tool: Letter of the button that it is done with; empty for none.
        title: What is done, in a few words.
        words: Two sentences.
        sample: The same where the sample is open; empty: the same words.
        press: What is pressed or clicked after the button.
        figure: What ``{figure}`` is in metres.
        figure_us: The same in feet and inches.
        deed: What it watches for: a name of ``_DONE``.
    """

    stage: int
    tool: str
    title: str
    words: str
    press: tuple[str, ...]
    deed: str
    sample: str = ""
    figure: str = ""
    figure_us: str = ""

    def said(self, job: Job) -> str:
        """Its two sentences, in the words and units of a job."""
        words = self.sample if self.sample and job.name == SAMPLE_NAME else self.words
        return in_trade_words(job.units, words.replace("{figure}", self._figure(job.units)))

    def pressed(self, job: Job) -> tuple[str, ...]:
        """What is pressed, one after the other: the stage, the button, then in the plan."""
        tool = (self.tool,) if self.tool else ()
        rest = (each.replace("{figure}", self._figure(job.units)) for each in self.press)
        return (f"Ctrl {self.stage}", *tool, *rest)

    def done(self, before: Seen, after: Seen) -> bool:
        """Whether its deed was done since it began."""
        return _DONE[self.deed](before, after)

    def _figure(self, units: Units) -> str:
        return self.figure if units.metric else self.figure_us


@dataclass(frozen=True, slots=True)
class FirstJob:
    """The guide: its steps, and what is said after the last."""

    steps: tuple[Step, ...]
    end_title: str
    end_words: str


@cache
def first_job() -> FirstJob:
    """The guide as it is shipped."""
    with resource("resources", "texts", "first_job.toml").open("rb") as file:
        told = tomllib.load(file)
    steps = tuple(Step(**{**each, "press": tuple(each["press"])}) for each in told["step"])
    return FirstJob(steps, told["end"]["title"], told["end"]["words"])


def _lengths(job: Job) -> int:
    return sum(len(sheet.lengths) for sheet in job.sheets.values())


def _by_hand(job: Job, leaks: AbstractSet[UUID]) -> tuple[object, ...]:
    """What a person says of zones: overruns, methods, cuts, relief points, parted junctions of leaks that were there."""
    said = {
        key: (leak.overrun_from_m, leak.overrun_to_m, leak.method) for key, leak in job.leaks.items() if key in leaks
    }
    return said, dict(job.cuts), dict(job.reliefs), dict(job.parted)


def _zone(before: Seen, after: Seen) -> bool:
    both = before.job.leaks.keys() & after.job.leaks.keys()
    return _by_hand(before.job, both) != _by_hand(after.job, both)


_DONE: Final[dict[str, Callable[[Seen, Seen], bool]]] = {
    "length": lambda before, after: _lengths(after.job) > _lengths(before.job),
    "joint": lambda before, after: bool(after.job.joints.keys() - before.job.joints.keys()),
    "leak": lambda before, after: bool(after.job.leaks.keys() - before.job.leaks.keys()),
    "zone": _zone,
    "revision": lambda before, after: (
        (after.begun and not before.begun) or len(after.job.revisions) > len(before.job.revisions)
    ),
    "look": lambda _before, after: after.stage == first_job().steps[-1].stage,
}
"""Whether the deed of a step was done between what was seen before and after."""

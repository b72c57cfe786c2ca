"""What the action strip says while no tool is in hand: where the work stands, and what to press next."""

from __future__ import annotations

from leakmap.base.trade_words import in_trade_words
from leakmap.desk.things import Stage
from leakmap.model.job import Job
from leakmap.model.sheet import scale_is_checked
from leakmap.model.words import Purpose
from leakmap.repair.price import unpriced_words
from leakmap.repair.results import Repairs
from leakmap.work.check_list import next_name
from leakmap.work.issuing import unchecked_sheets


def resting_sentence(
    stage: Stage, job: Job | None, repairs: Repairs | None, draft: Purpose | None = None, *, prices: bool = False
) -> str:
    """The sentence of a stage at rest.

    Args:
        stage: The stage.
        job: The job.
        repairs: Its work-out.
        draft: What the revision that was begun is for.
        prices: Whether prices are shown, so that what has none is said.
    """
    if job is None or repairs is None:
        return ""
    if stage is Stage.DRAWING:
        return _drawing(job)
    if stage is Stage.JOINTS:
        return _joints(job)
    if stage is Stage.LEAKS:
        return _leaks(job)
    if stage is Stage.REPAIR:
        return _repair(job, repairs, prices=prices)
    return _issue(job, draft) if stage is Stage.ISSUE else _as_built(job)


def _drawing(job: Job) -> str:
    unchecked = [sheet.name for sheet in job.sheets.values() if not scale_is_checked(sheet)]
    if not job.sheets:
        return "Press I and choose the drawing of a level."
    if unchecked:
        return f"Press S and click both ends of a length that you know on {unchecked[0]}."
    return "Every level is to scale. Go on to Joints."


def _joints(job: Job) -> str:
    if not job.joints:
        return "Draw the first joint: press J and click along it."
    return "Press J and click along a joint, or pick one to change it."


def _leaks(job: Job) -> str:
    if not job.joints:
        return "Leaks lie on joints. Draw a joint first, in Joints."
    if not job.leaks:
        return "No leaks yet. Press L and click where the wet stretch starts."
    return "Press L and click where a wet stretch starts, or pick a leak to change it."


def _repair(job: Job, repairs: Repairs, *, prices: bool) -> str:
    if not repairs.zones:
        return "Nothing to repair yet. Zones appear as soon as a leak is marked."
    unpriced = _unpriced(job, repairs) if prices else ""
    if unpriced:
        return f"{unpriced} Pick a zone, or press P to enter a rate."
    return "Pick a zone on the plan or in the ledger, or press a letter."


def rates_sentence(job: Job, repairs: Repairs) -> str:
    """What the strip says while the rates of the job lie in the plan's place."""
    unpriced = _unpriced(job, repairs) if job.rates.known else ""
    return f"{unpriced} Type a rate and press Enter; Tab goes on, Esc shows the plan again.".lstrip()


def _unpriced(job: Job, repairs: Repairs) -> str:
    return in_trade_words(job.units, unpriced_words(job, repairs))


def _issue(job: Job, draft: Purpose | None) -> str:
    if unchecked_sheets(job):
        return "The scale has not been checked, so nothing can be issued for work."
    if draft is not None:
        return (
            f"{next_name(job, draft)} is begun. Press C to see what needs a look before it is issued, or I to issue it."
        )
    return "Press C to see what needs a look before a revision is issued, or R to begin one."


def _as_built(job: Job) -> str:
    if not job.revisions:
        return "Nothing has been issued yet, so there is nothing to record."
    return "What was really done cannot be recorded here yet."

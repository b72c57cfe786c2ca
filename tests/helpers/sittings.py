"""Random sittings of work on networks full of ties: leaks, cuts and relief points, or joints too; with undo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from random import Random

from leakmap.base.errors import EditRefused
from leakmap.model.faults import Row
from leakmap.model.job import Job, Numbers
from leakmap.model.rules import PlugExtent, Rules
from leakmap.work.edits.edit import Edit
from tests.helpers import random_edits, random_networks
from tests.helpers.random_edits import MARKING, Deed, NothingThere, with_issued

_TRIES = 200


def random_start(seed: int) -> Job:
    """A job on a random network under random rules, sometimes issued, on which deeds can go on."""
    chance = Random(seed)  # noqa: S311 - test jobs, not secrets
    step_m, side = chance.choice([0.1, 0.3, 0.5, 1.0]), chance.choice([8, 16, 30])
    slanted = seed % 4 == 3
    job = random_networks.slanted_job(seed) if slanted else random_networks.random_job(seed, step_m=step_m, side=side)
    job = replace(job, numbers=Numbers(joint=99, vertical=99, leak=99), rules=_rules(job.rules, chance))
    return with_issued(job, chance) if chance.random() < 0.4 else job


def _rules(rules: Rules, chance: Random) -> Rules:
    if chance.random() < 0.5:
        rules = replace(rules, wash_m=chance.choice([0.1, 0.3, 0.5]))
    if chance.random() < 0.4:
        rules = replace(rules, plug_extent=PlugExtent.WET, plug_beyond_m=chance.choice([0.0, 0.5, 1.0]))
    if chance.random() < 0.3:
        rules = replace(rules, deep_length_m=chance.choice([0.0, 1.0]))
    if chance.random() < 0.3:
        rules = replace(rules, measuring_step_m=Decimal("0.01"))
    return rules


def marked_edit(job: Job, chance: Random, deeds: Sequence[Deed] = MARKING) -> Edit:
    """An edit of what is marked on joints, or by other deeds, that the job accepts and that changes something."""
    for _ in range(_TRIES):
        try:
            edit = chance.choice(deeds)(job, chance)
        except (EditRefused, NothingThere):
            continue
        if edit.changed:
            return edit
    return random_edits.random_edit(job, chance)


class Sitting:
    """A job under work: edits one after the other, and now and then an undo.

    Args:
        job: The job at the start.
        chance: What decides.
        deeds: The deeds to choose from.

    Attributes:
        job: The job now.
    """

    def __init__(self, job: Job, chance: Random, deeds: Sequence[Deed] = MARKING) -> None:
        self.job = job
        self._chance = chance
        self._deeds = deeds
        self._past: list[tuple[Job, frozenset[Row]]] = []

    def step(self) -> frozenset[Row]:
        """Go on by an edit or an undo; gives the rows that changed."""
        if self._past and self._chance.random() < 0.15:
            self.job, changed = self._past.pop()
            return changed
        edit = marked_edit(self.job, self._chance, self._deeds)
        self._past.append((self.job, edit.changed))
        self.job = edit.job
        return edit.changed

"""Chainages as papers and sentences print them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from leakmap.base.rounding import rounded
from leakmap.model.job import Job
from leakmap.model.joint import Joint


def chainage_m(job: Job, joint: Joint, at_m: float | Decimal) -> Decimal:
    """The printed chainage of a raw one, in metres: the joint's start value added, each rounded once.

    So two places on a joint are as far apart in print as they were measured.
    """
    step = job.units.step_m
    return rounded(at_m, step) + rounded(joint.start_m, step)


def raw_m(job: Job, joint: Joint, printed_m: Fraction) -> float:
    """The raw chainage that a printed one, as people type it, stands for."""
    return float(printed_m - Fraction(rounded(joint.start_m, job.units.step_m)))


def printed(job: Job, joint: Joint, at_m: float | Decimal) -> str:
    """A printed chainage with its unit."""
    return job.units.printed(chainage_m(job, joint, at_m))

"""A small job with rates, of which every amount can be worked by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from leakmap.model.job import Job
from leakmap.model.rates import Rates
from leakmap.model.words import Face
from tests.helpers.jobs import job_of, leak, line, upright

EUR = Rates(
    currency="EUR",
    slot=Decimal("48.00"),
    slot_plug=Decimal("61.55"),
    deep_plug_relief=Decimal("96.40"),
    corner=Decimal("4.25"),
    vertical=Decimal("7.1"),
    relief_point=Decimal(35),
    zone=Decimal("12.5"),
    job=Decimal(450),
)


def priced_job(rates: Rates = EUR, **facts: Any) -> Job:  # noqa: ANN401 - any field of a job
    """Four joints far apart: a floor that seeps, a corner that runs, a vertical joint that is damp, a suspect in a floor."""
    joints = [
        line((0, 0), (10, 0)),
        line((0, 50), (10, 50), face=Face.CORNER),
        upright((30, 0), 3.0, face=Face.WALL),
        line((0, 90), (10, 90)),
    ]
    leaks = [leak(1, 2.0, 4.0, 2), leak(2, 3.0, 5.0, 4), leak(3, 1.0, 1.5, 1), leak(4, 5.0, 6.0, 0)]
    return replace(job_of(joints, leaks, **facts), rates=rates)

"""A job as canonical text: what an issue freezes, and what a newer leakmap must always be able to read.

The text is JSON with a schema number of its own. Equal jobs give equal texts, so a hash of the text
names the job. A frozen text is never rewritten: an older one is brought up to date in memory.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from leakmap.base.errors import UnusableJobFile
from leakmap.model.job import Job
from leakmap.records.codec import UNREADABLE, codec_of, text_of, value_of

FROZEN_SCHEMA: Final = 1

STEPS: Final[Mapping[int, Callable[[dict[str, Any]], dict[str, Any]]]] = {}
"""For each older schema the function that makes the next one of a job's plain value; none yet."""


def frozen_text(job: Job) -> str:
    """The canonical text of a job."""
    return text_of({"schema": FROZEN_SCHEMA, "job": codec_of(Job).encode(job)})


def job_of_frozen(text: str) -> Job:
    """The job of a frozen text, whichever schema it was written with.

    Raises:
        UnusableJobFile: It is damaged, or was written by a newer leakmap.
    """
    try:
        value = value_of(text)
        schema, job = value["schema"], value["job"]
        if type(schema) is not int or schema < 1:
            raise ValueError(f"schema {schema!r} is not known")
    except UNREADABLE as error:
        raise _damaged(error) from error
    if schema > FROZEN_SCHEMA:
        raise UnusableJobFile(
            f"This frozen job was written by a newer leakmap (schema {schema}, known up to {FROZEN_SCHEMA});"
            " update leakmap to read it."
        )
    try:
        for older in range(schema, FROZEN_SCHEMA):
            job = STEPS[older](job)
        found: Job = codec_of(Job).decode(job)
    except UNREADABLE as error:
        raise _damaged(error) from error
    return found


def _damaged(error: Exception) -> UnusableJobFile:
    return UnusableJobFile(f"This frozen job is damaged and cannot be read ({error}).")

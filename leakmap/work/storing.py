"""Storing an issue: in the job file and, at the same time, its papers in a folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from leakmap.base.counted import many
from leakmap.base.errors import UnusableFile, reason_of
from leakmap.base.money import with_code
from leakmap.base.trade_words import in_trade_words
from leakmap.model.words import Purpose
from leakmap.records.job_file import JobFile
from leakmap.repair.price import TAX, not_priced_words, priced
from leakmap.repair.results import Repairs
from leakmap.work.issuing import Issue
from leakmap.work.papers import staged


def store(file: JobFile, made: Issue, folder: Path) -> tuple[Path, ...]:
    """Keep an issue in the job file and put its papers into a folder; over others of the same name.

    Raises:
        UnusableFile: The issue is kept, but a paper could not be put into the folder.
        UnusableJobFile: It could not be kept; the folder is as it was.
        OSError: The folder cannot be written; nothing was issued.
    """
    revision = made.revision
    with staged(folder, made.papers) as placed:
        file.store_issue(
            made.job,
            frozen_job=made.frozen,
            schedule_json=made.schedule,
            papers=made.papers,
            words=f"Issued {revision.name}",
            user=revision.by,
            at=revision.at,
        )
        try:
            return placed()
        except (OSError, KeyboardInterrupt) as problem:
            reason = reason_of(problem) if isinstance(problem, OSError) else "stopped"
            raise UnusableFile(
                f"{revision.name} is issued and its papers are kept in {file.path.name}, but {folder} could not take"
                f" them all: {reason}.",
                where=str(folder),
            ) from problem


def report(made: Issue, found: Repairs, paths: tuple[Path, ...]) -> Iterator[str]:
    """What was issued, and where it is.

    Args:
        made: The issue.
        found: The work-out of its job.
        paths: Where its papers are.
    """
    revision, totals, printed = made.revision, found.totals, made.job.units.printed
    yield f"{made.job.name} {revision.name} is issued for {revision.purpose.value} to {revision.to_whom}."
    yield (
        f"{many(len(found.zones), 'zone')}, {printed(totals.repair_m)} measured, {printed(totals.chargeable_m)} chargeable,"
        f" {printed(totals.wet_m)} wet."
    )
    yield from (f"  {path}" for path in paths)
    apart = [zone.ref for zone in found.zones if zone.provisional]
    if apart:
        what = "not for work" if revision.purpose is Purpose.WORK else "for price only"
        yield f"Provisional, {what}: {', '.join(apart)} ({printed(totals.provisional_m)})."
    if revision.purpose is Purpose.PRICE and made.job.rates.known:
        prices = priced(made.job, found)
        total = with_code(made.job.units.locale, prices.total, prices.currency)
        yield in_trade_words(made.job.units, " ".join((f"Price {total}.", *not_priced_words(prices), TAX)))

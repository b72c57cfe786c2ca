"""What the ledger lists in each stage: a title, a table, the notes below it, or one sentence where there is nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Final
from uuid import UUID

from leakmap.base.errors import LeakmapError
from leakmap.base.findings import Finding
from leakmap.desk.ledger.answers import draw_joint_then_return, mark_leaks
from leakmap.desk.ledger.columns import Money
from leakmap.desk.state import Desk
from leakmap.desk.things import LedgerView, Sort, Stage
from leakmap.model.drawing import Layer
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.repair.price import Prices
from leakmap.repair.results import Repairs
from leakmap.work.check_list import check_list, next_name
from leakmap.work.issued_sums import IssuedSum
from leakmap.work.kept import Kept
from leakmap.work.ledger_changes import changes_section
from leakmap.work.ledger_history import history_section
from leakmap.work.ledger_lines import Table
from leakmap.work.ledger_notes import (
    Note,
    Section,
    apart_section,
    check_section,
    layer_section,
    left_behind_section,
    noticed_section,
    papers_section,
    scale_section,
    watched_section,
)
from leakmap.work.ledger_prices import picked_section, price_section, shows_prices, then_and_now
from leakmap.work.ledger_rows import (
    NO_DAYS,
    NO_SUMS,
    common_currency,
    joint_table,
    leak_table,
    revision_table,
    sheet_table,
)
from leakmap.work.ledger_zones import as_built_table, zone_table
from leakmap.work.material_notes import mixed_section, order_section
from leakmap.work.offered import Offered, layers_section, offered_notes, offered_table
from leakmap.work.row_days import RowDays
from leakmap.work.settings import Role

TITLES: Final = {
    Stage.DRAWING: "Sheets",
    Stage.JOINTS: "Joints",
    Stage.LEAKS: "Leaks",
    Stage.REPAIR: "Repair zones",
    Stage.ISSUE: "Revisions",
    Stage.AS_BUILT: "As-built records",
}
FROM_LINES: Final = "Joints from lines"
NO_JOB: Final = "Joints, leaks and repairs are listed here as you draw them."
NO_JOINTS: Final = "Draw the first joint: press J and click along it."
NO_LEAKS: Final = "No leaks yet. Press L and click where the wet stretch starts."
NOTHING_TO_LEAK: Final = "Leaks lie on joints."
NO_ZONES: Final = "Nothing to repair yet. Zones appear as soon as a leak is marked."
NO_REVISION: Final = "Nothing is issued yet. Press R to begin a revision."
NONE_ISSUED: Final = "Nothing has been issued yet, so there is nothing to record."
_NO_TABLE: Final = Table(lines=())

Answer = tuple[str, Callable[[Desk], None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """What the ledger shows.

    Attributes:
        above: What stands above the table, such as what can be chosen for it.
        empty: What is said instead of a table; empty where there is one.
        answers: Buttons below that sentence.
        money: Of prices in the table; None: there are none.
    """

    title: str = ""
    table: Table = _NO_TABLE
    sections: tuple[Section, ...] = ()
    above: tuple[Section, ...] = ()
    empty: str = ""
    answers: tuple[Answer, ...] = ()
    money: Money | None = None


def listing_of(
    desk: Desk,
    kept: Kept,
    days: RowDays | None = None,
    *,
    prices: Prices | None = None,
    sums: Mapping[UUID, IssuedSum] = NO_SUMS,
) -> Listing:
    """What the ledger lists for the desk as it is.

    Args:
        desk: The desk.
        kept: What was made before.
        days: The days of the job file; only the archivist asks for them.
        prices: What the job costs; None: nobody asks, or it is not known yet.
        sums: What revisions came to, as far as that is asked for and known.
    """
    asked = days if desk.role is Role.ARCHIVIST else None
    job, repairs = desk.job, desk.repairs
    if job is None or repairs is None:
        return Listing(title="Ledger", empty=NO_JOB)
    listed = {
        Stage.DRAWING: lambda: _drawing(desk, job, asked),
        Stage.JOINTS: lambda: _joints(job, sheet_listed(desk), kept, asked),
        Stage.LEAKS: lambda: _leaks(job, sheet_listed(desk), kept),
        Stage.REPAIR: lambda: _repair(desk, job, repairs, kept, prices),
        Stage.ISSUE: lambda: _issue(desk, job, repairs, sums, prices),
        Stage.AS_BUILT: lambda: _as_built(job, repairs, sheet_listed(desk)),
    }
    if desk.offered is not None:
        return replace(_offered(desk.offered, job, kept), title=FROM_LINES)
    return replace(listed[desk.stage](), title=TITLES[desk.stage])


def sheet_listed(desk: Desk) -> UUID | None:
    """The level that tables and totals are for; None for the whole job."""
    return None if desk.whole_job else desk.level


def _joints(job: Job, sheet: UUID | None, kept: Kept, days: RowDays | None) -> Listing:
    table = joint_table(job, sheet, kept, changed=NO_DAYS if days is None else days.changed(job))
    return Listing(table=table, empty="" if table.lines else NO_JOINTS)


def _offered(offered: Offered, job: Job, kept: Kept) -> Listing:
    """Layers to choose from above, then what is proposed, then what was noticed."""
    noticed = offered_notes(offered)
    below = () if noticed is None else (noticed,)
    return Listing(table=offered_table(job, offered, kept), above=(layers_section(offered),), sections=below)


def _drawing(desk: Desk, job: Job, days: RowDays | None) -> Listing:
    table = sheet_table(job, NO_DAYS if days is None else days.received(job))
    if not table.lines or desk.level is None:
        return Listing(empty=NO_JOB)
    sheet = job.sheets[desk.level]
    scale = scale_section(job, sheet, _findings(desk, sheet.id))
    if desk.ledger_view is LedgerView.LEVELS:
        below = (left_behind_section(job, sheet), noticed_section(sheet.source, _findings(desk, sheet.id)))
        return Listing(table=table, sections=(scale, *(section for section in below if section is not None)))
    found = layer_section(sheet, _layers(desk, sheet.id), desk.faint_layers(sheet.id))
    if not found.notes:
        found = Section(heading=found.heading, notes=(Note(words="No drawing lies under this level"),))
    return Listing(table=table, sections=(found, scale))


def _findings(desk: Desk, sheet: UUID) -> tuple[Finding, ...]:
    """What was noticed in a level's drawing; nothing where it cannot be read, which the plan says."""
    with suppress(LeakmapError):
        drawing = desk.open_job.drawing(sheet) if desk.open_job is not None else None
        return drawing.findings if drawing is not None else ()
    return ()


def _layers(desk: Desk, sheet: UUID) -> tuple[Layer, ...]:
    """Layers of a level's drawing; none where there is no drawing, or it cannot be read: the band says why."""
    found: list[Layer] = []

    def look() -> None:
        drawing = desk.open_job.drawing(sheet) if desk.open_job is not None else None
        if drawing is not None:
            found.extend(drawing.layers)

    desk.attempt(look)
    return tuple(found)


def _leaks(job: Job, sheet: UUID | None, kept: Kept) -> Listing:
    if not job.joints:
        answer = ("Draw joint, then return", draw_joint_then_return)
        return Listing(empty=NOTHING_TO_LEAK, answers=(answer,))
    table = kept.of(("leaks of level", sheet), (job,), lambda: leak_table(job, sheet, kept))
    return Listing(table=table, empty="" if table.lines else NO_LEAKS)


def zones_listed(job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept, prices: Prices | None) -> Table:
    """The table of stage Repair, made once for a job, its work-out and its prices."""
    of = (job, repairs, prices)
    return kept.of(("zones of", sheet), of, lambda: zone_table(job, repairs, sheet, kept, prices=prices))


def _repair(desk: Desk, job: Job, repairs: Repairs, kept: Kept, prices: Prices | None) -> Listing:
    sheet = sheet_listed(desk)
    table = zones_listed(job, repairs, sheet, kept, prices)
    changes = _changed(desk, repairs) if desk.since.chosen is not None else None
    zones = frozenset(thing.key for thing in desk.picked if thing.sort is Sort.ZONE and isinstance(thing.key, int))
    price: tuple[Section | None, ...] = ()
    if shows_prices(desk.job, desk.role) and table.lines:
        price = picked_section(job, repairs, zones, prices), price_section(job, repairs, prices)
    mixed = mixed_section(job, repairs, zones, kept), order_section(job, repairs, sheet, kept)
    below = (*price, *mixed, apart_section(job, repairs, sheet), watched_section(job, repairs, sheet), changes)
    sections = tuple(section for section in below if section is not None)
    if table.lines or sections:
        return Listing(
            table=table,
            sections=sections,
            money=Money(job.rates.currency) if shows_prices(desk.job, desk.role) else None,
        )
    return Listing(empty=NO_ZONES, answers=(("Mark leaks", mark_leaks),))


def _issue(desk: Desk, job: Job, repairs: Repairs, sums: Mapping[UUID, IssuedSum], prices: Prices | None) -> Listing:
    draft, looked_at = desk.draft, _revision_looked_at(desk, job)
    name = "the next revision" if draft is None else next_name(job, draft)
    checks = check_section(check_list(job, repairs), name)
    changes = _changed(desk, repairs)
    since = desk.since.listed
    price = None
    if since is not None and since.id in sums and prices is not None:
        price = Section(heading=f"Price since {since.name}", notes=(then_and_now(job, sums[since.id], prices),))
    table = revision_table(job, desk.begun, sums)
    begin = () if table.lines else (Section(heading="", notes=(Note(words=NO_REVISION),)),)
    papers = () if looked_at is None else (papers_section(looked_at),)
    told = (section for section in (price, changes, history_section(job)) if section is not None)
    money = Money(common_currency(sums)) if sums else None
    return Listing(table=table, sections=(*begin, *papers, checks, *told), money=money)


def _changed(desk: Desk, repairs: Repairs) -> Section | None:
    """What changed in the whole job since the revision that was chosen, else since what the next one is compared with."""
    since = desk.since.listed
    if since is None:
        return None
    return changes_section(repairs, since, desk.since.found(since.id), broken=desk.since.broken(since.id))


def _revision_looked_at(desk: Desk, job: Job) -> Revision | None:
    """The revision whose papers are listed: the picked one; the archivist sees those of the last one anyway."""
    picked = [job.revisions[thing.key] for thing in desk.picked if thing.sort is Sort.REVISION]  # type: ignore[index] # ids
    last = job.last_revision if desk.role is Role.ARCHIVIST else None
    return picked[-1] if picked else last


def _as_built(job: Job, repairs: Repairs, sheet: UUID | None) -> Listing:
    """What was issued, with empty columns for what was really done; one sentence before the first issue."""
    if job.last_revision is None:
        return Listing(empty=NONE_ISSUED)
    note = Note(words=f"{job.last_revision.name} is issued", more="What is really done cannot be recorded here yet.")
    return Listing(table=as_built_table(job, repairs, sheet), sections=(Section(heading="", notes=(note,)),))

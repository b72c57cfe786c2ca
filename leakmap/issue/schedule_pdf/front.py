"""The first pages: what this paper is, totals, how each scale is known, the rules in force."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Final
from uuid import UUID

from reportlab.lib.colors import Color
from reportlab.platypus import Flowable, Spacer, Table

from leakmap.base.measures import Units
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, TIE_M
from leakmap.issue.heading import Heading
from leakmap.issue.price_words import sum_words
from leakmap.issue.rule_words import value_words
from leakmap.issue.schedule_pdf.closing import cautions_section, signatures
from leakmap.issue.schedule_pdf.furniture import TITLE, WIDTH_MM, revision_words
from leakmap.issue.schedule_pdf.ink import INK, RULE
from leakmap.issue.schedule_pdf.lettering import MM, NO_BREAK, Face
from leakmap.issue.schedule_pdf.plan_page import PlanPage
from leakmap.issue.schedule_pdf.styles import BODY, BOLD, LOUD, SMALL, TEXT, Bookmark, Setting, style
from leakmap.issue.schedule_pdf.tables import Column, Grid, marked, section
from leakmap.issue.schedule_pdf.words import OVERRUN_WORDS, date_words, length, said
from leakmap.issue.zone_sums import TOTALS, firm_and_provisional, total
from leakmap.model.job import Job
from leakmap.model.rules import OURS, Rules
from leakmap.model.sheet import Sheet, disagreement, length_error_m, pixel_m, scale_is_checked, third_length_needed
from leakmap.repair.price import priced
from leakmap.repair.results import Repairs

_BIG: Final = style(Face.BOLD, 24, leading=28)
_VALUE: Final = style(Face.BOLD, 10.5, leading=13)
NOT_CHECKED: Final = "Scale not checked: not for work"


def front(
    setting: Setting, job: Job, repairs: Repairs, heading: Heading, pages: Mapping[UUID, PlanPage]
) -> list[Flowable]:
    """The first pages of the paper."""
    found: list[Flowable] = [Bookmark("summary", "Summary", 0), setting.words(TITLE, _BIG), Spacer(1, 2 * MM)]
    found += [_identity(setting, heading), Spacer(1, 4 * MM)]
    found.append(setting.words(setting.trade(_how_to_read(job.units, repairs, heading)), TEXT))
    found += section(setting, "Totals", _totals(setting, job, repairs))
    found += section(setting, "Levels and scales", _levels(setting, job, pages), after=_accuracy(job))
    found += section(setting, "Rules in force", _rules(setting, job.rules))
    found += marked(Bookmark("cautions", "Cautions", 0), cautions_section(setting))
    return [*found, *signatures(setting)]


def _identity(setting: Setting, heading: Heading) -> Table:
    pairs = [
        ("Job", heading.job_name),
        ("Revision", revision_words(heading).removeprefix("Revision ")),
        ("Purpose", heading.purpose_words),
        ("Date", heading.day),
        ("Issued to", heading.to_whom or "nobody yet"),
        ("Issued by", heading.by or "nobody yet"),
    ]
    cells: list[list[Flowable]] = [
        [setting.words(name, SMALL), setting.fitted(value, _VALUE, (WIDTH_MM / 3 - 5) * MM, 24 * MM)]
        for name, value in pairs
    ]
    third = WIDTH_MM / 3 * MM
    table = Table([cells[:3], cells[3:]], colWidths=[third] * 3, hAlign="LEFT")
    table.setStyle(
        [
            ("FONTNAME", (0, 0), (-1, -1), Face.BODY.value),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("BOX", (0, 0), (-1, -1), 0.35 * MM, Color(*INK)),
            ("INNERGRID", (0, 0), (-1, -1), 0.18 * MM, Color(*RULE)),
            ("LEFTPADDING", (0, 0), (-1, -1), 2 * MM),
            ("TOPPADDING", (0, 0), (-1, -1), 1.2 * MM),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6 * MM),
        ]
    )
    return table


def _how_to_read(units: Units, repairs: Repairs, heading: Heading) -> str:
    numbers = "Numbers of zones are provisional until they are issued. " if heading.provisional else ""
    near = (
        " Slots are cut to their millimetres; inches beside them are what those come near." if not units.metric else ""
    )
    apart = " Provisional zones are priced apart and are not for work." if _any_provisional(repairs) else ""
    return (
        f"{numbers}{OVERRUN_WORDS} Chainages run along a joint from its 0, in {units.words}; the plans print the 0 and an "
        f"arrow. Measured lengths are net; each printed row is rounded once, and every total is the sum of its rows."
        f"{apart}{near}"
    )


def _any_provisional(repairs: Repairs) -> bool:
    return any(zone.provisional for zone in repairs.zones)


def _totals(setting: Setting, job: Job, repairs: Repairs) -> Grid:
    firm, provisional = firm_and_provisional(repairs)
    columns = [
        Column("", 0),
        Column("Unit", 16),
        Column("Firm", 30, right=True),
        Column("Provisional", 30, right=True),
        Column("All", 30, right=True),
    ]
    grid = Grid(setting, columns)
    totals, units = repairs.totals, setting.units
    alone = (
        ("Joints", totals.joint_m),
        ("Wet joints (damp and wetter, whatever the method)", totals.wet_m),
    )
    for words, value in alone:
        grid.row(words, units.heading("m"), "", "", length(units, value))
    for words, unit, name in TOTALS:
        strong = name in {"length_m", "chargeable_m"}
        parts = [units.figure(name, total(zones, name)) for zones in (firm, provisional, repairs.zones)]
        indent = 3 * NO_BREAK if words.startswith("of which") else ""
        grid.row(
            setting.words(f"{indent}{setting.trade(words)}", BOLD if strong else BODY),
            units.heading(unit),
            *parts,
            bold=strong,
        )
    grid.row("Saved by merging overruns", units.heading("m"), "", "", length(units, totals.saved_m))
    if job.rates.known:
        prices = priced(job, repairs)
        shown = (units.number(sum_) for sum_ in (prices.total - prices.provisional, prices.provisional, prices.total))
        words = sum_words(whole=not prices.not_priced)
        grid.row(setting.link(words, "price", BOLD), prices.currency, *shown, bold=True)
    return grid


def _levels(setting: Setting, job: Job, pages: Mapping[UUID, PlanPage]) -> Grid:
    columns = [Column("Level", 18), Column("Drawing", 44), Column("Plan", 24), Column("Floor level m", 22, right=True),
               Column("How the scale is known", 0)]  # fmt: skip
    grid = Grid(setting, columns)
    for sheet in job.sheets.values():
        floor = "not given" if sheet.floor_level_m is None else length(job.units, sheet.floor_level_m)
        plan = pages[sheet.id].scale_words if sheet.id in pages else "nothing drawn"
        source = sheet.source.name if sheet.source else "blank sheet"
        look = BODY if scale_is_checked(sheet) else LOUD
        grid.row(
            setting.words(sheet.name, BOLD), source, plan, floor, setting.words(scale_words(job.units, sheet), look)
        )
    return grid


def _accuracy(job: Job) -> str:
    water = ""
    if job.water is not None:
        day = f", seen {date_words(job.units, job.water.seen)}" if job.water.seen else ""
        source = f" ({job.water.source})" if job.water.source else ""
        level = job.water.level_m
        side = "below" if level < 0 else "over"
        water = f" Water outside stands {said(job.units, abs(level))} {side} the datum{day}{source}."
    return (
        f"A scale is checked when two known lengths across each other agree with the plan within {job.units.fixed(0.5, 1)} %. "
        f"Plans print true to scale: measure the bar before measuring anything else.{water}"
    )


def scale_words(units: Units, sheet: Sheet) -> str:
    """How a sheet's scale is known, and how well."""
    if sheet.source is None:
        return "Drawn in metres, no drawing behind it"
    known = _known_words(units, sheet)
    pixel, error = pixel_m(sheet), length_error_m(sheet, units.reading_m)
    if pixel is None or error is None:
        return known
    out, read = (
        units.out_by(error),
        f"{units.reading_m:.0f} m" if units.metric else units.said(units.reading_m),
    )
    return f"{known}; a scan: one pixel is {units.fixed(pixel * 1000, 1)} mm, and {read} can be out by {out}".replace(
        " m", f"{NO_BREAK}m"
    )


def _known_words(units: Units, sheet: Sheet) -> str:
    count = len(sheet.lengths)
    if not count:
        return f"{NOT_CHECKED}; no known length was measured"
    worst = max(abs(disagreement(sheet, known)) for known in sheet.lengths) * 100
    lengths = f"{count} known length{'s' if count > 1 else ''}, largest difference {units.fixed(worst, 2)}{NO_BREAK}%"
    if scale_is_checked(sheet):
        return f"Checked each way by {count} known lengths, within {units.fixed(worst, 2)}{NO_BREAK}%"
    if third_length_needed(sheet):
        return f"{NOT_CHECKED}; {lengths}, but its two ways differ and no third length was measured"
    return f"{NOT_CHECKED}; {lengths}, none across the other" if worst <= 0.5 else f"{NOT_CHECKED}; {lengths}"


def _rules(setting: Setting, rules: Rules) -> Grid:
    columns = [Column("Rule", 70), Column("Value", 52), Column("Origin", 0)]
    grid = Grid(setting, columns)
    for item in fields(rules):
        words = str(item.metadata["words"])
        value = getattr(rules, item.name)
        grid.row(
            setting.trade(words[0].upper() + words[1:]),
            setting.trade(value_words(setting.units, value, str(item.metadata["unit"]))),
            item.metadata["origin"],
        )
    grid.row("Drawn points closer than this are one place", value_words(setting.units, DRAWING_TOLERANCE_M, "m"), OURS)
    grid.row(setting.trade("Chainages closer than this are a tie"), value_words(setting.units, TIE_M, "m"), OURS)
    return grid

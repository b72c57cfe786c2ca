"""The workbook: the repair schedule for office programs, with live formulas whose values stand there already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from decimal import Decimal
from typing import Any

from leakmap.base.rounding import ZERO
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.cautions import cautions
from leakmap.issue.heading import Heading, as_told
from leakmap.issue.office_paper import office_papers
from leakmap.issue.price_words import PRICE
from leakmap.issue.workbook.book import Book, Cell, Column, Formula
from leakmap.issue.workbook.changes import change_tables
from leakmap.issue.workbook.figures import Figures
from leakmap.issue.workbook.marks import another_table, finding_table, joint_table, leak_table
from leakmap.issue.workbook.materials import material_tables
from leakmap.issue.workbook.price import PriceTable, price_tables
from leakmap.issue.workbook.zones import FIRM, PROVISIONAL, STEP_NAME, ZoneTable, sum_of, zone_table
from leakmap.issue.zone_sums import TOTALS, firm_and_provisional, total
from leakmap.model.job import Job
from leakmap.model.materials import in_filling_words
from leakmap.model.rules import Rules
from leakmap.model.words import Wetness
from leakmap.repair.price import TAX, not_priced_words
from leakmap.repair.results import Repairs, Zone
from leakmap.repair.sides import Differences

_LABEL_WIDTH, _FIGURE_WIDTH = 34, 16


def workbook_xlsx(job: Job, repairs: Repairs, heading: Heading, since: Differences | None = None) -> bytes:
    """The workbook of a job; the same input gives the same bytes.

    Args:
        job: The job.
        repairs: Its work-out.
        heading: What the paper says of itself.
        since: What changed since an earlier revision; None: it says nothing of it.
    """
    job, since = as_told(job, since, heading)
    figures = Figures(job.units)
    title = f"{heading.job_name}: repair schedule, revision {heading.revision}"
    book = Book(heading, title, paper=office_papers(job.rules)[0])
    summary = _Summary(book, figures, job)
    zones = zone_table(book, figures, job, repairs)
    price = price_tables(book, figures, job, repairs, zones)
    joints, each = joint_table(book, figures, job)
    material_tables(book, figures, job, repairs)
    leak_table(book, figures, job, repairs, each)
    another = another_table(book, figures, job, repairs)
    finding_table(book, repairs)
    if since is not None:
        change_tables(book, figures, since)
    _rule_table(book, figures, job.rules)
    summary.fill(repairs, zones, joints=joints, another=another, price=price)
    return book.written()


class _Summary:
    """The first sheet: what this workbook is, what to mind, and all sums."""

    def __init__(self, book: Book, figures: Figures, job: Job) -> None:
        self.book, self.figures, self.job = book, figures, job
        self.sheet = book.sheet("Summary")
        self.sheet.set_column(0, 0, _LABEL_WIDTH)
        self.sheet.set_column(1, 3, _FIGURE_WIDTH)
        self._row = 0

    def fill(self, repairs: Repairs, zones: ZoneTable, *, joints: str, another: str, price: PriceTable | None) -> None:
        """Write the sheet, when the addresses of what it adds up are known."""
        self._identity(price)
        for at, words in enumerate(("", "Firm", "Provisional", "All")):
            self.sheet.write_string(self._row, at, words, self.book.look(bold=True, bottom=1, align="right"))
        self._row += 1
        state = dict(zip((FIRM, PROVISIONAL), firm_and_provisional(repairs), strict=True))
        for words, unit, name in TOTALS:
            self._sums(f"{words} {unit}", name, state, repairs.zones, zones)
        self._rest(repairs, joints, another)
        if price is not None:
            self._put((f"{PRICE} {price.prices.currency}", *price.sums), form=price.form)

    def _identity(self, price: PriceTable | None) -> None:
        heading, units = self.book.heading, self.job.units
        title = self.book.look(bold=True, font_size=16)
        self.sheet.write_string(0, 0, "Repair schedule", title)
        self._row = 1
        shown = units.words if units.metric else "feet with decimals; 1/8 inch is 0.0104 ft"
        for words, value in (
            ("Job", heading.job_name),
            ("Revision", heading.revision),
            ("Purpose", heading.purpose_words),
            ("Date", heading.at.date()),
            ("Issued to", heading.to_whom or "nobody yet"),
            ("Issued by", heading.by or "nobody yet"),
            ("Lengths in", shown),
        ):
            self._put((words, value))
        mind = "; ".join(caution.heading for caution in cautions())
        self._long("Cautions", f"Read them in the repair schedule (PDF) before anything is opened: {mind}.")
        self._long("Measured", "Net lengths, each row rounded once; sums are of the rows. They are live formulas.")
        if price is not None:
            missing = (in_trade_words(units, words) for words in not_priced_words(price.prices))
            self._long("Price", " ".join((TAX, *missing)))
        self._row += 1

    def _sums(
        self, words: str, name: str, state: Mapping[str, Sequence[Zone]], every: Sequence[Zone], zones: ZoneTable
    ) -> None:
        parts = [sum_of(self.figures, zones, name, total(of, name), state=key) for key, of in state.items()]
        whole = sum_of(self.figures, zones, name, total(every, name))
        said = in_trade_words(self.job.units, self.figures.heading(words))
        said = in_filling_words(self.job.materials.filling, said)
        self._put((said, *parts, whole), form=self.figures.format_of(name))

    def _rest(self, repairs: Repairs, joints: str, another: str) -> None:
        totals, figures = repairs.totals, self.figures
        elsewhere = sum((item.length_m for item in repairs.another_method), ZERO)
        rows = {name: self._row - len(TOTALS) + at for at, (*_, name) in enumerate(TOTALS, start=1)}
        above = figures.exactly(f"D{rows['chargeable_m']}-D{rows['length_m']}")
        alone: tuple[tuple[str, Cell], ...] = (
            ("Chargeable less measured m", Formula(above, figures.length(totals.chargeable_m - totals.repair_m))),
            ("Joints m", Formula(figures.exactly(f"SUM({joints})"), figures.length(totals.joint_m))),
            ("Needs another method m", Formula(figures.exactly(f"SUM({another})"), figures.length(elsewhere))),
            ("Wet joints, whatever the method m", figures.length(totals.wet_m)),
            ("Saved by merging overruns m", figures.length(totals.saved_m)),
        )
        for words, value in alone:
            self._put((figures.heading(words), None, None, value), form=figures.length_format)

    def _put(self, cells: Sequence[Cell], *, form: str = "") -> None:
        for at, cell in enumerate(cells):
            self.book.cell(self.sheet, self._row, at, cell, form=form)
        self._row += 1

    def _long(self, words: str, value: str) -> None:
        self.sheet.write_string(self._row, 0, words, self.book.look())
        self.sheet.merge_range(self._row, 1, self._row, 7, "", self.book.look(text_wrap=True))
        self.sheet.write_string(self._row, 1, value, self.book.look(text_wrap=True))
        self.sheet.set_row(self._row, 15 * (1 + len(value) // 90))
        self._row += 1


def _rule_table(book: Book, figures: Figures, rules: Rules) -> None:
    """Write the rules in force; the step of chargeable lengths is a cell with a name, which formulas read."""
    table = book.table(
        "Rules",
        [
            Column(words="Rule", wrapped=True),
            Column(words="Value", form="0.####"),
            Column(words="Unit"),
            Column(words="Origin", wrapped=True),
        ],
    )
    for item in fields(rules):
        words, value = str(item.metadata["words"]), getattr(rules, item.name)
        unit = str(item.metadata["unit"])
        shown = "ft" if unit == "m" and not figures.units.metric else unit
        words = in_trade_words(figures.units, words[0].upper() + words[1:])
        if isinstance(value, tuple):
            for wetness, part in zip(Wetness, value, strict=True):
                table.row(f"Overrun, {wetness.word}", _value(figures, part, unit), shown, item.metadata["origin"])
            continue
        row = table.row(words, _value(figures, value, unit), shown, item.metadata["origin"])
        if item.name == "chargeable_step_m":
            book.book.define_name(STEP_NAME, f"=Rules!$B${row}")
    table.closed()


def _value(figures: Figures, value: Any, unit: str) -> Cell:  # noqa: ANN401 - rules hold values of several types
    if value is None or value == "":
        return "none" if value is None else "not entered"
    if unit == "m":
        exact = Decimal(repr(float(value)))
        return float(exact) if figures.units.metric else figures.length(exact)
    return float(value) if isinstance(value, float | int) else in_trade_words(figures.units, str(value))

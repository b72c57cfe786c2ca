"""The sheets of materials: what every zone takes, and the order, whose sums are live."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from leakmap.base.measures import AREA, MASS, VOLUME, Quantity
from leakmap.base.sentences import capital
from leakmap.issue.need_words import order_of_job
from leakmap.issue.workbook.book import Book, Column, Formula, Table
from leakmap.issue.workbook.figures import Figures
from leakmap.model.job import Job
from leakmap.repair.needs import Ordered, mixes_of, needs_of
from leakmap.repair.results import Repairs

_MATERIAL, _VOLUME, _POWDER, _LOOSE, _WATER = 1, 4, 5, 6, 7


def material_tables(book: Book, figures: Figures, job: Job, repairs: Repairs) -> None:
    """Write them; nothing where the job knows no material."""
    if not job.materials.known:
        return
    table = book.table(
        "Materials",
        [
            Column(words="Zone"),
            Column(words="Material"),
            Column(words="Use"),
            _column(figures, "Coated", AREA),
            *_taken(figures),
            Column(words="Full batches", form="0"),
            _column(figures, "A full batch", VOLUME),
            _column(figures, "The rest", VOLUME),
            Column(words="Not known", wrapped=True),
        ],
    )
    mixes = mixes_of(job)
    for zone in repairs.zones:
        for need in needs_of(job, zone, mixes):
            batches = need.batches
            table.row(
                zone.ref,
                capital(need.words.partition(",")[0]),
                capital(need.words),
                _shown(figures, AREA, need.area_m2),
                _shown(figures, VOLUME, need.volume_l),
                _shown(figures, MASS, need.powder_kg),
                _shown(figures, VOLUME, need.loose_l),
                _shown(figures, VOLUME, need.water_l),
                None if batches is None else batches.full,
                None if batches is None else _shown(figures, VOLUME, batches.full_l),
                None if batches is None else _shown(figures, VOLUME, batches.rest_l),
                need.why,
            )
    _order_table(book, figures, job, order_of_job(job, repairs), table)
    table.closed()


def _order_table(book: Book, figures: Figures, job: Job, order: tuple[Ordered, ...], needs: Table) -> None:
    units, kilograms = figures.units, MASS[figures.units]
    table = book.table(
        "To order",
        [
            Column(words="Material"),
            *_taken(figures),
            Column(words="Waste, share", form="0.###"),
            _column(figures, "Powder with waste", MASS),
            _column(figures, "In a bag", MASS),
            Column(words="Bags", form="0"),
            Column(words="Not known", wrapped=True),
        ],
    )
    for each in order:
        bag = getattr(job.materials, each.material).bag_kg.value
        bag_kg = None if bag is None else Decimal(repr(bag))
        net, waste, ordered, held = (table.cell_of(at) for at in (2, 5, 6, 7))
        sums = (
            _formula(_sum(needs, table, at, of[units].places), _shown(figures, of, value))
            for at, of, value in (
                (_VOLUME, VOLUME, each.volume_l),
                (_POWDER, MASS, each.net_kg),
                (_LOOSE, VOLUME, each.loose_l),
                (_WATER, VOLUME, each.water_l),
            )
        )
        table.row(
            capital(each.words),
            *sums,
            job.rules.waste_share,
            _formula(f"ROUND({net}*(1+{waste}),{kilograms.places})", _shown(figures, MASS, each.with_waste_kg)),
            None if bag_kg is None else float(Fraction(bag_kg) / kilograms.size),
            None if each.bags is None else Formula(f"ROUNDUP(ROUND({ordered}/{held},6),0)", each.bags),
            each.why,
        )
    table.closed()


def _taken(figures: Figures) -> tuple[Column, ...]:
    """What is placed, and the powder and water that it takes."""
    kinds = (("Placed", VOLUME), ("Powder", MASS), ("Powder, loose", VOLUME), ("Water", VOLUME))
    return tuple(_column(figures, words, of) for words, of in kinds)


def _column(figures: Figures, words: str, of: Quantity) -> Column:
    """A column of a quantity in the units in force."""
    scale = of[figures.units]
    return Column(words=f"{words} {scale.symbol}", form=f"0.{'0' * scale.places}")


def _sum(needs: Table, table: Table, column: int, places: int) -> str:
    """The live sum of a column over the rows of the material in the row that is written."""
    text = f"SUMIFS({needs.range_of(column)},{needs.range_of(_MATERIAL)},{table.cell_of(0)})"
    return f"ROUND({text},{places})"


def _formula(text: str, value: float | None) -> Formula | None:
    return None if value is None else Formula(text, value)


def _shown(figures: Figures, of: Quantity, value: Decimal | None) -> float | None:
    return None if value is None else float(of[figures.units].figure(value))

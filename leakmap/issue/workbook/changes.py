"""The sheets that tell what changed since an earlier revision: every stretch that did, and values before and now."""

from __future__ import annotations

from leakmap.issue.changes import change_words
from leakmap.issue.listed_words import fact_words, name_words
from leakmap.issue.workbook.book import Book, Column
from leakmap.issue.workbook.figures import Figures
from leakmap.model.printed import chainage_m
from leakmap.repair.compared import Placed, joint_of_stretch
from leakmap.repair.results import zone_ref
from leakmap.repair.sides import Differences


def change_tables(book: Book, figures: Figures, found: Differences) -> None:
    """Write both sheets."""
    _stretches(book, figures, found)
    _values(book, found)


def _stretches(book: Book, figures: Figures, found: Differences) -> None:
    form = figures.length_format
    lengths = (f"{found.old.name} m", "Now m")
    columns = [
        *(Column(words=words) for words in ("Zone", "Level", "Joint")),
        *(Column(words=figures.heading(f"{words} m"), form=form) for words in ("From", "To")),
        *(Column(words=figures.heading(words), form=form) for words in lengths),
        Column(words="Change", wrapped=True),
    ]
    table = book.table(f"Changes since {found.old.name}", columns)
    for each in found.found.changes:
        job, joint = joint_of_stretch(found.old.job, found.new.job, each)
        ends = (figures.length(chainage_m(job, joint, at)) for at in (each.shown.from_m, each.shown.to_m))
        table.row(
            zone_ref(each.shown.zone),
            job.sheet_of(joint).name,
            joint.ref,
            *ends,
            _length(figures, each.before),
            _length(figures, each.after),
            change_words(job.units, each),
        )
    table.closed()


def _length(figures: Figures, placed: Placed | None) -> float:
    return 0.0 if placed is None else figures.length(placed.length_m)


def _values(book: Book, found: Differences) -> None:
    units = found.new.job.units
    columns = [
        *(Column(words=words, wrapped=True) for words in ("Sort", "Name", "What", found.old.name, "Now")),
    ]
    table = book.table(f"Values since {found.old.name}", columns)
    for each in found.listed:
        table.row(each.sort.value, name_words(units, each), *fact_words(units, each))
    table.closed()

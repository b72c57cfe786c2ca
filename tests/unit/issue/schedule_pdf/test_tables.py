"""Tables over pages: nothing lost, nothing parted that belongs together, nothing too high."""

from __future__ import annotations

from itertools import pairwise

import pytest

from leakmap.issue.schedule_pdf.lettering import Lettering, use_faces
from leakmap.issue.schedule_pdf.styles import MOST_HEIGHT, SMALL, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, PagedTable


def grid() -> Grid:
    """An empty table of two columns."""
    use_faces()
    return Grid(Setting(Lettering()), [Column("Zone", 40), Column("Measured m", 0, right=True)])


def pages(filled: Grid, height: float, *, after: str = "") -> list[list[int]]:
    """Rows that each page of a height gets."""
    table, found = PagedTable(filled, after=filled.setting.words(after, SMALL) if after else None), []
    while table.wrap(500, height)[1] > height:
        parts = table.split(500, height)
        if not parts:
            break
        rest = parts[1]
        assert isinstance(rest, PagedTable)
        found.append(list(range(table.start, rest.start)))
        table = rest
    found.append(list(range(table.start, len(filled.heights[1]))))
    return found


def test_every_row_stands_on_one_page_in_order() -> None:
    """100 rows over pages of 200 points: each row once, and every page but the last is full."""
    filled = grid()
    for number in range(100):
        filled.row(f"Z-{number:02d}", "1.000")
    got = pages(filled, 200)
    assert [row for page in got for row in page] == list(range(100))
    assert len(got) > 5
    head, heights = filled.heights
    for page, following in pairwise(got):
        assert head + sum(heights[row] for row in page) <= 200
        assert head + sum(heights[row] for row in page) + heights[following[0]] > 200


def test_a_block_is_not_parted() -> None:
    """Blocks of three rows start on a new page rather than break."""
    filled = grid()
    for number in range(30):
        filled.begin_block()
        for part in range(3):
            filled.row(f"Z-{number:02d} {part}", "1.000")
        filled.end_block()
    assert all(page[0] % 3 == 0 for page in pages(filled, 200))


def test_a_total_stays_with_the_row_before() -> None:
    """Whatever the height of the page, the sum never stands alone."""
    for height in range(100, 200, 7):
        filled = grid()
        for number in range(12):
            filled.row(f"Z-{number:02d}", "1.000")
        filled.total("All", "12.000")
        assert len(pages(filled, height)[-1]) >= 2


def test_what_closes_a_table_stands_with_its_last_rows() -> None:
    """Whatever the height of the page, the closing words have a row above them, and fit."""
    for height in range(100, 200, 7):
        filled = grid()
        for number in range(12):
            filled.row(f"Z-{number:02d}", "1.000")
        *_, last = pages(filled, height, after="How it adds up.")
        closed = PagedTable(filled, last[0], filled.setting.words("How it adds up.", SMALL))
        assert last
        assert closed.tail > 5
        assert closed.wrap(500, height)[1] <= height


def test_a_page_without_room_for_the_first_rows_gets_nothing() -> None:
    """The heading never stands alone at the foot of a page."""
    filled = grid()
    filled.row("Z-01", "1.000")
    assert PagedTable(filled).split(500, filled.heights[0] + 1) == []


@pytest.mark.parametrize("length", [10, 20_000])
def test_no_row_is_higher_than_a_page_holds(length: int) -> None:
    """A note of twenty thousand characters is cut, remembered, and a short one is not."""
    filled = grid()
    filled.row("word " * (length // 5), "1.000")
    assert filled.heights[1][0] <= MOST_HEIGHT + 10
    assert bool(filled.setting.lettering.cut) is (length > 10)


def test_a_long_block_may_break_inside() -> None:
    """200 rows that belong together go over pages, for no page could hold them."""
    filled = grid()
    filled.begin_block()
    for number in range(200):
        filled.row(f"row {number}", "1.000")
    filled.end_block()
    assert sum(map(len, pages(filled, 400))) == 200

"""Rows of the find box's list as values: places of the job, and what can be done, under their headings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Final

from leakmap.desk.doings import Doing, all_doings
from leakmap.desk.find.box import HINT
from leakmap.desk.find.going import go_to, take_with
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.work.find.finding import NOTHING, Found, find
from leakmap.work.find.folding import folded
from leakmap.work.find.index import Index, Putting
from leakmap.work.find.places import Place, Places, what_it_is

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow

MOST: Final = 7
"""Rows of a group at most."""

GATHERING: Final = "Looking through the job…"

_OF_THING: Final = {
    Sort.JOINT: (
        (Stage.LEAKS, "L", "Mark a leak, with {} in view"),
        (Stage.JOINTS, "B", "Move bend points of {}"),
    ),
    Sort.LEAK: ((Stage.LEAKS, "W", "Say where {} flows most"),),
    Sort.ZONE: (
        (Stage.REPAIR, "O", "Set the overrun of {}"),
        (Stage.REPAIR, "M", "Choose the method of {}"),
        (Stage.REPAIR, "K", "Keep {} apart from its neighbours"),
    ),
}
"""What can be done with a thing that is called for by its name: stage, letter, words."""


class Look(Enum):
    """What a row is."""

    HEADING = 0
    PLACE = 1
    DOING = 2
    NOTE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row.

    Attributes:
        title: Reference or words.
        words: What stands beside a reference.
        key: What stands at the right.
        go: What Enter does; None for a row that says something only.
    """

    look: Look
    title: str
    words: str = ""
    key: str = ""
    go: Callable[[], object] | None = field(default=None, compare=False)

    @property
    def said(self) -> str:
        """What a screen reader says of it."""
        return ", ".join(part for part in (self.title, self.words, self.key) if part)


class Doings:
    """What can be done, with its index."""

    def __init__(self) -> None:
        self.each: tuple[Doing, ...] = tuple(all_doings())
        put = Putting()
        for doing in self.each:
            put.put(folded(doing.words), folded(f"{doing.also} {key_words(doing.key)}"))
        self.index = Index(put)


def key_words(key: str) -> str:
    """A key as people read it.

    >>> key_words("Ctrl+Shift+Z"), key_words("PgUp"), key_words("Ctrl+,")
    ('Ctrl Shift Z', 'Page Up', 'Ctrl ,')
    """
    return key.replace("PgUp", "Page Up").replace("PgDown", "Page Down").replace("+", " ")


def rows_for(window: MainWindow, query: str, places: Places | None, doings: Doings) -> tuple[Row, ...]:
    """What a query finds, as rows; without a query what the stage offers."""
    if not query.strip():
        return tuple(_at_first(window, doings))
    desk = window.desk
    job = desk.job
    found = find(query, job, places, doings.index, level=desk.level, most=len(doings.each))
    done = [*_of_thing(desk, found, query), *_doing_rows(window, [doings.each[number] for number in found.actions])]
    listed = tuple(_place_row(desk, places, place) for place in found.places[:MOST])
    rows = [*_headed(_counted(found, len(listed)), listed), *_headed("Do", done[:MOST])]
    if not rows:
        waits = job is not None and places is None
        return (Row(look=Look.NOTE, title=GATHERING if waits else NOTHING),)
    return tuple(rows)


def _at_first(window: MainWindow, doings: Doings) -> Iterator[Row]:
    yield Row(look=Look.NOTE, title=HINT)
    stage = f"Ctrl+{window.desk.stage.value}, "
    yield from _headed("Do", _doing_rows(window, [doing for doing in doings.each if doing.key.startswith(stage)]))


def _headed(heading: str, rows: Sequence[Row]) -> tuple[Row, ...]:
    return (Row(look=Look.HEADING, title=heading), *rows) if rows else ()


def _counted(found: Found, listed: int) -> str:
    return "On the plan" if found.in_all <= listed else f"On the plan, {listed} of {found.in_all:,}"


def _place_row(desk: Desk, places: Places | None, place: Place) -> Row:
    assert desk.job is not None
    assert desk.repairs is not None
    words = what_it_is(desk.job, desk.repairs, places, place)
    return Row(look=Look.PLACE, title=place.title, words=words, go=lambda: go_to(desk, place))


def _doing_rows(window: MainWindow, doings: Sequence[Doing]) -> list[Row]:
    return [
        Row(look=Look.DOING, title=doing.words, key=key_words(doing.key), go=lambda doing=doing: doing.do(window))  # type: ignore[misc] # the default binds each
        for doing in doings
        if doing.when(window)
    ]


def _of_thing(desk: Desk, found: Found, query: str) -> Iterator[Row]:
    """What can be done with the thing that the whole query names."""
    first = next(iter(found.places), None)
    if (
        first is None
        or first.where is None
        or first.at is not None
        or not set(folded(query)) & set(folded(first.title))
    ):
        return
    thing = Thing(Sort(first.where.sort), first.where.key)
    for stage, key, words in _OF_THING.get(thing.sort, ()):
        yield Row(
            look=Look.DOING,
            title=words.format(first.title),
            key=f"Ctrl {stage.value}, {key}",
            go=lambda stage=stage, key=key: take_with(desk, thing, stage, key),  # type: ignore[misc] # the default binds each
        )

"""The kind, the face and the room side of the next joint: rows of choices that several tools share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeVar

from leakmap.base.measures import Units
from leakmap.base.trade_words import in_trade_words
from leakmap.desk.tools.tool import Choice
from leakmap.model.words import Face, Kind, Side

T = TypeVar("T")

KINDS: Final = tuple(Kind)
"""Kinds in the order of their keys, 1 to 6."""

UPRIGHT_KINDS: Final = tuple(kind for kind in Kind if kind is not Kind.PIPE_COLLAR)
"""Kinds that a vertical joint can have."""

FACE_KEY: Final = "7"
"""The key that goes to the next face."""

SIDES: Final = (Side.LEFT, Side.RIGHT, None)
"""Where the room of a corner joint may lie; None: not known."""

SIDE_KEY: Final = "8"
"""The key that goes to the next room side."""


def kind_choices(
    kinds: tuple[Kind, ...], chosen: Kind, take: Callable[[Kind], None], units: Units
) -> tuple[Choice, ...]:
    """A row of line samples, one for each kind."""
    return tuple(
        Choice(
            key=str(number),
            words=f"{number} {in_trade_words(units, kind.value)}",
            sign=f"kind-{kind.value}",
            chosen=kind is chosen,
            take=lambda kind=kind: take(kind),  # type: ignore[misc]
        )
        for number, kind in enumerate(kinds, 1)
    )


def face_choice(chosen: Face, take: Callable[[Face], None], units: Units) -> Choice:
    """One cell that says the face and goes to the next."""
    following = after(tuple(Face), chosen)
    return Choice(key=FACE_KEY, words=f"{FACE_KEY} {in_trade_words(units, chosen.value)}", take=lambda: take(following))


def room_words(side: Side | None) -> str:
    """Where the room lies, looking the way the joint is drawn.

    >>> room_words(Side.LEFT), room_words(None)
    ('room on the left', 'room side not known')
    """
    return f"room on the {side}" if side is not None else "room side not known"


def side_choice(chosen: Side | None, take: Callable[[Side | None], None]) -> Choice:
    """One cell that says the room side and goes to the next."""
    following = after(SIDES, chosen)
    return Choice(key=SIDE_KEY, words=f"{SIDE_KEY} {room_words(chosen)}", take=lambda: take(following))


def side_choices(chosen: Side | None, take: Callable[[Side | None], None]) -> tuple[Choice, ...]:
    """A cell for each room side."""
    return tuple(
        Choice(
            key=str(number),
            words=f"{number} {room_words(side)}",
            chosen=side is chosen,
            take=lambda side=side: take(side),  # type: ignore[misc]
        )
        for number, side in enumerate(SIDES, 1)
    )


def after(row: tuple[T, ...], one: T) -> T:
    """What follows one of a row; the first follows the last.

    >>> after((1, 2, 3), 2), after((1, 2, 3), 3)
    (3, 1)
    """
    return row[(row.index(one) + 1) % len(row)]


def taken_by_key(choices: tuple[Choice, ...], key: str) -> bool:
    """Take the choice of a key; whether there was one."""
    choice = next((choice for choice in choices if choice.key == key), None)
    if choice is None:
        return False
    choice.take()
    return True

"""The kind and the face of the next joint: rows of choices that several tools share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeVar

from leakmap.desk.tools.tool import Choice
from leakmap.model.words import Face, Kind

T = TypeVar("T")

KINDS: Final = tuple(Kind)
"""Kinds in the order of their keys, 1 to 6."""

UPRIGHT_KINDS: Final = tuple(kind for kind in Kind if kind is not Kind.PIPE_COLLAR)
"""Kinds that a vertical joint can have."""

FACE_KEY: Final = "7"
"""The key that goes to the next face."""


def kind_choices(kinds: tuple[Kind, ...], chosen: Kind, take: Callable[[Kind], None]) -> tuple[Choice, ...]:
    """A row of line samples, one for each kind."""
    return tuple(
        Choice(
            key=str(number),
            words=f"{number} {kind.value}",
            sign=f"kind-{kind.value}",
            chosen=kind is chosen,
            take=lambda kind=kind: take(kind),  # type: ignore[misc]
        )
        for number, kind in enumerate(kinds, 1)
    )


def face_choice(chosen: Face, take: Callable[[Face], None]) -> Choice:
    """One cell that says the face and goes to the next."""
    following = after(tuple(Face), chosen)
    return Choice(key=FACE_KEY, words=f"{FACE_KEY} {chosen.value}", take=lambda: take(following))


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

"""What the band at the foot of the plan tells: one sentence, and buttons that answer it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from leakmap.base.errors import LeakmapError


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A button of the band.

    Attributes:
        words: What stands on it, such as "Choose another".
        give: What it does; the band is gone before.
    """

    words: str
    give: Callable[[], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Typing:
    """A line of words that the band asks for.

    Attributes:
        name: What is asked for, such as "Password".
        enter: Is given the words at Enter; the band is gone before.
        button: What stands on a button that does the same; empty for none.
        secret: Whether what is typed shows as dots.
        figure: Whether a figure is typed, not words.
    """

    name: str
    enter: Callable[[str], object]
    button: str = ""
    secret: bool = False
    figure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """A sentence with buttons.

    Attributes:
        grave: Whether something went wrong (red square) or something is only asked.
        waits: Whether it stays until it is answered or closed, as a question does. What only offers something goes
            with the next deed, tool or stage; what has no answers does so anyway.
        lasts: Whether it stays over deeds, tools and stages, without answers too, until it is closed or another job lies
            on the desk: what must be read, as nothing else shows it.
        left: What follows when it is put away without an answer; None for nothing.
        typing: A line of words that answers it; None for none.
        keyboard: Whether its first button gets the keyboard, unless something is being typed.
    """

    sentence: str
    answers: tuple[Answer, ...] = ()
    grave: bool = True
    waits: bool = True
    lasts: bool = False
    left: Callable[[], object] | None = None
    typing: Typing | None = None
    keyboard: bool = False


def trouble_of(problem: LeakmapError) -> Trouble:
    """What the band says of a problem."""
    return Trouble(sentence=str(problem))

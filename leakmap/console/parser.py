"""The command line of one command, with errors of one sentence."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable
from typing import Final, NoReturn

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of
from leakmap.base.locales import locale_named
from leakmap.base.measures import Units
from leakmap.base.numbers import finite
from leakmap.console.outcome import Outcome
from leakmap.geometry.path import Point

_NEGATIVE: Final = re.compile(r"-\.?[0-9].*")


class Parser(argparse.ArgumentParser):
    """Reads the words after a command; prints one sentence for what it cannot read."""

    def __init__(self, command: str, words: str, *, example: str) -> None:
        super().__init__(
            prog=f"leakmap {command}",
            description=words,
            epilog=f"examples:\n{example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )

    def error(self, message: str) -> NoReturn:
        """Print what is wrong and where help is, and stop with 2."""
        print(f"{self.prog}: {message}. See: {self.prog} --help", file=sys.stderr)
        sys.exit(Outcome.WRONG_CALL)


def add_form(parser: Parser) -> None:
    """Let a command print as JSON or as a table (CSV) instead of a text to read: ``form`` is json, csv or text."""
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_const", dest="form", const="json", help="as JSON, for programs")
    form.add_argument("--csv", action="store_const", dest="form", const="csv", help="as a table, for programs")
    parser.set_defaults(form="text")


def given(words: argparse.Namespace, names: Iterable[str]) -> list[str]:
    """Those of some options that a command line gave, as they are written.

    >>> given(argparse.Namespace(room_side="left", twice=False), ["room-side", "twice"])
    ['--room-side']
    """
    return [f"--{name}" for name in names if getattr(words, name.replace("-", "_"))]


def joined(words: Iterable[str]) -> list[str]:
    """Words in which a negative value is joined to its option, which would else be taken for an option.

    >>> joined(["--from", "-1,2", "--to", "3,4"])
    ['--from=-1,2', '--to', '3,4']
    """
    kept: list[str] = []
    for word in words:
        if _NEGATIVE.fullmatch(word) and kept and kept[-1].startswith("--") and "=" not in kept[-1]:
            kept[-1] += f"={word}"
        else:
            kept.append(word)
    return kept


def a_number(text: str) -> float:
    """A finite number with a decimal point, from the command line."""
    try:
        return finite(float(text), "value")
    except (ValueError, BadValue):
        raise argparse.ArgumentTypeError(
            f'"{text}" is not a number; write it with a decimal point, such as 12.5'
        ) from None


def a_measure(text: str) -> float:
    """Metres of a length, from the command line: metric or imperial; a bare figure is metres in any job.

    >>> a_measure("31.2"), a_measure("2' 6"), a_measure("312cm")
    (31.2, 0.762, 3.12)
    """
    try:
        return float(metres_of(text, Units.METRIC))
    except BadValue as bad:
        raise argparse.ArgumentTypeError(bad.message.removesuffix(".")) from None


def a_point(text: str) -> Point:
    """A point such as 1200,-350.5, from the command line."""
    parts = text.split(",")
    if len(parts) != 2:  # x and y
        raise argparse.ArgumentTypeError(f'"{text}" is not a point; write x,y with decimal points, such as 1200,-350.5')
    return a_number(parts[0]), a_number(parts[1])


def a_locale(text: str) -> str:
    """A locale such as de-AT, from the command line."""
    try:
        return locale_named(text)
    except BadValue as bad:
        raise argparse.ArgumentTypeError(bad.message) from bad


def a_line(text: str) -> tuple[Point, Point]:
    """Two points such as 120,85,4710,132, from the command line."""
    parts = text.split(",")
    if len(parts) != 4:  # x and y of each
        raise argparse.ArgumentTypeError(
            f'"{text}" is no line; write x,y of its two ends with decimal points, such as 120,85,4710,132'
        )
    x0, y0, x1, y1 = map(a_number, parts)
    return (x0, y0), (x1, y1)

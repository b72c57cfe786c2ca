"""``leakmap register``: what lies in folders of job files, by site, level, grid, zone and year."""

from __future__ import annotations

import sys
from argparse import Namespace
from pathlib import Path
from typing import Final

from leakmap.base.errors import UnusableFile
from leakmap.console.bar import Bar
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import columns, findings_text
from leakmap.work.register import count_words, lines_of, register_json, register_of, register_text

_EXAMPLE: Final = """\
  leakmap register jobs                           every zone of every job in the folder jobs, and in those within it
  leakmap register jobs --find tern B2 C4 2026    those that all words fit: site, level, grid bay, zone, year
  leakmap register jobs --json                    the same for another program

Job files are only read; one that cannot be used is named at the end, and the others are listed all the same."""
_LENGTH: Final = 4


def parser() -> Parser:
    """Its command line."""
    found = Parser("register", "List the jobs and zones that lie in folders of job files.", example=_EXAMPLE)
    found.add_argument("folders", metavar="DIR", nargs="+", help="folder of job files, or several")
    found.add_argument("--find", metavar="WORD", nargs="+", default=[], help="list only what all words fit")
    found.add_argument("--json", action="store_true", help="as JSON, for programs")
    return found


def run(words: Namespace) -> Outcome:
    """Read the jobs and print them."""
    folders = [Path(folder) for folder in words.folders]
    for folder in folders:
        if not folder.is_dir():
            raise UnusableFile(f"{folder} is no folder; give one that holds job files.", where=str(folder))
    with Bar() as progress:
        register = register_of(folders, progress=progress)
    lines = lines_of(register).found(" ".join(words.find))
    if words.json:
        sys.stdout.write(register_json(register, lines))
        return done(register.findings)
    if lines:
        print("\n".join(columns(register_text(lines), frozenset({_LENGTH}))))
        print()
    print(
        f"{count_words(register)}."
        if lines or not words.find
        else f"No zone fits all of that, of {count_words(register)}."
    )
    print("".join(f"{line}\n" for line in findings_text(register.findings)), end="")
    return done(register.findings)

"""The console: the command that the first word names, and one sentence for whatever goes wrong."""

from __future__ import annotations

import builtins
import gc
import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path
from typing import Final, Protocol, cast

from leakmap.base.errors import LeakmapError, Stopped, UnusableFile
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser, joined

COMMANDS: Final = {
    "demo": "make the sample job and all of its papers",
    "pages": "list the pages of a PDF, and the plans that lie side by side in a drawing",
    "new": "make a job from a drawing and tables",
    "scale": "give a length known on site; two, one each way, check the scale",
    "straighten": "turn a drawing until a line of it lies level or upright",
    "lay": "lay a sheet over another by places that both show",
    "redraw": "put a new drawing under a sheet; what is marked stays where it is",
    "trace": "list the joints that lines of a drawing would make, and take them",
    "schedule": "show zones, lengths and quantities",
    "materials": "show the material table of a job, or take another one in",
    "rates": "show the rates of a job, or take others in",
    "issue": "issue the next revision with its papers",
    "compare": "show what changed between two revisions, or since one",
    "papers": "put the papers of a revision into a folder again; old ones say that they are superseded",
    "field": "make blank sheets and a table to write leaks on at the structure",
    "field-in": "read such a table, filled in, and take its leaks",
    "check": "prove a job file whole",
    "register": "list the jobs and zones in folders of job files",
    "settings": "show or set what the person who works here prefers",
}
_HELP: Final = """\
leakmap finds where leaking concrete joints must be opened, and for how many metres.

usage: leakmap                    open the window; leakmap JOB opens it on a job
       leakmap COMMAND ...        the same work from a shell; help on one: leakmap COMMAND --help

{commands}

A first job:
  leakmap demo                                      see what comes out
  leakmap new pit.gpkg --drawing pit.dxf --sheet B2 --joints joints.csv --leaks leaks.csv
  leakmap scale pit.gpkg --sheet B2 --from 0,0 --to 6000,0 --length 6.00
  leakmap schedule pit.gpkg
  leakmap issue pit.gpkg --purpose price --to "The client" --out papers

Exit codes: 0 done, 2 wrong call, 3 a file could not be used, 4 done and there is something to look at.
"""
_NO_WINDOW: Final = """\
The window could not be opened ({why}). The commands work without it: leakmap --help
On Debian or Ubuntu this helps most often: sudo apt install libegl1 libgl1 libxkbcommon-x11-0 libxcb-cursor0"""


class Command(Protocol):
    """What the module of a command holds."""

    def parser(self) -> Parser:
        """Its command line."""
        ...

    def run(self, words: Namespace) -> Outcome:
        """Do it."""
        ...


def main(words: Sequence[str] | None = None) -> int:
    """Do what the words ask for.

    Args:
        words: The command line without the program's name; None: that of this process.

    Returns:
        The exit code.
    """
    if words is None:
        _prepare_streams()
        words = sys.argv[1:]
    try:
        outcome = _run(words)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read the output has seen enough; nothing may be written at the end either.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Outcome.DONE
    except (Exception, KeyboardInterrupt) as problem:  # noqa: BLE001 - the one place that speaks of whatever went wrong
        return _say(*_ending(problem))
    return outcome


def _run(words: Sequence[str]) -> int:
    first = words[0] if words else ""
    if not first or _is_file(first):
        return _desk(words)
    if first in {"-h", "--help", "help"}:
        width = max(map(len, COMMANDS))
        print(_HELP.format(commands="\n".join(f"  {name:<{width}}  {what}" for name, what in COMMANDS.items())), end="")
        return Outcome.DONE
    if first == "--version":
        print(f"leakmap {import_module('leakmap.work.log').program_version()}")
        return Outcome.DONE
    if first not in COMMANDS:
        return _say(
            f'leakmap has no command or file "{first}"; the commands are {", ".join(COMMANDS)}. See: leakmap --help',
            Outcome.WRONG_CALL,
        )
    command = cast("Command", import_module(f"leakmap.console.{first.replace('-', '_')}"))
    try:
        asked = command.parser().parse_args(joined(words[1:]))
    except SystemExit as end:  # after help, or after a wrong word
        return int(end.code or 0)
    return command.run(asked)


def _desk(words: Sequence[str]) -> int:
    """Open the window; it is imported by name, so that no command waits for it.

    What imports make is all needed, so Python looks for nothing to tidy in it, meanwhile or later. Qt's binding puts an
    import of its own in the place of Python's, which reads the source of every module to see whether that asks for
    another spelling of Qt's names; none does, so Python's own comes back before our many modules.
    """
    gc.disable()
    plain_import = builtins.__import__
    try:
        import_module("PySide6.QtCore")
        builtins.__import__ = plain_import
        desk = import_module("leakmap.desk.app")
    except ImportError as problem:
        if not any(part in str(problem) for part in ("PySide6", "shiboken6", ".so", "DLL", ".dylib")):
            raise  # a mistake of ours, not a library that is not there
        return _say(_NO_WINDOW.format(why=problem), Outcome.UNUSABLE_FILE)
    finally:
        gc.freeze()
        gc.enable()
    return cast("int", desk.main(words))


def _is_file(word: str) -> bool:
    """Whether a word is a job or drawing to open and not a command that has the same name as a file."""
    return word not in COMMANDS and not word.startswith("-") and Path(word).is_file()


def _say(sentence: str, outcome: Outcome) -> Outcome:
    print(sentence, file=sys.stderr)
    return outcome


def _ending(problem: BaseException) -> tuple[str, Outcome]:
    """What the user reads of a problem, and the exit code."""
    if isinstance(problem, KeyboardInterrupt | Stopped):
        return Stopped().message, Outcome.STOPPED
    if isinstance(problem, LeakmapError):
        return str(problem), Outcome.UNUSABLE_FILE if isinstance(problem, UnusableFile) else Outcome.WRONG_CALL
    if isinstance(problem, OSError):
        reason = problem.strerror or str(problem) or "the system gave no reason"
        return f"{problem.filename or 'A file'} could not be used: {reason}.", Outcome.UNUSABLE_FILE
    log = import_module("leakmap.work.log").write_log(problem)
    where = f"How it came about is written in {log}." if log else "No log could be written."
    return f"leakmap made a mistake ({type(problem).__name__}) and stopped. {where}", Outcome.BROKEN


def _prepare_streams() -> None:
    """Print any character anywhere: a pipe gets UTF-8 and line ends as they are, a terminal what it can show."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            if stream.isatty():
                stream.reconfigure(errors="replace")
            else:
                stream.reconfigure(encoding="utf-8", errors="backslashreplace", newline="")

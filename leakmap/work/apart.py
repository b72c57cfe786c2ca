"""Work that is done in a process of its own: a function, what it is given, and what came out.

    python -m leakmap.work.apart FOLDER

The process that starts it puts a call into the folder with ``put_call`` and takes the outcome with
``outcome_in``. Both are pickled: they pass between two processes of one program, through a folder that
only its user can read, and are never kept.
"""

from __future__ import annotations

import pickle
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

from leakmap.base.telling import Teller, done_apart

CALL: Final = "call"
OUTCOME: Final = "outcome"


def put_call(folder: Path, function: Callable[..., object], *args: object, **named: object) -> None:
    """Put a call into a folder.

    Args:
        folder: The folder.
        function: A function of a module, which takes ``progress`` besides what is given here.
        args: What it is given in order.
        named: What it is given by name.
    """
    (folder / CALL).write_bytes(pickle.dumps((function, args, named), pickle.HIGHEST_PROTOCOL))


def outcome_in(folder: Path) -> object:
    """What came out of the call in a folder."""
    return pickle.loads((folder / OUTCOME).read_bytes())  # noqa: S301 - written by our own process, into our own folder


def _done(folder: Path, teller: Teller) -> str:
    function, args, named = pickle.loads((folder / CALL).read_bytes())  # noqa: S301 - as above
    outcome = function(*args, **named, progress=teller)
    (folder / OUTCOME).write_bytes(pickle.dumps(outcome, pickle.HIGHEST_PROTOCOL))
    return OUTCOME


def main(arguments: list[str]) -> int:
    """Do the call in the folder that the arguments name; gives the exit code."""
    folder = Path(arguments[0])
    return done_apart(folder, lambda teller: _done(folder, teller))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

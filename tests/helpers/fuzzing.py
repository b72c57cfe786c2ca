"""Damaged copies of files, and a reader that is tried on each in a process of its own with limits.

A library written in C may crash the process that uses it, so every try is a child of its own: it may take so
much memory and so many seconds, and says in one line how it ended. Children are forked from a process that does
nothing else, as threads of a library that was used before a fork are missing after it:

    python -m tests.helpers.fuzzing READER FOLDER

reads every file of a folder by a reader of ``tests.helpers.hard_readers`` and prints the endings as JSON.
"""

from __future__ import annotations

import faulthandler
import gc
import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from leakmap.base.errors import LeakmapError
from leakmap.model.drawing import Drawing

MOST_BYTES = 2 << 30
MOST_SECONDS = 30

_NUMBERS = (b"0", b"-1", b"65536", b"2147483648", b"-2147483649", b"99999999999999999999", b"1e999", b".", b"--7")


@dataclass(frozen=True, slots=True)
class Ending:
    """How a try ended.

    Attributes:
        how: ``drawing``, ``refused``, or what went wrong.
        words: The sentence, or the last lines of the trace.
    """

    how: str
    words: str

    @property
    def good(self) -> bool:
        """Whether it ended as promised: with a drawing, or with one sentence."""
        return self.how in {"drawing", "refused"}


def mutated(data: bytes, seed: int) -> bytes:
    """A damaged copy of a file: the same seed always damages it in the same way."""
    chance = random.Random(seed)  # noqa: S311 - damage, no secret
    made = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 4, 16, 64))):
        _damage(made, chance)
    return bytes(made)


def _damage(made: bytearray, chance: random.Random) -> None:
    at = chance.randrange(max(1, len(made)))
    match chance.randrange(8):
        case 0:
            made[at : at + 1] = bytes([chance.randrange(256)])
        case 1:
            made[at : at + 1] = bytes([(made[at] if at < len(made) else 0) ^ (1 << chance.randrange(8))])
        case 2:
            del made[at : at + chance.randrange(1, 200)]
        case 3:
            made[at:at] = made[at : at + chance.randrange(1, 500)] * chance.randrange(1, 20)
        case 4:
            made[at:at] = bytes(chance.randrange(256) for _ in range(chance.randrange(1, 50)))
        case 5:
            _change_number(made, at, chance)
        case 6:
            other = chance.randrange(max(1, len(made)))
            long = chance.randrange(1, 300)
            made[at : at + long] = made[other : other + long]
        case _ if chance.random() < 0.2:
            del made[at:]


def _change_number(made: bytearray, at: int, chance: random.Random) -> None:
    """Put an odd number in the place of the next one in the file."""
    first = next((place for place in range(at, min(at + 2000, len(made))) if chr(made[place]).isdigit()), None)
    if first is None:
        return
    last = first
    while last < len(made) and chr(made[last]).isdigit():
        last += 1
    made[first:last] = chance.choice(_NUMBERS)


def tried(reader: str, files: Sequence[bytes]) -> list[Ending]:
    """How a reader of ``tests.helpers.hard_readers`` deals with each of some files."""
    with tempfile.TemporaryDirectory() as folder:
        for index, data in enumerate(files):
            Path(folder, f"{index:06}").write_bytes(data)
        command = [sys.executable, "-m", "tests.helpers.fuzzing", reader, folder]
        root = Path(__file__).parents[2]
        done = subprocess.run(
            command, cwd=root, env={**os.environ, "PYTHONPATH": str(root)}, capture_output=True, check=True
        )
    return [Ending(*words) for words in json.loads(done.stdout)]


def main(reader: str, folder: str) -> None:
    """Try every file of a folder, in the order of their names."""
    read = getattr(import_module("tests.helpers.hard_readers"), reader)
    gc.freeze()  # a look through what children share with this process would copy all of it for each
    endings = [_tried(read, path.read_bytes()) for path in sorted(Path(folder).iterdir())]
    print(json.dumps([(ending.how, ending.words) for ending in endings]))  # noqa: T201 - what this is run for


def _tried(read: Callable[[bytes], Drawing], data: bytes) -> Ending:
    with tempfile.TemporaryDirectory() as folder:
        said = Path(folder, "said")
        child = os.fork()
        if not child:
            _try(read, data, said)
        _, status = os.waitpid(child, 0)
        words = said.read_text(errors="replace") if said.is_file() else ""
    if os.WIFSIGNALED(status):
        return Ending(signal.Signals(os.WTERMSIG(status)).name, words)
    how, _, rest = words.partition("\n")
    return Ending(how or f"left with code {os.waitstatus_to_exitcode(status)}", rest)


def _try(read: Callable[[bytes], Drawing], data: bytes, said: Path) -> None:
    """Read, say how it ended, and leave; nothing of the parent is cleaned up."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES + _mapped(), MOST_BYTES + _mapped()))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(MOST_SECONDS)
    faulthandler.disable()
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    try:
        drawing = read(data)
        said.write_text(f"drawing\n{len(drawing.strokes)} lines, {[found.code for found in drawing.findings]}")
    except LeakmapError as problem:
        said.write_text(f"refused\n{problem}")
    except MemoryError:
        said.write_text("out of memory\n")
    except BaseException as problem:  # noqa: BLE001 - this is what is looked for
        import traceback  # noqa: PLC0415 - seldom needed

        said.write_text(f"{type(problem).__name__}\n{''.join(traceback.format_exception(problem)[-3:])}")
    os._exit(0)


def _mapped() -> int:
    """Address space that is in use already, in bytes."""
    if sys.platform != "linux":
        return 0
    return int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()


if __name__ == "__main__":
    main(*sys.argv[1:])

"""A reading process that takes too much leaves with one sentence."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import threading

import pytest

from leakmap.base.progress import UNWATCHED
from leakmap.base.telling import Teller
from leakmap.drawings import limits
from leakmap.drawings.kinds import FileKind
from leakmap.drawings.limits import MOST_BYTES, MOST_SILENT_S, Watched, most_bytes, silent_s


@pytest.mark.parametrize(("memory", "silent_s", "what"), [(MOST_BYTES + 1, MOST_SILENT_S, "memory"), (1, 0.01, "time")])
def test_too_much_is_one_sentence_and_the_end(memory: int, silent_s: float, what: str) -> None:
    """Memory beyond the limit, or silence for too long: it says so, and the process leaves with code 3."""
    told, left = io.StringIO(), threading.Event()
    codes: list[int] = []

    def leave(code: int) -> None:
        codes.append(code)
        left.set()

    with Watched(UNWATCHED, Teller(told), "b2.pdf", silent_s=silent_s, memory=lambda: memory, leave=leave):
        assert left.wait(10)
    assert codes == [3]
    (said,) = (json.loads(line) for line in told.getvalue().splitlines())
    assert said["failed"].startswith(f"b2.pdf takes more {what} than leakmap gives a drawing; export it again")


def test_what_stays_within_its_limits_goes_on() -> None:
    """Reports are passed on, nothing is said, and the watching ends with the work."""
    heard: list[int] = []

    class Ear:
        def report(self, words: str, done: int, total: int | None) -> None:
            heard.append(done)
            assert (words, total) == ("Drawing the lines", None)

    told, ended = io.StringIO(), threading.Event()
    with Watched(Ear(), Teller(told), "b2.pdf", memory=lambda: 1, leave=lambda _: ended.set()) as watched:
        watched.report("Drawing the lines", 7, None)
    assert heard == [7]
    assert not ended.wait(3 * limits._EVERY_S)
    assert told.getvalue() == ""


def test_a_large_dxf_may_take_more() -> None:
    """Memory grows with the file up to a bound, for DXF alone; DXF and DWG may be silent for two minutes."""
    few, many = (most_bytes(FileKind.DXF_TEXT, size) for size in (1000, 100_000_000))
    assert MOST_BYTES < few < 1.001 * MOST_BYTES
    assert many == most_bytes(FileKind.DXF_BINARY, 100_000_000) == MOST_BYTES + 4_000_000_000
    assert most_bytes(FileKind.DXF_TEXT, 1 << 40) == 3 * MOST_BYTES
    assert {most_bytes(kind, 1 << 40) for kind in (FileKind.PDF, FileKind.PICTURE, FileKind.DWG)} == {MOST_BYTES}
    assert [silent_s(kind) for kind in (FileKind.DXF_TEXT, FileKind.DXF_BINARY, FileKind.DWG)] == [120] * 3
    assert silent_s(FileKind.PDF) == silent_s(FileKind.PICTURE) == MOST_SILENT_S


def test_memory_is_what_the_system_counts() -> None:
    """A process with numpy and a test runner takes more than 20 MB and less than all there is."""
    assert limits._memory() == 0 or 20e6 < limits._memory() < 200e9


@pytest.mark.skipif(sys.platform != "linux", reason="other systems count each process for itself")
def test_memory_of_the_process_that_starts_a_reading_does_not_count() -> None:
    """A program that takes 300 MB starts a reading that takes next to nothing, and is told of the second only."""
    asked = "from leakmap.drawings.limits import _memory; print(_memory())"
    starter = (
        "import subprocess, sys; held = b'x' * (300 << 20);"
        f" print(subprocess.run([sys.executable, '-c', {asked!r}], capture_output=True, text=True).stdout)"
    )
    told = subprocess.run([sys.executable, "-c", starter], capture_output=True, text=True, check=True).stdout
    assert 0 < int(told) < 200 << 20

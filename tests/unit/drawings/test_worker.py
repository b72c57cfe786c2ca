"""The process that reads a drawing: what it tells, what it leaves, how it goes."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from leakmap.base.resources import resource
from leakmap.base.telling import Teller
from leakmap.drawings.asked import Asked, ask, asked_in
from leakmap.drawings.first_look import FirstLook
from leakmap.drawings.opening import read_drawing
from leakmap.drawings.packed import packed, unpacked
from leakmap.drawings.worker import CONTENT, DIGEST, KEPT, Course, read_into
from leakmap.model.sheet import Reading
from tests.helpers.dxf_files import as_bytes, document
from tests.helpers.pdf_files import locked, pdf

PLAN = resource("sample_plans", "tern_quay_b2.dxf")


def wave() -> bytes:
    """A DXF of 2 MB whose curves ask for 35 million chords: polylines of nothing but bows over a kilometre and a half."""
    bows = [(1500.0 * (n % 2), 0.5 * n, 0.5) for n in range(900)]

    def build(model: Any) -> None:  # noqa: ANN401 - ezdxf's model space
        for _ in range(60):
            model.add_lwpolyline(bows, "xyb")

    return as_bytes(document(build))


def test_folder_holds_the_drawing_as_a_job_file_keeps_it(tmp_path: Path) -> None:
    """What lies in the folder at the end is the drawing as read, packed, with its file and the file's hash."""
    assert read_into(PLAN, tmp_path, Teller(io.StringIO())) == KEPT
    assert (tmp_path / KEPT).read_bytes() == packed(read_drawing(PLAN.name, PLAN.read_bytes()))
    assert (tmp_path / CONTENT).read_bytes() == PLAN.read_bytes()
    assert (tmp_path / DIGEST).read_text() == sha256(PLAN.read_bytes()).hexdigest()


def test_what_is_asked_for_is_done_and_forgotten(tmp_path: Path) -> None:
    """A page, a rectangle and a password are taken from the folder, in which no word of them stays."""
    file = tmp_path / "two.pdf"
    file.write_bytes(
        locked(pdf(lambda canvas: canvas.line(0, 0, 9, 9), lambda canvas: canvas.line(9, 9, 99, 9)), "weir")
    )
    asked = Asked(m_per_unit=0.1, reading=Reading(page=1, crop=(0, 0, 10, 10)), password="weir")  # noqa: S106
    folder = tmp_path / "shared"
    folder.mkdir()
    ask(folder, asked)
    read_into(file, folder, Teller(io.StringIO()), asked_in(folder))
    drawing = unpacked((folder / KEPT).read_bytes())
    assert drawing.strokes.xy.max() == 10
    assert drawing.unit.m_per_unit == 0.1
    assert sorted(part.name for part in folder.iterdir()) == [CONTENT, KEPT, DIGEST]
    assert all(b"weir" not in part.read_bytes() for part in folder.iterdir())


def test_what_is_asked_for_comes_back_as_it_was(tmp_path: Path) -> None:
    """Everything that can be asked for; and nothing, where nobody asks."""
    corners = ((0.0, 9.0), (9.0, 9.0), (9.0, 0.0), (0.0, 0.0))
    reading = Reading(page=3, crop=(0.1, 0.2, 0.3, 0.4), codepage="cp1252", corners=corners)
    asked = Asked(m_per_unit=0.0254, reading=reading, password="ä b")  # noqa: S106
    ask(tmp_path, asked)
    assert asked_in(tmp_path) == asked
    assert asked_in(tmp_path) == Asked()
    assert "ä b" not in repr(asked)


def test_share_never_goes_back(tmp_path: Path) -> None:
    """The share of the work rises from 0 to 1 through every step, however often a step starts again."""
    told = io.StringIO()
    seconds = iter(range(100))
    course = Course(Teller(told, lambda: next(seconds)), tmp_path, None)
    for words, done, total in [
        ("Reading the file", 0, 10),
        ("Reading the file", 9, 10),
        ("Building the drawing", 0, 30),
        ("Building the drawing", 5000, 9000),
        ("Building the drawing", 0, 16),
        ("Building the drawing", 0, 9000),
        ("Reading the file", 0, 10),  # the recovering reader begins again
        ("Checking the drawing", 9000, 9100),
        ("Drawing the lines", 1, None),
        ("Drawing the lines", 20_000, None),
        ("Keeping the drawing", 1, 2),
    ]:
        course.report(words, done, total)
    reports = [json.loads(line)["at"] for line in told.getvalue().splitlines()]
    shares = [share for *_, share in reports]
    assert shares == sorted(shares)
    assert (shares[0], shares[1], shares[3]) == (0.0, pytest.approx(0.279), pytest.approx(0.31 + 0.32 * 5 / 9))
    assert shares[-1] > 0.95
    assert reports[5][0] == "5,000 of 9,000 lines"


def test_first_look_sees_lines_of_the_model_alone() -> None:
    """A sketch holds the lines and polylines of the model space, closed ones closed, and nothing of the paper."""

    def build(model: Any) -> None:  # noqa: ANN401 - ezdxf's model space
        for index in range(4000):
            model.add_line((index, 0), (index, 5))
        model.add_lwpolyline([(0, 0), (10, 0), (10, 10)], close=True)
        model.add_circle((0, 0), 5)
        paper = model.doc.layout("Layout1")
        for index in range(8000):
            paper.add_line((0, 0), (1, index))

    data = as_bytes(document(build))
    look = FirstLook(data)
    pieces = [look.lines_up_to(end) for end in range(0, len(data) + 1, 1 << 16)]
    lines = np.vstack([piece for piece in pieces if piece is not None]).tolist()
    assert len(lines) == 4003
    assert lines[:2] == [[0, 0, 0, 5], [1, 0, 1, 5]]
    assert lines[-3:] == [[0, 0, 10, 0], [10, 0, 10, 10], [10, 10, 0, 0]]


@pytest.mark.slow
def test_process_leaves_when_nobody_waits(tmp_path: Path, plain_environment: dict[str, str]) -> None:
    """When its standard input ends, the process removes the folder and goes, in the middle of its work."""
    root = str(Path(__file__).parents[3])
    folder = tmp_path / "shared"
    folder.mkdir()
    pipe = tmp_path / "slow.dxf"
    os.mkfifo(pipe)  # a file that never comes to its end
    command = [sys.executable, "-P", "-m", "leakmap.drawings.worker", str(pipe), str(folder)]
    surroundings = {**plain_environment, "PYTHONPATH": root}
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=surroundings
    ) as process:
        assert process.stdin is not None
        process.stdin.close()
        assert process.wait(20) == 1
    assert not folder.exists()


def told_by(command: list[str], environment: dict[str, str]) -> list[dict[str, Any]]:
    """What a process tells that comes to nothing, with the exit code of that and nothing on the error stream."""
    surroundings = {**environment, "PYTHONPATH": str(Path(__file__).parents[3])}
    with subprocess.Popen(
        [sys.executable, "-P", *command],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=surroundings,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stderr is not None
        told = [json.loads(line) for line in process.stdout]
        assert (process.wait(20), process.stderr.read()) == (3, b"")
    return told


@pytest.mark.slow
def test_process_says_one_sentence_on_failure(tmp_path: Path, plain_environment: dict[str, str]) -> None:
    """A file that is no drawing ends with one sentence for the user and nothing on the error stream."""
    file = tmp_path / "picture.dxf"
    file.write_bytes(b"\n")
    told = told_by(["-m", "leakmap.drawings.worker", str(file), str(tmp_path)], plain_environment)
    assert told == [{"failed": "picture.dxf is empty; export the drawing again."}]


@pytest.mark.slow
@pytest.mark.parametrize(("limit", "what"), [("MOST_BYTES = 200 << 20", "memory"), ("LONG_SILENT_S = 0.3", "time")])
def test_a_drawing_that_grows_without_end_is_given_up(
    limit: str, what: str, tmp_path: Path, plain_environment: dict[str, str]
) -> None:
    """A small DXF that would take more memory, or be silent for longer, than its kind may, ends with one sentence."""
    file = tmp_path / "wave.dxf"
    file.write_bytes(wave())
    program = f"import sys; from leakmap.drawings import limits, worker; limits.{limit}; worker.main(sys.argv[1:])"
    told = told_by(["-c", program, str(file), str(tmp_path)], plain_environment)
    assert told[-1]["failed"].startswith(f"wave.dxf takes more {what} than leakmap gives a drawing; export it again")
    assert not (tmp_path / KEPT).exists()

"""The frame of the console: help, exit codes, and one sentence for every problem."""

from __future__ import annotations

import builtins
import gc
import sys
from argparse import Namespace
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest

from leakmap.base.errors import BadValue, EditRefused, Stopped, UnusableDrawing
from leakmap.console import main as console
from leakmap.console.main import COMMANDS, main
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """A command "check" whose run can be set; it stands in for the real one."""
    fake = SimpleNamespace(
        parser=lambda: Parser("check", "Checks.", example="  leakmap check"),
        run=lambda _: Outcome.DONE,
    )

    def imported(name: str) -> object:
        return fake if name == "leakmap.console.check" else __import__(name, fromlist=["x"])

    monkeypatch.setattr(console, "import_module", imported)
    return fake


def raising(problem: BaseException) -> object:
    """A run that raises."""

    def run(_: Namespace) -> Outcome:
        raise problem

    return run


@pytest.mark.parametrize("words", [["--help"], ["-h"], ["help"]])
def test_help(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """When asked, every command is named with an example and the exit codes."""
    assert main(words) == 0
    said = capsys.readouterr().out
    assert all(f"  {name} " in said for name in COMMANDS)
    assert "leakmap scale pit.gpkg" in said
    assert "Exit codes" in said


@pytest.mark.parametrize("named", [False, True])
def test_no_command_opens_the_window(named: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: FBT001 - a case
    """The program alone, and with a file, hands over to the window, which is imported by name at call.

    Qt is imported before it, and what that puts in the place of Python's import is gone when ours are imported; Python
    tidies nothing meanwhile, but afterwards as ever.
    """
    job = tmp_path / "pit.gpkg"
    job.touch()
    given: list[tuple[list[str], bool]] = []
    imported: list[tuple[str, bool]] = []

    def opened(words: list[str]) -> int:
        given.append((list(words), gc.isenabled()))
        return 0

    def imports(name: str) -> SimpleNamespace:
        imported.append((name, gc.isenabled()))
        if name == "leakmap.desk.app":
            assert builtins.__import__ is plain
        monkeypatch.setattr(builtins, "__import__", partial(plain))
        return SimpleNamespace(main=opened)

    plain = builtins.__import__
    monkeypatch.setattr(console, "import_module", imports)
    words = [str(job)] if named else []
    assert main(words) == 0
    assert given == [(words, True)]
    assert imported == [("PySide6.QtCore", False), ("leakmap.desk.app", False)]


def test_where_qt_cannot_be_loaded(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Where Qt or a library under it is missing, one sentence says so and names the commands that work."""

    def missing(_: str) -> None:
        raise ImportError("libEGL.so.1: cannot open shared object file")

    monkeypatch.setattr(console, "import_module", missing)
    assert main([]) == Outcome.UNUSABLE_FILE
    said = capsys.readouterr().err
    assert "libEGL.so.1" in said
    assert "leakmap --help" in said


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    """The version option names program and version on one line."""
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("leakmap ")


def test_an_unknown_command(capsys: pytest.CaptureFixture[str]) -> None:
    """A word that is no command is a wrong call; the commands are named."""
    assert main(["archive"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    named = "demo, pages, new, scale, straighten, lay, redraw, trace, schedule, materials, rates, issue, compare, papers, field, field-in"
    assert f"{named}, check, register, settings" in said.err


@pytest.mark.parametrize(
    ("problem", "code", "words"),
    [
        (BadValue("The scale is 0."), 2, "The scale is 0.\n"),
        (EditRefused("No.", hint="Nothing was changed."), 2, "No. Nothing was changed.\n"),
        (UnusableDrawing("a.dxf is empty."), 3, "a.dxf is empty.\n"),
        (FileNotFoundError(2, "No such file", "a b.gpkg"), 3, "a b.gpkg could not be used: No such file.\n"),
        (OSError("full"), 3, "A file could not be used: full.\n"),
        (Stopped(), 130, "Stopped. Nothing was changed.\n"),
        (KeyboardInterrupt(), 130, "Stopped. Nothing was changed.\n"),
    ],
)
def test_every_problem_is_one_sentence(
    problem: BaseException, code: int, words: str, command: SimpleNamespace, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was raised on purpose, and what the system says, becomes one line on the error stream and an exit code."""
    command.run = raising(problem)
    assert main(["check"]) == code
    assert capsys.readouterr() == ("", words)


def test_a_mistake_of_ours_goes_to_the_log(
    command: SimpleNamespace, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """No traceback reaches the screen; the sentence names the log, which holds it."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state ü"))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "state ü"))
    monkeypatch.setattr(sys, "platform", "linux")
    command.run = raising(ZeroDivisionError("secret"))
    assert main(["check"]) == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "Traceback" not in said
    log = tmp_path / "state ü" / "leakmap" / "leakmap.log"
    assert str(log) in said
    assert "ZeroDivisionError: secret" in log.read_text(encoding="utf-8")


def test_a_log_that_cannot_be_written_goes_elsewhere(
    command: SimpleNamespace, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Where the usual folder is in the way, the system's folder for passing files takes the log."""
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path))
    command.run = raising(ZeroDivisionError())
    assert main(["check"]) == 1
    assert str(tmp_path / "leakmap.log") in capsys.readouterr().err


def test_outcomes_pass_through(command: SimpleNamespace) -> None:
    """The exit code is what the command says; findings make 4."""
    command.run = lambda _: done(["something"])
    assert main(["check"]) == 4
    command.run = lambda _: done([])
    assert main(["check"]) == 0
    assert main(["check", "--wrong"]) == 2
    assert main(["check", "--help"]) == 0

"""The one command that sets up, runs and checks."""

from __future__ import annotations

import importlib.util
import os
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def bootstrap() -> ModuleType:
    """The script, loaded without running it."""
    spec = importlib.util.spec_from_file_location("bootstrap", ROOT / "resources" / "bootstrap.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def python(code: str) -> tuple[str, str, str]:
    """A command that runs a line of Python."""
    return sys.executable, "-c", code


@pytest.mark.parametrize("words", [[], ["desk"], ["run", "test"]])
def test_wrong_words_get_help(bootstrap: ModuleType, words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Anything but run or test prints what there is, and does nothing."""
    assert bootstrap.main(words) == 2
    assert "bootstrap.py run" in capsys.readouterr().out


def test_every_check_is_run_and_the_tests_last(bootstrap: ModuleType) -> None:
    """Format, lint, types, layers and tests are there in this order, words of the house before the tests."""
    names = list(bootstrap.checks())
    assert [name for name in names if name != "words"] == ["format", "lint", "types", "layers", "tests"]
    assert names[-1] == "tests"
    assert ("words" in names) == (ROOT.parent / "shared" / "tools" / "forbidden_words").exists()
    assert "--no-cache" in bootstrap.checks()["layers"]
    assert {"--doctest-modules", "leakmap", "tests"} <= set(bootstrap.checks()["tests"])


@pytest.mark.slow
def test_a_failure_does_not_hide_the_next(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """After a failed check the others run, and the summary and the exit code tell of it."""
    commands = {"one": python("pass"), "two": python("raise SystemExit(3)"), "three": python("pass")}
    monkeypatch.setattr(bootstrap, "checks", lambda: commands)
    assert bootstrap.test() == 1
    said = capsys.readouterr().out
    assert "one fine, two FAILED, three fine" in said
    assert said.rstrip().endswith("Not everything is fine: two.")
    monkeypatch.setattr(bootstrap, "checks", lambda: {"one": python("pass")})
    assert bootstrap.test() == 0


@pytest.mark.slow
@pytest.mark.parametrize("room", [True, False])
def test_files_of_the_tests_lie_in_memory_where_there_is_room(
    *, room: bool, bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The tests write into a folder of their own, in memory or else beside other temporary files, that is gone then."""
    told = tmp_path / "told"
    words = f"import tempfile; open({str(told)!r}, 'w').write(tempfile.gettempdir())"
    monkeypatch.setattr(bootstrap, "MEMORY", tmp_path)
    monkeypatch.setattr(bootstrap, "has_room", lambda _: room)
    monkeypatch.setattr(bootstrap, "checks", lambda: {"one": python(words)})
    assert bootstrap.test() == 0
    used = Path(told.read_text())
    assert (tmp_path in used.parents) == room
    assert not used.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="the folder in memory is one of Linux")
def test_memory_has_room_only_where_it_can_be_used(bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that is not there, or too small, is not taken."""
    assert bootstrap.has_room(ROOT) == (not os.statvfs(ROOT).f_flag & os.ST_NOEXEC)
    assert not bootstrap.has_room(ROOT / "none")
    monkeypatch.setattr(bootstrap, "ROOM", 1 << 60)
    assert not bootstrap.has_room(ROOT)


def test_what_cannot_be_set_up_is_one_sentence(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """An old Python, and one that cannot make environments, end with what to do."""
    monkeypatch.setattr(bootstrap, "STAMP", tmp_path / "none")
    monkeypatch.setattr(bootstrap, "LEAST_PYTHON", (99, 0))
    assert bootstrap.main(["test"]) == 3
    assert "needs Python 3.11" in capsys.readouterr().out
    monkeypatch.setattr(bootstrap, "LEAST_PYTHON", (3, 11))
    monkeypatch.setattr(bootstrap.importlib.util, "find_spec", lambda _: None)
    assert bootstrap.main(["test"]) == 3
    assert "sudo apt install python3-venv" in capsys.readouterr().out


def test_set_up_is_done_once(bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The environment is made when the stamp is missing or speaks of something else, and not again after."""
    done: list[str] = []
    monkeypatch.setattr(bootstrap, "STAMP", tmp_path / "stamp")
    monkeypatch.setattr(bootstrap, "PYTHON", Path(sys.executable))
    monkeypatch.setattr(bootstrap, "make_environment", lambda: done.append("made"))
    monkeypatch.setattr(bootstrap, "install", lambda: done.append("installed"))
    bootstrap.set_up()
    bootstrap.set_up()
    assert done == ["made", "installed"]
    monkeypatch.setattr(bootstrap, "wanted_stamp", lambda: "another interpreter")
    bootstrap.set_up()
    assert done == ["made", "installed"] * 2


def test_libraries_of_qt_are_asked_for_only_with_qt(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without Qt nothing is looked for; with it, what is missing is named in one line to paste."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(bootstrap, "missing_qt_libraries", lambda: ["libegl1", "libgl1"])
    monkeypatch.setattr(bootstrap, "qt_is_installed", lambda: False)
    bootstrap.add_qt_libraries()
    assert capsys.readouterr().out == ""
    monkeypatch.setattr(bootstrap, "qt_is_installed", lambda: True)
    monkeypatch.setattr(bootstrap.shutil, "which", lambda _: None)
    bootstrap.add_qt_libraries()
    assert capsys.readouterr().out.rstrip().endswith("paste: sudo apt install libegl1 libgl1")


def test_a_library_that_is_not_there_does_not_load(bootstrap: ModuleType) -> None:
    """A name that no system has is missing, and fourteen are looked for."""
    assert not bootstrap.loads("libnobody-has-this.so.99")
    assert len(bootstrap.QT_LIBRARIES) == 14

"""What holds for every test: nothing of this machine's user is read or written, and no trouble stays silent."""

from __future__ import annotations

import gc
import logging
import os
import threading
from collections.abc import Iterator

import pytest
from hypothesis import settings

os.environ["LC_ALL"] = "C.UTF-8"  # a new job is metric, on whatever computer the tests run
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # processes that tests start need not all compile the program

settings.register_profile("derandomize", derandomize=True, deadline=None)
settings.load_profile("derandomize")


def pytest_collection_finish() -> None:
    """What was imported and collected lives as long as the run, so no look for garbage goes through it again."""
    gc.freeze()


@pytest.fixture(autouse=True)
def _own_log_folder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """The log of a broken command goes into a folder of the tests, and settings are looked for there."""
    folder = str(tmp_path_factory.getbasetemp() / "log")
    for name in ("XDG_STATE_HOME", "XDG_CONFIG_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, folder)


@pytest.fixture(autouse=True)
def _no_silent_trouble(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """A test fails on a warning in the log that it did not look at, and on a thread that it left running.

    Threads of a library that called back once count as alive for ever, and are not looked at.
    """
    before = set(threading.enumerate())
    yield
    ours = (thread for thread in threading.enumerate() if not isinstance(thread, threading._DummyThread))
    left = [thread.name for thread in set(ours) - before if thread.is_alive()]
    assert not left, f"threads left running: {left}"
    words = [record.getMessage() for record in caplog.get_records("call") if record.levelno >= logging.WARNING]
    assert not words, f"unexpected words in the log: {words}"


@pytest.fixture
def plain_environment(tmp_path: os.PathLike[str]) -> dict[str, str]:
    """The environment of a process that a test starts: this one's, with its log in the test's folder."""
    folders = dict.fromkeys(("XDG_STATE_HOME", "XDG_CONFIG_HOME", "LOCALAPPDATA"), str(tmp_path))
    return {**os.environ, **folders, "PYTHONUTF8": "0"}

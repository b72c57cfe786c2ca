"""What holds for tests of the window: no screen is needed, and nothing is remembered from test to test."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(autouse=True)
def _nothing_remembered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Recent jobs, settings and the window's layout go into the folder of the test."""
    for name in ("XDG_STATE_HOME", "XDG_CONFIG_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "state"))

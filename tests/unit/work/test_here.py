"""Who works here, where, and when."""

from __future__ import annotations

import pytest

from leakmap.console import opened
from leakmap.work import here


def test_who_works_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """A system that knows no user name gives a word for it, and the time has a time zone."""

    def nobody() -> str:
        raise OSError

    monkeypatch.setattr(here.getpass, "getuser", nobody)
    assert here.user() == "unknown"
    assert here.host()
    assert here.now().utcoffset() is not None
    assert opened.user is here.user

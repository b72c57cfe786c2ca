"""How units are compared."""

from __future__ import annotations

import re
from pathlib import Path

import leakmap

ALONE = re.compile(r"\b(?:is|is not|==|!=) Units\.(?:METRIC|IMPERIAL)\b|in Units\b(?!\.)|Units\.(?:METRIC|IMPERIAL):")


def test_units_are_asked_for_their_system() -> None:
    """No module compares units with those of no locale: a job in a locale would be taken for one in the other system."""
    for path in Path(leakmap.__path__[0]).rglob("*.py"):
        assert not ALONE.search(path.read_text(encoding="utf-8")), path

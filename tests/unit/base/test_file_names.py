"""File names for every system, and files written whole."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.file_names import safe_name, write_whole


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Tern Quay", "Tern Quay"),
        ("Tërn/Quai №5", "Tërn-Quai №5"),
        ('a<b>:"c|?*', "a-b-c-"),
        ("com1.b2", "_com1.b2"),
        ("nul", "_nul"),
        ("console", "console"),
        ("ends with dot. ", "ends with dot"),
        ("", "_"),
        ("..", "_"),
        ("a\nb", "a-b"),
    ],
)
def test_names(words: str, name: str) -> None:
    """What a system refuses is replaced, the rest is kept.

    Source: Microsoft, "Naming Files, Paths, and Namespaces" (from memory): refused characters, devices,
    no dot or space at the end.
    """
    assert safe_name(words) == name


@given(st.text())
def test_any_words_give_a_usable_name(words: str) -> None:
    """A name is never empty or too long, names no folder and ends in neither dot nor space; doing it again changes nothing."""
    name = safe_name(words)
    assert 0 < len(name.encode()) <= 121
    assert not set(name) & set('<>:"/\\|?*\n\0')
    assert not name.endswith((".", " "))
    assert safe_name(name) == name


def test_a_file_is_written_whole(tmp_path: Path) -> None:
    """An existing file is replaced, and nothing is left beside it."""
    path = tmp_path / "a b ü.txt"
    write_whole(path, b"one")
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert list(tmp_path.iterdir()) == [path]


def test_a_failed_write_leaves_nothing(tmp_path: Path) -> None:
    """Where the file cannot be put, the old one is as it was and no neighbour is left."""
    folder = tmp_path / "there"
    folder.mkdir()
    (folder / "x").write_bytes(b"")
    with pytest.raises(OSError, match="there"):
        write_whole(folder, b"one")
    assert [item.name for item in tmp_path.iterdir()] == ["there"]

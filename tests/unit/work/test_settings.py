"""The settings of a person: their declaration, and the file that keeps them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from leakmap.base.errors import BadValue, UnusableFile
from leakmap.base.measures import Units
from leakmap.issue.schedule_pdf.paper import SERIES_MM, SHEET_NAMES, series_of
from leakmap.model.rules import Rules
from leakmap.work.kept_settings import VERSION, keep_setting, kept_settings, settings_path
from leakmap.work.new_job import empty_job
from leakmap.work.settings import DECLARED, DEFAULTS, PAPER_OF_UNITS, Form, Setting, Theme, setting_named


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file in a folder that is not there yet."""
    return tmp_path / "config" / "settings.json"


def write(path: Path, content: object) -> None:
    """Write a file of settings."""
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(content), encoding="utf-8")


@pytest.mark.parametrize("setting", DECLARED, ids=lambda setting: setting.name)
def test_each_setting_explains_itself(setting: Setting) -> None:
    """Each has a title and one whole sentence, takes its own default, and reads again what it shows."""
    assert setting.title
    assert setting.words.endswith(".")
    assert setting.taken(setting.default) == setting.default
    assert setting.read(setting.text_of(setting.default)) == setting.default
    assert all(setting.text_of(setting.read(choice)) == choice for choice in setting.choices)
    assert DEFAULTS.with_value(setting.name, setting.default) == DEFAULTS


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("theme", "sepia"),
        ("theme", 1),
        ("theme", ["light"]),
        ("glove_mode", 1),
        ("glove_mode", "on"),
        ("text_percent", 99),
        ("text_percent", 201),
        ("text_percent", True),
        ("text_percent", 120.5),
        ("text_percent", None),
        ("user_name", "two\nlines"),
        ("user_name", "x" * 121),
        ("user_name", {}),
        ("colour", "red"),
    ],
)
def test_what_cannot_be_is_refused(name: str, value: object) -> None:
    """A value of another type, outside its choices or limits, or of no setting, is refused in one sentence."""
    with pytest.raises(BadValue, match=r"^[^\n]+\.$"):
        DEFAULTS.with_value(name, value)


def test_papers_are_those_that_plans_are_laid_out_on() -> None:
    """A new job may be given every size that the writers know, or what goes with its units: the rules' own, or a US one."""
    assert setting_named("paper").choices == (*SHEET_NAMES, PAPER_OF_UNITS)
    assert len(SHEET_NAMES) == sum(map(len, SERIES_MM))
    metric, imperial = (empty_job("pit", system=units).job.rules.largest_paper for units in Units.EACH)
    assert metric == Rules().largest_paper
    assert series_of(imperial)[imperial] == pytest.approx((24 * 25.4, 36 * 25.4))
    assert (
        empty_job("pit", settings=DEFAULTS.with_value("paper", "A3"), system=Units.IMPERIAL).job.rules.largest_paper
        == "A3"
    )


def test_what_was_kept_comes_back(path: Path) -> None:
    """A setting is found at the next start, and its default leaves no line behind; two windows keep both of theirs."""
    assert kept_settings(path) == DEFAULTS
    assert not path.parent.exists()
    keep_setting("user_name", " Grübchen 滴 ", path)
    found = keep_setting("theme", Theme.DARK, path)
    assert found == kept_settings(path)
    assert (found.user_name, found.theme) == ("Grübchen 滴", Theme.DARK)
    keep_setting("theme", Theme.SYSTEM, path)
    assert json.loads(path.read_text()) == {"version": VERSION, "settings": {"user_name": "Grübchen 滴"}}


def test_values_fall_back_one_by_one(path: Path) -> None:
    """What the file says wrongly is as if unsaid, and stays in the file with what this program does not know."""
    said = {"theme": "dark", "text_percent": 7, "letter_keys": "perhaps", "of_tomorrow": [1], "snap_px": 20}
    write(path, {"version": VERSION, "settings": said})
    found = kept_settings(path)
    assert (found.theme, found.text_percent, found.letter_keys, found.snap_px) == (Theme.DARK, 100, True, 20)
    keep_setting("snap_px", 22, path)
    assert json.loads(path.read_text())["settings"] == {**said, "snap_px": 22}


@pytest.mark.parametrize(
    "content", [b"", b"\xff", b"{", b"[]", b"{}", b'{"version": 1, "settings": 3}', b"[" * 100_000]
)
def test_a_damaged_file_is_kept_beside(path: Path, content: bytes) -> None:
    """What is no file of settings gives defaults, is kept beside, and keeping goes on."""
    path.parent.mkdir()
    path.write_bytes(content)
    assert kept_settings(path) == DEFAULTS
    assert path.with_name("settings.json.bad").read_bytes() == content
    assert keep_setting("text_percent", 150, path).text_percent == 150


def test_a_newer_file_is_read_and_never_written(path: Path) -> None:
    """What a newer program wrote is taken as far as it is understood, and stays as it is."""
    write(path, {"version": VERSION + 1, "settings": {"theme": "dark", "hue": 3}})
    before = path.read_bytes()
    assert kept_settings(path).theme is Theme.DARK
    with pytest.raises(UnusableFile, match="newer leakmap"):
        keep_setting("theme", Theme.LIGHT, path)
    assert path.read_bytes() == before


def test_where_nothing_can_be_written_it_is_said(tmp_path: Path) -> None:
    """A folder that cannot be made is told in one sentence."""
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(UnusableFile, match="could not be written"):
        keep_setting("text_percent", 150, tmp_path / "file" / "settings.json")


def test_they_lie_in_a_folder_of_the_user() -> None:
    """By themselves they are kept in a folder named for the program, and only folders are endless."""
    assert settings_path().parts[-2:] == ("leakmap", "settings.json")
    assert [setting.name for setting in DECLARED if setting.form is Form.FOLDER] == ["jobs_folder"]

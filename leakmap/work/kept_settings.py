"""The settings of a person from one start to the next: a small file of the user's, apart from every job.

The file holds what was changed and nothing else, so that a better default reaches whoever never chose. What it
says is taken one by one: a value that cannot be, or a name that this program does not know, changes nothing else
and stays in the file. One of a newer program is read as far as it is understood, and never written.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from platformdirs import user_config_path

from leakmap.base.errors import BadValue, UnusableFile, reason_of
from leakmap.work.settings import DECLARED, DEFAULTS, Settings, Value, setting_named
from leakmap.work.user_files import read_user_file, write_user_file

VERSION: Final = 1


def settings_path() -> Path:
    """Where they are kept on this computer."""
    return user_config_path("leakmap", appauthor=False) / "settings.json"


def kept_settings(path: Path | None = None) -> Settings:
    """The settings; defaults for whatever the file does not say, or says wrongly.

    Args:
        path: The file; the user's own unless said otherwise.
    """
    said = _read(path or settings_path())["settings"]
    found = DEFAULTS
    for setting in DECLARED:
        if setting.name in said:
            with suppress(BadValue):
                found = found.with_value(setting.name, said[setting.name])
    return found


def keep_setting(name: str, value: Value, path: Path | None = None) -> Settings:
    """Keep one setting, and give all as they are now; the default takes its line out of the file.

    The file is read anew first, so that what another window kept stays.

    Args:
        name: Its field.
        value: What it shall be.
        path: The file; the user's own unless said otherwise.

    Raises:
        BadValue: There is no such setting, or it cannot be that.
        UnusableFile: The file cannot be written, or a newer program wrote it; it is as it was.
    """
    path = path or settings_path()
    setting = setting_named(name)
    value = setting.taken(value)
    held = _read(path)
    if held["version"] > VERSION:
        raise UnusableFile(
            f"A newer leakmap wrote the settings, so they stay as they are; "
            f'"{setting.title}" holds until this leakmap ends.',
            where=str(path),
        )
    said = {**held["settings"], name: value}
    if value == setting.default:
        del said[name]
    try:
        write_user_file(path, {**held, "settings": said})
    except OSError as problem:
        raise UnusableFile(
            f"The settings could not be written ({reason_of(problem)}); "
            f'"{setting.title}" holds until this leakmap ends.',
            where=str(path),
        ) from problem
    return kept_settings(path)


def _read(path: Path) -> dict[str, Any]:
    """What the file holds: its version and what it says of settings."""
    return read_user_file(path, _of_value, {"version": VERSION, "settings": {}})


def _of_value(held: Any) -> dict[str, Any]:  # noqa: ANN401 - whatever a JSON file holds
    """The same of the value in it.

    Raises:
        ValueError: It holds something else than was written.
        TypeError: The same.
        LookupError: The same.
    """
    if not (isinstance(held["version"], int) and isinstance(held["settings"], dict)):
        raise TypeError("no settings")
    return dict(held)

"""What leakmap remembers between one start and the next: recent jobs, the last folder, the window.

It is kept in one small file of the user's, apart from every job. Nothing depends on it: a file that is
missing, damaged or of another version is as good as none, and a damaged one is kept beside as ``.bad``.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from platformdirs import user_state_path

from leakmap.base.file_names import write_whole

MOST: Final = 12
"""Recent jobs that are remembered (ours)."""

_VERSION: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Recent:
    """What is remembered.

    Attributes:
        jobs: Job files, the latest first; they may be gone since.
        folder: Folder that was last chosen in; None when none was.
        window: Settings of the window by name; their meaning is the window's own.
    """

    jobs: tuple[Path, ...] = ()
    folder: Path | None = None
    window: Mapping[str, str | int] = field(default_factory=lambda: MappingProxyType({}))


def remembered_path() -> Path:
    """Where it is kept on this computer."""
    return user_state_path("leakmap", appauthor=False) / "recent.json"


def recent(path: Path | None = None) -> Recent:
    """What is remembered; nothing where it cannot be read.

    Args:
        path: The file; the user's own unless said otherwise.
    """
    path = path or remembered_path()
    try:
        return _of_value(json.loads(path.read_text(encoding="utf-8")))
    except OSError:
        return Recent()
    except (ValueError, TypeError, LookupError, RecursionError):
        with suppress(OSError):
            path.replace(path.with_name(f"{path.name}.bad"))
        return Recent()


def remember(change: Callable[[Recent], Recent], path: Path | None = None) -> Recent:
    """Change what is remembered, and give it; where it cannot be written, it is forgotten at the end.

    It is read anew first, so that what another window remembered is kept.

    Args:
        change: Gives the new from the old.
        path: The file; the user's own unless said otherwise.
    """
    path = path or remembered_path()
    new = change(recent(path))
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps(_value_of(new), indent=1).encode("ascii"))
    return new


def with_job(old: Recent, job: Path) -> Recent:
    """With a job at the head of the recent ones, each only once; its folder is the last one."""
    job = job.absolute()
    others = (path for path in old.jobs if path != job)
    return replace(old, jobs=(job, *others)[:MOST], folder=job.parent)


def without_job(old: Recent, job: Path) -> Recent:
    """Without a job, as when it is gone."""
    return replace(old, jobs=tuple(path for path in old.jobs if path != job.absolute()))


def with_window(old: Recent, settings: Mapping[str, str | int]) -> Recent:
    """With some settings of the window put in or changed."""
    return replace(old, window=MappingProxyType({**old.window, **settings}))


def _value_of(known: Recent) -> dict[str, Any]:
    return {
        "version": _VERSION,
        "jobs": [str(path) for path in known.jobs],
        "folder": None if known.folder is None else str(known.folder),
        "window": dict(known.window),
    }


def _of_value(value: Any) -> Recent:  # noqa: ANN401 - whatever a JSON file holds
    """What a value says.

    Raises:
        ValueError: It is of another version, or holds something else than was written.
        TypeError: The same.
        LookupError: The same.
    """
    if value["version"] != _VERSION:
        raise ValueError("another version")
    folder = value["folder"]
    return Recent(
        jobs=tuple(Path(_text(path)) for path in value["jobs"])[:MOST],
        folder=None if folder is None else Path(_text(folder)),
        window=MappingProxyType(dict(_settings(value["window"]))),
    )


def _settings(window: Any) -> Iterator[tuple[str, str | int]]:  # noqa: ANN401 - whatever a JSON file holds
    for name, setting in dict(window).items():
        if not isinstance(setting, (str, int)):
            raise TypeError("no setting")
        yield _text(name), setting


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("no text")
    return value

"""What leakmap remembers between one start and the next: recent jobs and how each was left, last folders, the window.

It is kept in one small file of the user's, apart from every job. Nothing depends on it: a file that is
missing, damaged or of another version is as good as none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from math import isfinite
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from platformdirs import user_state_path

from leakmap.work.user_files import read_user_file, write_user_file

MOST: Final = 12
"""Recent jobs, and recipients, that are remembered (ours)."""

_VERSION: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where the work on a job stood.

    Attributes:
        stage: Number of the stage.
        level: Id of the sheet on the plan.
        centre: Site position in the middle of the plan, metres; None: all of the level was shown.
        px_per_m: Pixels for one metre, where the middle is known.
    """

    stage: int
    level: str
    centre: tuple[float, float] | None = None
    px_per_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Recent:
    """What is remembered.

    Attributes:
        jobs: Job files, the latest first; they may be gone since.
        views: How each of them was left, as far as it is known.
        folder: Folder of the job that was open last; None when none was.
        drawings: Folder that a drawing was last chosen in; None when none was.
        recipients: Who got an issue of any job, the latest first.
        window: Settings of the window by name; their meaning is the window's own.
    """

    jobs: tuple[Path, ...] = ()
    views: Mapping[Path, View] = field(default_factory=lambda: MappingProxyType({}))
    folder: Path | None = None
    drawings: Path | None = None
    recipients: tuple[str, ...] = ()
    window: Mapping[str, str | int] = field(default_factory=lambda: MappingProxyType({}))


def remembered_path() -> Path:
    """Where it is kept on this computer."""
    return user_state_path("leakmap", appauthor=False) / "recent.json"


def recent(path: Path | None = None) -> Recent:
    """What is remembered; nothing where it cannot be read.

    Args:
        path: The file; the user's own unless said otherwise.
    """
    return read_user_file(path or remembered_path(), _of_value, Recent())


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
        write_user_file(path, _value_of(new))
    return new


def with_job(old: Recent, job: Path) -> Recent:
    """With a job at the head of the recent ones, each only once; its folder is the last one."""
    job = job.absolute()
    others = (path for path in old.jobs if path != job)
    return replace(old, jobs=(job, *others)[:MOST], folder=job.parent)


def without_job(old: Recent, job: Path) -> Recent:
    """Without a job, as when it is gone."""
    return replace(old, jobs=tuple(path for path in old.jobs if path != job.absolute()))


def with_recipient(old: Recent, name: str) -> Recent:
    """With who got an issue at the head of those who did, each only once."""
    others = (other for other in old.recipients if other != name)
    return replace(old, recipients=(name, *others)[:MOST])


def with_view(old: Recent, job: Path, view: View) -> Recent:
    """With how a job was left; those of jobs that are no longer recent go."""
    views = {**old.views, job.absolute(): view}
    return replace(old, views=MappingProxyType({path: view for path, view in views.items() if path in old.jobs}))


def forget(path: Path | None = None) -> None:
    """Remember nothing any more; where the file cannot be taken away, it stays.

    Args:
        path: The file; the user's own unless said otherwise.
    """
    with suppress(OSError):
        (path or remembered_path()).unlink(missing_ok=True)


def with_window(old: Recent, settings: Mapping[str, str | int]) -> Recent:
    """With some settings of the window put in or changed."""
    return replace(old, window=MappingProxyType({**old.window, **settings}))


def _value_of(known: Recent) -> dict[str, Any]:
    return {
        "version": _VERSION,
        "jobs": [str(path) for path in known.jobs],
        "views": {
            str(path): [view.stage, view.level, view.centre, view.px_per_m] for path, view in known.views.items()
        },
        "folder": None if known.folder is None else str(known.folder),
        "drawings": None if known.drawings is None else str(known.drawings),
        "recipients": list(known.recipients),
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
    folder, drawings = value["folder"], value.get("drawings")
    return Recent(
        jobs=tuple(Path(_text(path)) for path in value["jobs"])[:MOST],
        views=MappingProxyType(dict(_views(value.get("views", {})))),
        folder=None if folder is None else Path(_text(folder)),
        drawings=None if drawings is None else Path(_text(drawings)),
        recipients=tuple(map(_text, value.get("recipients", ())))[:MOST],
        window=MappingProxyType(dict(_settings(value["window"]))),
    )


def _views(views: Any) -> Iterator[tuple[Path, View]]:  # noqa: ANN401 - whatever a JSON file holds
    for path, (stage, level, centre, px_per_m) in dict(views).items():
        at = None if centre is None else (float(centre[0]), float(centre[1]))
        zoom = float(px_per_m)
        if not isinstance(stage, int) or (at is not None and not (isfinite(at[0]) and isfinite(at[1]) and zoom > 0)):
            raise TypeError("no view")
        yield Path(_text(path)), View(stage=stage, level=_text(level), centre=at, px_per_m=zoom)


def _settings(window: Any) -> Iterator[tuple[str, str | int]]:  # noqa: ANN401 - whatever a JSON file holds
    for name, setting in dict(window).items():
        if not isinstance(setting, (str, int)):
            raise TypeError("no setting")
        yield _text(name), setting


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("no text")
    return value

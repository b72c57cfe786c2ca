"""A DWG file as a drawing: turned into DXF by the library ezdwg, then read as every DXF is.

The format is not published, so what the library made out is never taken for the whole: each drawing
carries a finding that it must be compared with a print, and one for every kind of thing that was
left out. The marked drawing is made inside the DXF that came of it.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, redirect_stdout
from dataclasses import replace
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final, NamedTuple

from ezdxf._options import options

from leakmap.base.counted import many
from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.kinds import FileKind, kind_of, refusal
from leakmap.model.drawing import Drawing

READER_VERSION: Final = 1
"""Grows whenever the same file may give another DXF, so that kept drawings are made again."""

TURNING: Final = "Turning DWG into DXF"

_DXF_RELEASE: Final = "R2010"
_OLDEST: Final = b"AC1012"  # R13
_MOST_KINDS: Final = 12
_UNIT: Final = re.compile(rb"(\$INSUNITS\s+70\s+)\d+")
_SYSTEM: Final = re.compile(rb"  9\r?\n\$MEASUREMENT\s+70\s+\d+\r?\n")


class Converted(NamedTuple):
    """A DWG file as DXF.

    Attributes:
        dxf: The DXF file.
        skipped: How many of each kind of entity were left out; the kind as DXF names it.
    """

    dxf: bytes
    skipped: Mapping[str, int]


def read_dwg(
    data: bytes, *, m_per_unit: float | None = None, name: str = "", progress: Progress = UNWATCHED
) -> Drawing:
    """The drawing that a DWG file holds, as far as it could be made out; to be compared with a print.

    Args:
        data: The file.
        m_per_unit: Metres of one drawing unit, when the user knows it; greater than zero.
        name: Its name, for messages.
        progress: Watches.

    Raises:
        BadValue: The unit is not greater than zero.
        UnusableDrawing: Nothing of it could be used; one sentence says why.
        Stopped: The watcher asked to stop.
    """
    made = converted(data, name=name, progress=progress)
    drawing = read_dxf(made.dxf, m_per_unit=m_per_unit, name=name, progress=progress)
    return replace(drawing, findings=(*_losses(made.skipped), *drawing.findings))


def converted(data: bytes, *, name: str = "", progress: Progress = UNWATCHED) -> Converted:
    """A DWG file as DXF; the same file always gives the same bytes.

    Raises:
        UnusableDrawing: It is no DWG, older than R13, or damaged beyond use.
        Stopped: The watcher asked to stop.
    """
    kind = kind_of(data)
    if kind is not FileKind.DWG:
        raise refusal(name, kind)
    if data[:6] < _OLDEST:
        raise UnusableDrawing(
            f"{name or 'The drawing'} is a DWG older than R13, which cannot be read; save it as DXF and import that.",
            where=name,
        )
    progress.report(TURNING, 0, None)
    with TemporaryDirectory(prefix="leakmap-") as folder:
        return _by_library(data, Path(folder), name)


def _by_library(data: bytes, folder: Path, name: str) -> Converted:
    import ezdwg  # noqa: PLC0415 - few drawings are DWG, and it is slow to load

    dwg, dxf = folder / "drawing.dwg", folder / "drawing.dxf"
    dwg.write_bytes(data)
    try:
        with _quietly():
            document = ezdwg.read(str(dwg))
            told = ezdwg.to_dxf(document, str(dxf), dxf_version=_DXF_RELEASE)
            return Converted(_own_unit(dxf.read_bytes(), document.insunits), dict(told.skipped_by_type))
    except KeyboardInterrupt:
        raise
    except BaseException as trouble:  # a panic of the compiled part is no Exception; whatever it is, it is the file
        raise UnusableDrawing(
            f"{name or 'The drawing'} could not be made out: it is damaged, or a kind of DWG that is not known here; "
            "save it as DXF and import that.",
            where=name,
        ) from trouble


@contextmanager
def _quietly() -> Iterator[None]:
    """Nothing is printed inside, and the DXF that is written holds no time and no chance."""
    log = logging.getLogger("ezdwg")
    before, level = options.write_fixed_meta_data_for_testing, log.level
    options.write_fixed_meta_data_for_testing = True
    log.setLevel(logging.ERROR)
    try:
        with redirect_stdout(StringIO()):
            yield
    finally:
        options.write_fixed_meta_data_for_testing = before
        log.setLevel(level)


def _own_unit(dxf: bytes, code: int | None) -> bytes:
    """The DXF with the unit that the DWG names: the library leaves there what a new drawing starts with."""
    named = _UNIT.sub(rb"\g<1>%d" % (code or 0), dxf, count=1)
    return named if code else _SYSTEM.sub(b"", named, count=1)


def _losses(skipped: Mapping[str, int]) -> tuple[Finding, ...]:
    """What a person must know of a drawing that came from DWG."""
    check = Finding(
        "dwg-read", "", "A DWG is read as far as it can be made out: compare the plan with a print.", Effect.LOOK
    )
    most = sorted(skipped.items(), key=lambda item: (-item[1], item[0]))
    lost = [
        Finding(
            "dwg-skipped",
            kind,
            f"{many(count, 'entity', 'entities')} of kind {kind} could not be taken over.",
            Effect.LOST,
        )
        for kind, count in most[:_MOST_KINDS]
    ]
    if len(most) > _MOST_KINDS:
        rest = sum(count for _, count in most[_MOST_KINDS:])
        lost.append(Finding("dwg-skipped", "", f"{rest} entities of other kinds could not be taken over.", Effect.LOST))
    return (check, *lost)

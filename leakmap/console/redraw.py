"""``leakmap redraw``: a new drawing under a sheet; its joints and leaks stay where they are."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from contextlib import suppress
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue, LeakmapError
from leakmap.console.bar import Bar
from leakmap.console.drawing_words import drawing_asked, take_words
from leakmap.console.opened import for_change, sheet_called
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser, a_point
from leakmap.console.schedule_text import findings_text
from leakmap.geometry.fit import Pair
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile
from leakmap.work.drawing_fits import NewUnder, Placed, by_places, proposals, redrawn
from leakmap.work.edits.edit import Edit
from leakmap.work.here import now, user
from leakmap.work.job_drawings import NewDrawing, as_read
from leakmap.work.left_behind import joints_left_behind

_EXAMPLE: Final = """\
  leakmap redraw pit.gpkg --sheet B2 --drawing pit-B2-rev-C.dxf
  leakmap redraw pit.gpkg --sheet B2 --drawing pit-B2-rev-C.dxf --by-grid
  leakmap redraw pit.gpkg --sheet B2 --drawing pit.pdf --page 3 --from 12.5,40 --to 0,0 --from 324.5,40 --to 31200,0

Without more words both drawings are compared: the new one lies as before where most ends of lines are there again, else
by the grid or by texts that both show. Or give places: --from is a point of the new drawing, --to the same place on the
old one, each in its own units (in metres on a blank sheet). One place shifts the new drawing, two turn it as well, and
three or more share what they are out by. Its scale is that of the files where they say their unit, else places give it.

Joints, leaks, cuts and overruns stay where they are on site; joints that lay on a line and lie on none now are listed.
Known lengths go with the old drawing, so that the scale is to be checked again. Issued revisions stay as they are."""

_WAYS: Final = {"as_before": "as before", "by_grid": "by the grid", "by_texts": "by the texts"}


def parser() -> Parser:
    """Its command line."""
    found = Parser("redraw", "Put a new drawing under a sheet.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--sheet", required=True, metavar="S", help="name of the sheet")
    found.add_argument("--drawing", required=True, metavar="FILE", help="the new drawing")
    take_words(found)
    ways = found.add_mutually_exclusive_group()
    ways.add_argument("--as-before", action="store_true", help="it lies where the old drawing lies")
    ways.add_argument("--by-grid", action="store_true", help="it lies where axes of the same names lie on each other")
    ways.add_argument("--by-texts", action="store_true", help="it lies where texts that both show lie on each other")
    ways.add_argument(
        "--from",
        action="append",
        type=a_point,
        metavar="X,Y",
        dest="here",
        default=[],
        help="a place on the new drawing; as often as you like",
    )
    found.add_argument(
        "--to",
        action="append",
        type=a_point,
        metavar="X,Y",
        dest="there",
        default=[],
        help="the same place on the old drawing, once for each",
    )
    found.add_argument("--scale-too", action="store_true", help="two places or more give the scale as well")
    return found


def run(words: Namespace) -> Outcome:
    """Put the drawing there, and say how well it fits and what it left behind."""
    _refuse_half_a_place(words)
    with for_change(words.job, at=now()) as file:
        sheet = sheet_called(file.job, words.sheet)
        with Bar() as bar:
            drawing = drawing_asked(words, bar)
            new = _under(file, sheet, drawing)
            placed = _placed(new, words, bar)
            edit = redrawn(file.job, new, placed, progress=bar)
        _save(file, drawing, edit)
    print("\n".join(_report(edit.job, new, placed, edit)))
    return done(placed.doubtful or drawing.drawing.findings or joints_left_behind(edit.job, sheet=sheet))


def _refuse_half_a_place(words: Namespace) -> None:
    if len(words.here) != len(words.there):
        raise BadValue(
            f"There are {len(words.here)} --from and {len(words.there)} --to; give each place both. Nothing was changed."
        )
    if words.scale_too and len(words.here) < 2:
        raise BadValue("--scale-too takes the scale from places; give two at least. Nothing was changed.")


def _under(file: JobFile, sheet: UUID, drawing: NewDrawing) -> NewUnder:
    """The new drawing with the sheet as it is; an old drawing that cannot be read any more is replaced all the more."""
    there, before = file.job.sheets[sheet], None
    if there.source is not None:
        with suppress(LeakmapError):
            before = as_read(file, there.source)
    return NewUnder(sheet=there, before=before, source=drawing.source, drawing=drawing.drawing, grid=file.job.grid)


def _placed(new: NewUnder, words: Namespace, bar: Bar) -> Placed:
    """Where the new drawing lies: by the places given, in the way asked for, or in the surest that was found.

    Raises:
        BadValue: Nothing says so, or not in the way asked for.
    """
    if words.here:
        to_site = new.sheet.placement.to_site
        pairs = [Pair(drawn=here, site=to_site(there)) for here, there in zip(words.here, words.there, strict=True)]
        return by_places(new, pairs, with_scale=words.scale_too)
    found = {placed.words: placed for placed in proposals(new, progress=bar)}
    asked = next((way for name, way in _WAYS.items() if getattr(words, name)), None)
    if asked is None and found and not next(iter(found.values())).doubtful:
        return next(iter(found.values()))
    if asked in found:
        return found[asked]
    told = " ".join(placed.why for placed in found.values())
    how = f"does not lie {asked}" if asked is not None else "shows nothing that says where it lies"
    raise BadValue(
        f"{new.source.name} {how} on {new.sheet.name}.{' ' if told else ''}{told}"
        " Give places with --from and --to. Nothing was changed."
    )


def _save(file: JobFile, drawing: NewDrawing, edit: Edit) -> None:
    """Keep the drawing, then name it, so that no sheet ever names what is not there."""
    at = now()
    file.put_blob(drawing.content, at=at)
    for key, kept in drawing.parsed.items():
        file.put_parsed(key, kept, at=at)
    file.save(edit.job, words=edit.words, user=user(), at=at)


def _report(job: Job, new: NewUnder, placed: Placed, edit: Edit) -> Iterator[str]:
    sheet = job.sheets[new.sheet.id]
    yield f"{sheet.name} shows {new.source.name} now, laid {placed.words}."
    yield from edit.said
    if placed.words == "by places" and len(placed.residuals_m) > 1:
        for number, out_m in enumerate(placed.residuals_m, start=1):
            yield f"  place {number}: out by {job.units.fixed(out_m * 1000, 1)} mm"
    yield from findings_text(new.drawing.findings)

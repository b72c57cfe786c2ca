"""``leakmap scale``: a length known on site, which sets a sheet's scale or checks it."""

from __future__ import annotations

from argparse import Namespace
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.console.opened import for_change
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser, a_number, a_point
from leakmap.model.job import Job
from leakmap.model.sheet import KnownLength, Sheet, disagreement, placed_length_m, scale_is_checked
from leakmap.work.edits.scales import add_known_length
from leakmap.work.here import now, user

_EXAMPLE: Final = """\
  leakmap scale pit.gpkg --sheet B2 --from 0,0 --to 31200,0 --length 31.20
  leakmap scale pit.gpkg --sheet B2 --from 0,0 --to 0,21600 --length 21.60

--from and --to are points of the drawing, in its own units. The first length sets the scale; a second one
across it checks it: both must agree within 0.5 %. A job is issued for work only from checked scales."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("scale", "Give a length that was measured on site.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--sheet", required=True, metavar="S", help="name of the sheet")
    found.add_argument("--from", required=True, type=a_point, metavar="X,Y", dest="start", help="one end")
    found.add_argument("--to", required=True, type=a_point, metavar="X,Y", dest="end", help="the other end")
    found.add_argument("--length", required=True, type=a_number, metavar="M", help="its length on site, in metres")
    return found


def run(words: Namespace) -> Outcome:
    """Store the length, and say how the sheet's scale is known now."""
    known = KnownLength(start=words.start, end=words.end, length_m=words.length)
    with for_change(words.job, at=now()) as file:
        edit = add_known_length(file.job, sheet=_sheet_named(file.job, words.sheet), known=known)
        file.save(edit.job, words=edit.words, user=user(), at=now())
        sheet = edit.job.sheets[_sheet_named(edit.job, words.sheet)]
    print(f"{sheet.name}: {len(sheet.lengths)} known length{'s' if len(sheet.lengths) > 1 else ''}.")
    for length in sheet.lengths:
        share = disagreement(sheet, length)
        print(f"  {length.length_m:.3f} m on site, {placed_length_m(sheet, length):.3f} m as placed ({share:+.2%})")
    print(_verdict(sheet))
    for sentence in edit.said:
        print(sentence)
    return Outcome.FINDINGS if edit.said else Outcome.DONE


def _sheet_named(job: Job, name: str) -> UUID:
    found = next((sheet.id for sheet in job.sheets.values() if sheet.name == name.strip()), None)
    if found is None:
        names = ", ".join(sheet.name for sheet in job.sheets.values()) or "none"
        raise BadValue(f"There is no sheet {name}; the job has: {names}. Nothing was changed.")
    return found


def _verdict(sheet: Sheet) -> str:
    if scale_is_checked(sheet):
        return f"The scale of {sheet.name} is checked: lengths each way agree within 0.5 %."
    if len(sheet.lengths) == 1:
        return f"The scale of {sheet.name} is set one way only; give a second length across the first to check it."
    return f"The scale of {sheet.name} is not checked yet: lengths each way must agree within 0.5 %."

"""``leakmap scale``: a length known on site, which sets a sheet's scale or checks it."""

from __future__ import annotations

from argparse import Namespace
from typing import Final

from leakmap.console.opened import for_change, sheet_called
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser, a_measure, a_point
from leakmap.model.sheet import (
    KnownLength,
    Sheet,
    disagreement,
    length_error_m,
    pixel_m,
    placed_length_m,
    scale_is_checked,
    third_length_needed,
)
from leakmap.work.edits.scales import add_known_length, scale_each_way
from leakmap.work.here import now, user

_EXAMPLE: Final = """\
  leakmap scale pit.gpkg --sheet B2 --from 0,0 --to 31200,0 --length 31.20
  leakmap scale pit.gpkg --sheet B2 --from 0,0 --to 0,21600 --length 21.60

--from and --to are points of the drawing, in its own units. The first length sets the scale; a second one
across it checks it: both must agree within 0.5 %. A job is issued for work only from checked scales.
With --each-way the lengths give one scale along the drawing's x axis and one along y, as paper that was
scanned needs; a scan has that from the start."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("scale", "Give a length that was measured on site.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--sheet", required=True, metavar="S", help="name of the sheet")
    found.add_argument("--from", required=True, type=a_point, metavar="X,Y", dest="start", help="one end")
    found.add_argument("--to", required=True, type=a_point, metavar="X,Y", dest="end", help="the other end")
    found.add_argument(
        "--length", required=True, type=a_measure, metavar="LENGTH", help="its length on site: metres, or 102' 4 3/8\""
    )
    found.add_argument("--each-way", action="store_true", help="give the drawing one scale each way")
    return found


def run(words: Namespace) -> Outcome:
    """Store the length, and say how the sheet's scale is known now."""
    known = KnownLength(start=words.start, end=words.end, length_m=words.length)
    with for_change(words.job, at=now()) as file:
        key = sheet_called(file.job, words.sheet)
        if words.each_way and not file.job.sheets[key].each_way:
            ways = scale_each_way(file.job, sheet=key, each_way=True)
            file.save(ways.job, words=ways.words, user=user(), at=now())
        edit = add_known_length(file.job, sheet=key, known=known)
        file.save(edit.job, words=edit.words, user=user(), at=now())
        sheet = edit.job.sheets[key]
    print(f"{sheet.name}: {len(sheet.lengths)} known length{'s' if len(sheet.lengths) > 1 else ''}.")
    printed = edit.job.units.printed
    for length in sheet.lengths:
        share = disagreement(sheet, length)
        print(
            f"  {printed(length.length_m)} on site, {printed(placed_length_m(sheet, length))} as placed ({share:+.2%})"
        )
    pixel, error = pixel_m(sheet), length_error_m(sheet, edit.job.units.reading_m)
    if pixel is not None and error is not None:
        out = f"{edit.job.units.reading_words} read off it can be out by {edit.job.units.out_by(error)}"
        print(f"One pixel is {edit.job.units.fixed(pixel * 1000, 1)} mm; {out}.")
    print(_verdict(sheet))
    for sentence in edit.said:
        print(sentence)
    return Outcome.FINDINGS if edit.said else Outcome.DONE


def _verdict(sheet: Sheet) -> str:
    if scale_is_checked(sheet):
        return f"The scale of {sheet.name} is checked: lengths each way agree within 0.5 %."
    if third_length_needed(sheet):
        return f"The scale of {sheet.name} is not checked yet: its two ways differ, so a third length must agree."
    if len(sheet.lengths) == 1:
        return f"The scale of {sheet.name} is set one way only; give a second length across the first to check it."
    return f"The scale of {sheet.name} is not checked yet: lengths each way must agree within 0.5 %."

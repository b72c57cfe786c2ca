"""``leakmap straighten``: a sheet's drawing turned so that a line on it lies straight, or by quarters."""

from __future__ import annotations

from argparse import Namespace
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.console.opened import for_change, sheet_called
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser, a_point
from leakmap.work.edits.paper import quarter_turned, straighten
from leakmap.work.here import now, user

_EXAMPLE: Final = """\
  leakmap straighten pit.gpkg --sheet B2 --from 120,85 --to 4710,132
  leakmap straighten pit.gpkg --sheet B2 --quarter

--from and --to are two points of one line, such as a grid line, far apart, in the drawing's own units: pixels from the
lower left of a scan. The drawing is turned until that line lies level or upright, whichever is nearer; --quarter turns
it by a quarter to the left. Joints and leaks of the sheet go along. It can be done again."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("straighten", "Turn a sheet's drawing until it lies straight.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--sheet", required=True, metavar="S", help="name of the sheet")
    found.add_argument("--from", type=a_point, metavar="X,Y", dest="start", help="one end of the line")
    found.add_argument("--to", type=a_point, metavar="X,Y", dest="end", help="its other end")
    found.add_argument("--quarter", action="store_true", help="turn by a quarter to the left instead")
    return found


def run(words: Namespace) -> Outcome:
    """Turn the drawing, and say how far."""
    given = [place for place in (words.start, words.end) if place is not None]
    if len(given) != (0 if words.quarter else 2):
        raise BadValue("Give both --from and --to, or --quarter alone. Nothing was changed.")
    with for_change(words.job, at=now()) as file:
        key = sheet_called(file.job, words.sheet)
        if words.quarter:
            edit = quarter_turned(file.job, sheet=key)
        else:
            edit = straighten(file.job, sheet=key, start=words.start, end=words.end)
        file.save(edit.job, words=edit.words, user=user(), at=now())
    print("\n".join(edit.said))
    return Outcome.DONE

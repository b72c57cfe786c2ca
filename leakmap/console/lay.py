"""``leakmap lay``: a sheet laid over another by places that both show."""

from __future__ import annotations

from argparse import Namespace
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.console.opened import for_change, sheet_called
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser, a_point
from leakmap.model.job import Job
from leakmap.work.edits.laying import Place, laid, lay_over
from leakmap.work.here import now, user

_EXAMPLE: Final = """\
  leakmap lay pit.gpkg --sheet B2 --over B1 --from 0,0 --to 12500,300
  leakmap lay pit.gpkg --sheet B2 --over B1 --from 0,0 --to 12500,300 --from 31200,0 --to 43700,310

--from is a point of sheet S, --to the same place on sheet T, each in the units of its own drawing (in metres on
a blank sheet). One place shifts S; with two or more it is turned too, as the places fit best. S keeps its scale, but
for --scale-too. Its joints and leaks go along; T stays. Places that are out by more than 10 mm are said. It can be
done again."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("lay", "Lay a sheet over another, so that vertical joints meet.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--sheet", required=True, metavar="S", help="name of the sheet that moves")
    found.add_argument("--over", required=True, metavar="T", help="name of the sheet that it is laid over")
    found.add_argument(
        "--from",
        required=True,
        action="append",
        type=a_point,
        metavar="X,Y",
        dest="here",
        help="a place on S; as often as you like",
    )
    found.add_argument(
        "--to",
        required=True,
        action="append",
        type=a_point,
        metavar="X,Y",
        dest="there",
        help="the same place on T, once for each",
    )
    found.add_argument(
        "--scale-too", action="store_true", help="two places or more give S its scale as well, where it has none yet"
    )
    return found


def run(words: Namespace) -> Outcome:
    """Move the sheet, and say how well the places lie on each other."""
    if len(words.here) != len(words.there):
        raise BadValue(
            f"There are {len(words.here)} --from and {len(words.there)} --to; give each place both. Nothing was changed."
        )
    with for_change(words.job, at=now()) as file:
        job = file.job
        sheet, over = (sheet_called(job, name) for name in (words.sheet, words.over))
        places = _places(job, words)
        edit = lay_over(job, sheet=sheet, over=over, places=places, with_scale=words.scale_too)
        fit = laid(job.sheets[sheet], places, with_scale=words.scale_too)
        file.save(edit.job, words=edit.words, user=user(), at=now())
    print("\n".join(edit.said))
    for number, out_m in enumerate(fit.residuals_m if len(places) > 1 else (), start=1):
        print(f"  place {number}: out by {job.units.fixed(out_m * 1000, 1)} mm")
    return done(not fit.agrees)


def _places(job: Job, words: Namespace) -> list[Place]:
    """Each place in the site plane, as it lies on both sheets now."""
    here, there = (job.sheets[sheet_called(job, name)].placement for name in (words.sheet, words.over))
    return [(here.to_site(a), there.to_site(b)) for a, b in zip(words.here, words.there, strict=True)]

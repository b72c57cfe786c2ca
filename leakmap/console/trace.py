"""``leakmap trace``: joints proposed from the lines of a sheet's drawing, and taken where that is asked for."""

from __future__ import annotations

from argparse import ArgumentTypeError, Namespace
from collections.abc import Iterator, Sequence
from typing import Final
from uuid import UUID

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.findings import Finding
from leakmap.base.measures import Units
from leakmap.console.bar import Bar
from leakmap.console.joint_words import add_joint_words, as_joint_of, least_of
from leakmap.console.opened import for_change, for_looking, sheet_called
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser, a_point
from leakmap.console.schedule_text import columns, findings_text
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet
from leakmap.records.job_file import JobFile
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.taking import take_proposals
from leakmap.work.here import now, user
from leakmap.work.job_drawings import as_read
from leakmap.work.outline import outline_round
from leakmap.work.proposals import OUTLINE, Proposal, lines_on, long_enough, lying_on, proposed_by_layer, too_short
from leakmap.work.snap_drawing import drawing_places

_EXAMPLE: Final = """\
  leakmap trace pit.gpkg --sheet B2 --layer JOINTS
  leakmap trace pit.gpkg --sheet B2 --layer WALLS --kind wall-base --face corner --take
  leakmap trace pit.gpkg --sheet B2 --outline 12500,3000 --kind wall-base --take 1

Lines of a layer that meet at their ends are chained; --outline takes what closes round a place of the drawing, given
in its own units. Without --take they are only listed. --take takes all that lie on no joint yet; --take 1,3-5 takes
those of the list, in one step that the window can undo. A line lies on joints when 80 % of it comes within 20 mm of
joints of the same face and height."""

_RIGHT: Final = frozenset({0, 2})
_MOST_NUMBER: Final = 1_000_000


def parser() -> Parser:
    """Its command line."""
    found = Parser("trace", "List the joints that lines of a drawing would make, and take them.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--sheet", required=True, metavar="S", help="name of the sheet")
    found.add_argument("--layer", action="append", default=[], metavar="NAME", help="a layer; as often as you like")
    found.add_argument(
        "--outline",
        action="append",
        default=[],
        type=a_point,
        metavar="X,Y",
        help="a place inside a closed outline, of lines of the layers given, else of all that show",
    )
    add_joint_words(found)
    found.add_argument(
        "--take", nargs="?", const=(), type=_numbers, metavar="N,N-N", help="take them: all, or those of the list"
    )
    return found


def run(words: Namespace) -> Outcome:
    """List what is proposed, and take what is asked for."""
    if not words.layer and not words.outline:
        raise BadValue("Nothing to trace is given; give --layer or --outline. Nothing was changed.")
    as_joint = as_joint_of(words)
    opened = for_looking if words.take is None else for_change
    with opened(words.job, at=now()) as file:
        sheet = sheet_called(file.job, words.sheet)
        every, noticed = _proposed(words, file, file.job.sheets[sheet])
        proposals = long_enough(every, least_of(words))
        on = lying_on(file.job, sheet, proposals, as_joint)
        findings = (*noticed, *too_short(every, least_of(words), file.job.units), *_twins(on))
        chosen = _chosen(words, proposals, on)
        edit = take_proposals(file.job, sheet=sheet, proposals=chosen, as_joint=as_joint) if chosen else None
        if edit is not None:
            file.save(edit.job, words=edit.words, user=user(), at=now())
        print("\n".join(_report(file.job, sheet, proposals, on, edit)))
    print("\n".join(findings_text(findings)), end="\n" if findings else "")
    return done(findings)


def _proposed(words: Namespace, file: JobFile, sheet: Sheet) -> tuple[list[Proposal], list[Finding]]:
    """What layers and outlines propose, each line once, and what was noticed on the way."""
    if sheet.source is None:
        raise BadValue(f"{sheet.name} has no drawing, so there are no lines to trace. Nothing was changed.")
    found: list[Proposal] = []
    noticed: list[Finding] = []
    with Bar() as bar:
        drawing = as_read(file, sheet.source, progress=bar)
        for layer in dict.fromkeys(words.layer):
            proposals, said = proposed_by_layer(drawing, sheet.placement, layer, progress=bar)
            found += proposals
            noticed += said
    found += _outlines(words, drawing, sheet)
    return found, noticed


def _outlines(words: Namespace, drawing: Drawing, sheet: Sheet) -> Iterator[Proposal]:
    if words.outline:
        layers = tuple(words.layer)
        lines = lines_on(drawing, sheet.placement, layers) if layers else drawing_places(drawing, sheet).lines
        paths = [outline_round(lines, sheet.placement.to_site(place)) for place in words.outline]
        yield from (Proposal(path, OUTLINE) for path in dict.fromkeys(paths))


def _twins(on: Sequence[tuple[str, ...]]) -> Iterator[Finding]:
    for number, refs in enumerate(on, start=1):
        if refs:
            yield Finding("lies-on", refs[0], f"Line {number} of the list lies on {' and '.join(refs)} already.")


def _chosen(words: Namespace, proposals: Sequence[Proposal], on: Sequence[tuple[str, ...]]) -> list[Proposal]:
    """What is taken; nothing where it was not asked for.

    Raises:
        BadValue: A number is not in the list, or nothing is left to take.
    """
    if words.take is None:
        return []
    beyond = [number for number in words.take if number > len(proposals)]
    if beyond:
        raise BadValue(f"The list has {many(len(proposals), 'line')}, so there is no {beyond[0]}. Nothing was changed.")
    numbers = words.take or range(1, len(proposals) + 1)
    chosen = [proposals[number - 1] for number in numbers if words.twice or not on[number - 1]]
    if not chosen:
        why = "lies on a joint already; give --twice to take it all the same" if proposals else "is proposed"
        raise BadValue(
            f"There is nothing to take: {'every line' if proposals else 'nothing'} {why}. Nothing was changed."
        )
    return chosen


def _report(
    before: Job, sheet: UUID, proposals: Sequence[Proposal], on: Sequence[tuple[str, ...]], edit: Edit | None
) -> Iterator[str]:
    total_m, units = sum(proposal.path.length_m for proposal in proposals), before.units
    yield f"{before.sheets[sheet].name}: {many(len(proposals), 'joint')} proposed, {units.printed(total_m)}."
    rows = [
        (
            str(number),
            proposal.origin,
            units.measured(proposal.path.length_m),
            _course(units, proposal),
            " and ".join(refs),
        )
        for number, (proposal, refs) in enumerate(zip(proposals, on, strict=True), start=1)
    ]
    if rows:
        yield from (
            f"  {line}"
            for line in columns([("no", "from", units.heading("length m"), "course", "lies on"), *rows], _RIGHT)
        )
    if edit is None:
        yield "Nothing was changed; give --take to take them."
        return
    refs = [edit.job.joints[key].ref for key in edit.made]
    named = f"{refs[0]} to {refs[-1]}" if len(refs) > 2 else " and ".join(refs)
    yield f"Taken: {named}."


def _course(units: Units, proposal: Proposal) -> str:
    path = proposal.path
    ends = [units.place(*point) for point in (path.points[0], path.points[-1])]
    return f"closed, from {ends[0]}" if path.closed else f"{ends[0]} to {ends[1]}"


def _numbers(text: str) -> tuple[int, ...]:
    """Numbers such as 1,3-5, rising and each once."""
    found: set[int] = set()
    for part in text.split(","):
        first, _, last = part.partition("-")
        ends = first, last or first
        if not all(end.isdecimal() and 0 < int(end) <= _MOST_NUMBER for end in ends) or int(ends[0]) > int(ends[1]):
            raise ArgumentTypeError(f'"{text}" are no numbers of a list; write them such as 1,3-5')
        found.update(range(int(ends[0]), int(ends[1]) + 1))
    return tuple(sorted(found))

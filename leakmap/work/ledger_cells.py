"""What can be typed in a cell of the ledger: each cell's deed, what it takes, what can be chosen, and for how many rows.

What was typed becomes the deed that it means, or one sentence says why not. Where several rows are picked, a cell
that may be the same for all of them is set on all, as one step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final
from uuid import UUID

from leakmap.base.counted import many
from leakmap.base.errors import EditRefused
from leakmap.base.length_text import metres_of
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.printed import raw_m
from leakmap.model.revision import Begun
from leakmap.model.words import Face, Kind, Method, Purpose, Wetness
from leakmap.repair.results import Repairs, Zone
from leakmap.work.check_list import Where
from leakmap.work.edits.edit import Edit, in_turn, leak_of, refused, together
from leakmap.work.edits.facts import set_face, set_kind, set_rise
from leakmap.work.edits.joints import rename_joint
from leakmap.work.edits.leaks import move_leak_ends, set_seen, set_wetness
from leakmap.work.edits.sheets import rename_sheet
from leakmap.work.ledger_lines import Line
from leakmap.work.typed import day_of
from leakmap.work.zone_deeds import give_zone_back, move_zone_end, set_zone_method, set_zone_overrun

Choices = Mapping[str, str]
"""Words to choose from, by the key that stands for each."""

Deed = Callable[[Job, Repairs, Where, str], Edit]

BY_RULES: Final = "by the rules"
WETNESSES: Final[Choices] = {str(int(wetness)): wetness.word for wetness in Wetness}
_KINDS: Final[Choices] = {str(number): kind.value for number, kind in enumerate(Kind, 1)}
_FACES: Final[Choices] = {key: face.value for key, face in zip("7890", Face, strict=True)}
_METHODS: Final[Choices] = {str(number): words for number, words in enumerate((BY_RULES, *Method))}
_PURPOSES: Final[Choices] = {purpose.letter.lower(): f"for {purpose}" for purpose in Purpose}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell that can be typed in.

    Attributes:
        deed: What its words mean.
        takes: What it takes, for whoever does not know.
        choices: What can be chosen.
        together: What it is called when it is set on several rows at once; empty: each row has its own.
        figure: Whether a figure or a day is typed, not words.
    """

    deed: Deed
    takes: str = ""
    choices: Choices = field(default_factory=dict)
    together: str = ""
    figure: bool = False


def cell_of(line: Line, column: str) -> Cell | None:
    """What can be typed in a cell of a row; None where nothing can.

    The draft of a revision has cells too, but its words are for ``begun_as_typed``.
    """
    if line.draft:
        return _DRAFT.get(column)
    if line.where is None or line.elsewhere:
        return None
    if (line.where.sort, column) == ("joint", "length") and not line.upright:
        return None
    return _CELLS.get((line.where.sort, column))


def choices_shown(job: Job, cell: Cell) -> Choices:
    """What can be chosen in a cell, in the words of the job's trade."""
    return {key: in_trade_words(job.units, words) for key, words in cell.choices.items()}


def edit_of(job: Job, repairs: Repairs, rows: Sequence[Where], column: str, words: str) -> Edit:
    """The deed that typed words mean in a cell, for every one of some rows of one sort.

    Raises:
        LeakmapError: The words cannot be read, or the deed cannot be done on one of the rows; none is done then.
    """
    cell = _CELLS[rows[0].sort, column]

    def typed(row: Where, job: Job) -> Edit:
        return cell.deed(job, repairs, row, words.strip())

    if len(rows) == 1:
        return typed(rows[0], job)
    return together(
        in_turn(job, (partial(typed, row) for row in rows)),
        words=f"set {cell.together} of {many(len(rows), rows[0].sort)}",
    )


def begun_as_typed(begun: Begun, column: str, words: str) -> Begun:
    """The revision that is being made, with what was typed in one of its cells.

    Raises:
        EditRefused: It is no purpose.
    """
    if column == "whom":
        return replace(begun, to_whom=words.strip())
    key = chosen(_PURPOSES, words, "purpose")
    return replace(begun, purpose=next(purpose for purpose in Purpose if purpose.letter.lower() == key))


def chosen(choices: Choices, typed: str, what: str, more: str = "") -> str:
    """The key of what was typed: a key, the word itself, or as much of its beginning as no other has.

    >>> chosen(WETNESSES, "3", "wetness"), chosen(WETNESSES, "Je", "wetness")
    ('3', '5')

    Raises:
        EditRefused: It is none of them, or could be several.
    """
    found = meant(choices, typed)
    if len(found) == 1:
        return found[0]
    listed = ", ".join(f"{key} {words}" for key, words in choices.items())
    if found:
        listed = " or ".join(choices[key] for key in found)
        raise refused(f"“{typed.strip()}” could be {listed}; type more of it.")
    raise refused(f"“{typed.strip()}” is no {what}; type {listed}{more}.")


def meant(choices: Choices, typed: str) -> tuple[str, ...]:
    """Keys of what half-typed words could mean; all of them where nothing is typed."""
    words = " ".join(typed.split()).casefold()
    if words in choices:
        return (words,)
    whole = tuple(key for key, word in choices.items() if word.casefold() == words)
    return whole or tuple(key for key, word in choices.items() if word.casefold().startswith(words))


def _level(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return rename_sheet(job, sheet=_id(row), name=words)


def _joint(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return rename_joint(job, joint=_id(row), ref=words)


def _kind(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    """A kind, or a face."""
    choices = {key: in_trade_words(job.units, word) for key, word in {**_KINDS, **_FACES}.items()}
    key = chosen(choices, words.casefold().removeprefix("vertical, "), "kind or face")
    if key in _FACES:
        return set_face(job, joint=_id(row), face=Face(_FACES[key]))
    return set_kind(job, joint=_id(row), kind=Kind(_KINDS[key]))


def _rise(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return set_rise(job, joint=_id(row), rise_m=float(metres_of(words, job.units)))


def _from(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return move_leak_ends(job, leak=_id(row), from_m=_raw_m(job, row, words))


def _to(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return move_leak_ends(job, leak=_id(row), to_m=_raw_m(job, row, words))


def _length(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    """Where it starts stays; its end moves."""
    return move_leak_ends(job, leak=_id(row), to_m=_leak(job, row).from_m + float(metres_of(words, job.units)))


def _wetness(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return set_wetness(job, leak=_id(row), wetness=Wetness(int(chosen(WETNESSES, words, "wetness"))))


def _seen(job: Job, _repairs: Repairs, row: Where, words: str) -> Edit:
    return set_seen(job, leak=_id(row), seen=day_of(words, job.units.locale) if words else None)


def _method(job: Job, repairs: Repairs, row: Where, words: str) -> Edit:
    choices = {key: in_trade_words(job.units, word) for key, word in _METHODS.items()}
    number = int(chosen(choices, words, "method"))
    return set_zone_method(job, _zone(repairs, row), tuple(Method)[number - 1] if number else None)


def _rule(job: Job, repairs: Repairs, row: Where, words: str) -> Edit:
    """An overrun by hand, or back to the rules."""
    zone = _zone(repairs, row)
    if words.casefold() in ("", "0", "by rule", "by the rules"):
        return give_zone_back(job, zone)
    return set_zone_overrun(job, zone, float(metres_of(words, job.units)))


def _zone_from(job: Job, repairs: Repairs, row: Where, words: str) -> Edit:
    return _zone_end(job, repairs, row, words, first=True)


def _zone_to(job: Job, repairs: Repairs, row: Where, words: str) -> Edit:
    return _zone_end(job, repairs, row, words, first=False)


def _zone_end(job: Job, repairs: Repairs, row: Where, words: str, *, first: bool) -> Edit:
    """The chainage alone, or behind the joint that the cell says."""
    zone = _zone(repairs, row)
    if not zone.rows:
        raise refused(f"{zone.ref} is hidden as a whole, so no end of it can be moved.")
    joint = job.joints[zone.rows[0 if first else -1].joint]
    at = words.casefold().removeprefix(joint.ref.casefold()).strip()
    return move_zone_end(job, zone, metres_of(at, job.units), first=first)


def _id(row: Where) -> UUID:
    assert isinstance(row.key, UUID)
    return row.key


def _leak(job: Job, row: Where) -> Leak:
    return leak_of(job, _id(row))


def _zone(repairs: Repairs, row: Where) -> Zone:
    found = next((zone for zone in repairs.zones if zone.number == row.key), None)
    if found is None:
        raise refused("This zone is not in the job any more.")
    return found


def _raw_m(job: Job, row: Where, words: str) -> float:
    """A printed chainage as typed, from the joint's first point."""
    return raw_m(job, job.joints[_leak(job, row).joint], metres_of(words, job.units))


def _never(_job: Job, _repairs: Repairs, _row: Where, _words: str) -> Edit:
    raise EditRefused("A revision that is being made is no part of the job yet.")


_CELLS: Final[Mapping[tuple[str, str], Cell]] = {
    ("sheet", "level"): Cell(deed=_level, takes="the name of the level"),
    ("joint", "ref"): Cell(deed=_joint, takes="the reference of the joint"),
    ("joint", "kind"): Cell(
        deed=_kind, takes="a kind, or a face", choices={**_KINDS, **_FACES}, together="kind or face"
    ),
    ("joint", "length"): Cell(deed=_rise, takes="how high it rises", together="rise", figure=True),
    ("leak", "from"): Cell(deed=_from, takes="the chainage where it starts", figure=True),
    ("leak", "to"): Cell(deed=_to, takes="the chainage where it stops", figure=True),
    ("leak", "length"): Cell(deed=_length, takes="its length; where it starts stays", figure=True),
    ("leak", "wetness"): Cell(deed=_wetness, takes="how wet it is", choices=WETNESSES, together="wetness"),
    ("leak", "seen"): Cell(
        deed=_seen, takes="a day such as 2 Nov 2026; empty: not known", together="day seen", figure=True
    ),
    ("zone", "method"): Cell(deed=_method, takes="how it is repaired", choices=_METHODS, together="method"),
    ("zone", "rule"): Cell(
        deed=_rule, takes="an overrun by hand", choices={"0": BY_RULES}, together="overruns", figure=True
    ),
    ("zone", "from"): Cell(deed=_zone_from, takes="the chainage where it starts", figure=True),
    ("zone", "to"): Cell(deed=_zone_to, takes="the chainage where it stops", figure=True),
}

_DRAFT: Final[Mapping[str, Cell]] = {
    "whom": Cell(deed=_never, takes="to whom it will go"),
    "what": Cell(deed=_never, takes="what it is for", choices=_PURPOSES),
}

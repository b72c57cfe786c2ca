"""Everything that can be done wherever the user is, as data: its words, its key, what it does.

The window makes its keys from this table and the find box lists it, together with the buttons of every stage
(``leakmap.desk.tools.table``). Something new that can be done is one line here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from leakmap.base.measures import Units
from leakmap.desk.beside import BESIDE_KEYS, LEDGER, TAPE
from leakmap.desk.ledger.answers import take
from leakmap.desk.taking import brings_first_drawing
from leakmap.desk.things import TABLES, Declared, Stage
from leakmap.desk.tools.table import ACTIONS
from leakmap.desk.tools.tool import Action
from leakmap.work.edits.rules import set_units
from leakmap.work.settings import Contrast, Role, Theme

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow

Deed = Callable[["MainWindow"], object]
Asked = Callable[["MainWindow"], bool]


def _always(_window: MainWindow) -> bool:
    return True


def with_job(window: MainWindow) -> bool:
    """Whether a job is open."""
    return window.desk.open_job is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Doing:
    """Something that can be done.

    Attributes:
        words: What it is called: "Undo".
        key: Its key as Qt writes it, such as "Ctrl+Z"; empty for none.
        other_key: One that hands know for the same from other programs; empty for none.
        also: Other words that it is found by.
        do: Does it.
        when: Whether it can be done now; where not, it is not listed.
        bound: Whether the window binds the key; else a pane does, or it is said for the reader alone.
    """

    words: str
    do: Deed
    key: str = ""
    other_key: str = ""
    also: str = ""
    when: Asked = _always
    bound: bool = True


def _setting(name: str, value: bool | str, words: str, also: str = "") -> Doing:  # noqa: FBT001 - a value of a setting
    """A setting that is not as the words say it."""
    return Doing(
        words=words,
        also=f"settings {also}",
        do=lambda window: window.desk.change_setting(name, value),
        when=lambda window: getattr(window.desk.settings, name) != value,
    )


def _units(units: Units) -> Doing:
    """The units of the job, where they are others."""

    def do(window: MainWindow) -> None:
        job = window.desk.job
        if job is not None and window.desk.may_change():
            window.desk.attempt(lambda: window.desk.do(set_units(job, units=units)))

    return Doing(
        words=f"{units.system.capitalize()} units",
        also=f"{units.words} inches measure",
        do=do,
        when=lambda window: window.desk.job is not None and window.desk.job.units.system is not units.system,
    )


def _stage(stage: Stage) -> Doing:
    return Doing(
        words=f"Go to {stage.title}",
        key=f"Ctrl+{stage.value}",
        also="stage",
        do=lambda window: window.desk.go_to(stage),
    )


def _sheet(which: Declared, words: str, also: str) -> Doing:
    """A sheet of the job, laid in the plan's place or put away again."""
    return Doing(words=words, also=also, do=lambda window: window.desk.turn(which), when=with_job)


def _table(which: Declared, also: str) -> Doing:
    """The table in a file that such a sheet is taken from."""

    def do(window: MainWindow) -> None:
        from leakmap.desk.table_in import choose_table  # noqa: PLC0415 - late

        choose_table(window.desk, which, window)

    return Doing(words=TABLES[which], also=also, do=do, when=with_job)


def _say_saved(window: MainWindow) -> None:
    """Say that nothing need be saved, or why the disk does not take it; it saves by itself."""
    open_job = window.desk.open_job
    if open_job is None:
        return
    if open_job.look_only:
        window.desk.said.emit(open_job.only_to_look)
    else:
        window.desk.said.emit(open_job.unsaved or "Every change is on disk already; there is nothing to save.")


def _ask_water(window: MainWindow) -> None:
    from leakmap.desk.tools.level_facts import ask_water  # noqa: PLC0415 - late

    ask_water(window.desk)


def _take_field_table(window: MainWindow) -> None:
    from leakmap.desk.field_table import take_field_table  # noqa: PLC0415 - late

    take_field_table(window.desk)


EVERYWHERE: Final[tuple[Doing, ...]] = (
    Doing(
        words="Undo",
        key="Ctrl+Z",
        also="take back step",
        do=lambda window: window.desk.attempt(window.desk.undo),
        when=lambda window: window.stage_line.undo.isEnabled(),
    ),
    Doing(
        words="Redo",
        key="Ctrl+Shift+Z",
        other_key="Ctrl+Y",
        also="do again step",
        do=lambda window: window.desk.attempt(window.desk.redo),
        when=lambda window: window.stage_line.redo.isEnabled(),
    ),
    *map(_stage, Stage),
    Doing(
        words="Find or do",
        key="Ctrl+K",
        other_key="Ctrl+F",
        also="search look for",
        do=lambda window: window.finder.take_keyboard(),
    ),
    Doing(words="Say more of this", key="F1", also="help explain tool stage how", do=lambda window: window.explain()),
    Doing(
        words="Plan only",
        key="F11",
        also="full screen tablet hide show ledger tape",
        do=lambda window: window.beside.show_plan_only(),
        when=with_job,
    ),
    Doing(
        words="Ledger beside the plan",
        key=BESIDE_KEYS[LEDGER],
        also="show hide rows list schedule",
        do=lambda window: window.beside.turn(LEDGER),
        when=with_job,
    ),
    Doing(
        words="Tape under the plan",
        key=BESIDE_KEYS[TAPE],
        also="show hide joint laid out",
        do=lambda window: window.beside.turn(TAPE),
        when=with_job,
    ),
    Doing(words="Next pane", key="F6", also="keyboard focus", do=lambda window: window.next_pane(1)),
    Doing(words="Previous pane", key="Shift+F6", also="keyboard focus", do=lambda window: window.next_pane(-1)),
    Doing(
        words="All of the plan",
        key="Home",
        also="fit zoom whole",
        do=lambda window: window.plan.fit(),
        when=with_job,
        bound=False,
    ),
    Doing(
        words="Ground water",
        also="water level outside pressure datum",
        do=_ask_water,
        when=with_job,
    ),
    Doing(
        words="Take a field table in",
        also="field sheets filled spreadsheet csv leaks import",
        do=_take_field_table,
        when=with_job,
    ),
    Doing(
        words="Level above",
        key="PgUp",
        also="up floor",
        do=lambda window: window.change_level(-1),
        when=with_job,
        bound=False,
    ),
    Doing(
        words="Level below",
        key="PgDown",
        also="down floor",
        do=lambda window: window.change_level(1),
        when=with_job,
        bound=False,
    ),
    Doing(
        words="Count the whole job",
        also="totals sum",
        do=lambda window: window.desk.count_whole_job(True),
        when=lambda window: with_job(window) and not window.desk.whole_job,
    ),
    Doing(
        words="Count this level",
        also="totals sum",
        do=lambda window: window.desk.count_whole_job(False),
        when=lambda window: with_job(window) and window.desk.whole_job,
    ),
    Doing(words="New job", key="Ctrl+N", also="close start", do=lambda window: window.sitting.close(), when=with_job),
    Doing(words="Open a job", key="Ctrl+O", also="file", do=lambda window: window.start.choose_job()),
    Doing(words="Save", key="Ctrl+S", also="keep store disk", do=_say_saved, when=with_job),
    Doing(
        words="Find in old jobs",
        also="register site warranty year zone search",
        do=lambda window: window.old_jobs.open(),
    ),
    Doing(words="Look round a sample job", also="demo example", do=lambda window: window.sitting.look_round()),
    Doing(
        words="First job, step by step",
        also="guide help learn begin lead sample",
        do=lambda window: window.leading.begin(),
        when=lambda window: not window.leading.guide.leads,
    ),
    Doing(
        words="Leave the first job",
        also="guide help end stop",
        do=lambda window: window.leading.guide.leave(),
        when=lambda window: window.leading.guide.leads,
    ),
    Doing(
        words="Settings",
        key="Ctrl+,",
        also="preferences",
        do=lambda window: window.desk.turn(Declared.SETTINGS),
    ),
    Doing(
        words="What is new",
        also="changes release version",
        do=lambda window: window.desk.turn(Declared.CHANGES),
    ),
    _sheet(
        Declared.RULES,
        "Rules of this job",
        "overrun bridge slot depth settings facts name locale owner approver north",
    ),
    _sheet(
        Declared.MATERIALS,
        "Materials of this job",
        "powder water batches mix pot life bag coverage slurry plug dry-pack mortar",
    ),
    _table(Declared.MATERIALS, "own materials toml powder"),
    _sheet(Declared.RATES, "Rates of this job", "price cost money currency estimate sum tax per metre foot"),
    _table(Declared.RATES, "own prices toml currency"),
    *map(_units, Units.EACH),
    *(_setting("role", role, f"Columns for {role.value}", "role ledger") for role in Role),
    _setting("theme", Theme.DARK, "Dark theme", "colours night"),
    _setting("theme", Theme.LIGHT, "Light theme", "colours day"),
    _setting("theme", Theme.SYSTEM, "Theme as the system", "colours"),
    _setting("contrast", Contrast.HIGH, "High contrast", "colours eyes"),
    _setting("contrast", Contrast.NORMAL, "Normal contrast", "colours eyes"),
    _setting("glove_mode", True, "Glove mode on", "touch tablet fingers large"),
    _setting("glove_mode", False, "Glove mode off", "touch tablet fingers large"),
    _setting("letter_keys", False, "Letter keys off", "single alt shortcuts keyboard"),
    _setting("letter_keys", True, "Letter keys on", "single alt shortcuts keyboard"),
)
"""What can be done in every stage, in the order in which it is listed."""


_ALSO: Final = {
    (Stage.DRAWING, "I"): "file dxf dwg pdf scan photo floor plan",
    (Stage.DRAWING, "S"): "known length true size metres feet straighten lay flat photo",
    (Stage.DRAWING, "G"): "axes axis bubbles bays",
    (Stage.DRAWING, "N"): "floor storey slab lay over",
    (Stage.DRAWING, "L"): "hide show faint crop letters",
    (Stage.JOINTS, "J"): "line kind face",
    (Stage.JOINTS, "F"): "trace layer outline",
    (Stage.JOINTS, "V"): "upright rise riser",
    (Stage.JOINTS, "B"): "corner move joint",
    (Stage.JOINTS, "S"): "cut divide joint two",
    (Stage.JOINTS, "C"): "join merge one joint",
    (Stage.LEAKS, "L"): "mark wet water damp seep drip run jet suspect",
    (Stage.LEAKS, "W"): "flow highest relief",
    (Stage.LEAKS, "P"): "picture image camera evidence",
    (Stage.LEAKS, "F"): "blank strips paper table leaks write site crew filled spreadsheet",
    (Stage.REPAIR, "O"): "extension past end zone",
    (Stage.REPAIR, "M"): "slot plug relief depth zone",
    (Stage.REPAIR, "K"): "part divide cut zone merge",
    (Stage.REPAIR, "R"): "pipe drain water zone",
    (Stage.REPAIR, "P"): "rates cost money currency estimate sum",
    (Stage.ISSUE, "C"): "list look scale provisional",
    (Stage.ISSUE, "R"): "begin price work",
    (Stage.ISSUE, "D"): "dxf preview plan paper",
    (Stage.ISSUE, "S"): "pdf preview paper",
    (Stage.ISSUE, "P"): "pdf preview paper drawings sheets setting-out",
    (Stage.ISSUE, "I"): "seal send papers price work",
    (Stage.ISSUE, "A"): "safety dust danger warning engineer",
}
"""Words besides its label by which a button is found."""


def _of_stage(action: Action) -> Doing:
    """A button of a stage, taken from wherever the user is."""

    def do(window: MainWindow) -> None:
        if window.desk.open_job is not None:
            take(window.desk, action.stage, action.key)
        elif brings_first_drawing(action):
            window.sitting.choose_drawing()

    return Doing(
        words=action.label,
        key=f"Ctrl+{action.stage.value}, {action.key}",
        also=f"{action.stage.title} {_ALSO.get((action.stage, action.key), '')}",
        do=do,
        when=lambda window: window.desk.open_job is not None or brings_first_drawing(action),
        bound=False,
    )


def all_doings() -> Iterator[Doing]:
    """Everything that can be done: the buttons of every stage, then what belongs to none."""
    yield from map(_of_stage, ACTIONS)
    yield from EVERYWHERE

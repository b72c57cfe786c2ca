"""The settings of a person, each declared once: name, title, default, choices or limits, and one sentence.

A setting is about the hand and the eye of who works here, never about a job: what a job is worked out by are its
rules (``leakmap.model.rules``), and what a new job starts with is copied into it. The sheet of settings in the window,
``leakmap settings`` in a shell and the check of what a file says are all made from this declaration.
``leakmap.work.kept_settings`` keeps them from one start to the next.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from typing import Any, Final, TypeAlias

from leakmap.base.errors import BadValue
from leakmap.base.locales import locale_named
from leakmap.base.measures import System, Units
from leakmap.issue.schedule_pdf.paper import LARGEST_BY_DEFAULT, SHEET_NAMES


class Theme(StrEnum):
    """Which colours the window has; what is printed is always light."""

    SYSTEM = "as the system"
    LIGHT = "light"
    DARK = "dark"


class Contrast(StrEnum):
    """How strongly the window's colours stand apart."""

    SYSTEM = "as the system"
    NORMAL = "normal"
    HIGH = "high"


class NewUnits(StrEnum):
    """In what a new job is read."""

    SYSTEM = "as the system"
    METRIC = System.METRIC.value
    IMPERIAL = System.IMPERIAL.value

    def on(self, system: Units) -> Units:
        """The units of a new job on a computer whose system measures in some.

        >>> NewUnits.SYSTEM.on(Units.IMPERIAL).metric, NewUnits.METRIC.on(Units.IMPERIAL).metric
        (False, True)
        """
        return system if self is NewUnits.SYSTEM else Units(System(self.value))


class Role(StrEnum):
    """Who looks: chooses the ledger's columns and nothing else."""

    ESTIMATOR = "estimator"
    ENGINEER = "site engineer"
    ARCHIVIST = "archivist"


class Group(StrEnum):
    """What a setting is about: the heading that it stands under."""

    EYE = "What is seen"
    HAND = "The hand"
    NEW_JOB = "New jobs"
    PERSON = "Who works here"


class Form(StrEnum):
    """How a setting is given."""

    SWITCH = "switch"
    CHOICE = "choice"
    NUMBER = "number"
    TEXT = "text"
    LOCALE = "locale"
    FOLDER = "folder"


PAPER_OF_UNITS: Final = "by the units"
USUAL_PAPER: Final = {System.METRIC: LARGEST_BY_DEFAULT, System.IMPERIAL: "ARCH D"}
"""Largest paper of a job where nobody said another: common practice, no published source."""

Value: TypeAlias = bool | int | str
"""What a setting may be; a choice is a string."""

_ON_OFF: Final = {"on": True, "off": False}
_LONGEST_TEXT: Final = 120
_LONGEST_FOLDER: Final = 1000


def _setting(default: Any, group: Group, title: str, words: str, **more: Any) -> Any:  # noqa: ANN401 - a field stands for a value of any type
    return field(default=default, metadata={"group": group, "title": title, "words": words, **more})


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The settings of one person. Each field's metadata hold what ``Setting`` tells."""

    theme: Theme = _setting(Theme.SYSTEM, Group.EYE, "Theme", "Colours of the window; what is printed is always light.")
    contrast: Contrast = _setting(
        Contrast.SYSTEM, Group.EYE, "Contrast", "High draws everything in full ink and dims nothing."
    )
    text_percent: int = _setting(
        100,
        Group.EYE,
        "Text size",
        "Size of everything that is read, from usual to double.",
        limits=(100, 200),
        step=25,
        unit="%",
    )
    role: Role = _setting(
        Role.ESTIMATOR, Group.EYE, "Columns for", "Whose columns the ledger shows; nothing is locked."
    )
    glove_mode: bool = _setting(
        False, Group.HAND, "Glove mode", "Larger controls for gloves and fingers, with buttons for what keys do."
    )
    letter_keys: bool = _setting(
        True,
        Group.HAND,
        "Letter keys",
        "Off: the letter on a button takes it with Alt only, so that no slip does anything.",
    )
    snap_px: int = _setting(
        14,
        Group.HAND,
        "Catch within",
        "How near to a place the pointer is caught on it; twice that in glove mode.",
        limits=(4, 40),
        step=2,
        unit="px",
    )
    units: NewUnits = _setting(
        NewUnits.SYSTEM, Group.NEW_JOB, "Units", "In what the lengths of a new job are shown and typed."
    )
    locale: str = _setting(
        "",
        Group.NEW_JOB,
        "Locale",
        "How a new job writes figures and days, such as de or en-US; empty: as 1234.50 and 02 Nov 2026.",
        form=Form.LOCALE,
    )
    legal_owner: str = _setting(
        "", Group.NEW_JOB, "Legal owner", "Who owns the papers of a new job before the law; title blocks name them."
    )
    approver: str = _setting(
        "", Group.NEW_JOB, "Approved by", "Who approves the papers of a new job; title blocks name them."
    )
    paper: str = _setting(
        PAPER_OF_UNITS,
        Group.NEW_JOB,
        "Largest paper",
        f"Largest paper that the office prints, for a new job; by its units {USUAL_PAPER[System.METRIC]}, or "
        f"{USUAL_PAPER[System.IMPERIAL]} where it is in feet.",
        choices=(*SHEET_NAMES, PAPER_OF_UNITS),
    )
    jobs_folder: str = _setting(
        "",
        Group.NEW_JOB,
        "Folder of jobs",
        "Where new jobs are kept; empty: the folder that was used last.",
        form=Form.FOLDER,
    )
    user_name: str = _setting(
        "", Group.PERSON, "Name", "Written beside each deed in the job file; empty: the name that the computer knows."
    )
    remember: bool = _setting(
        True,
        Group.PERSON,
        "Remember",
        "Recent jobs, folders and the window's layout; off: what was remembered is forgotten.",
    )

    def paper_for(self, units: Units) -> str:
        """The largest paper of a new job in some units.

        >>> DEFAULTS.paper_for(Units.IMPERIAL), Settings(paper="A3").paper_for(Units.IMPERIAL)
        ('ARCH D', 'A3')
        """
        return USUAL_PAPER[units.system] if self.paper == PAPER_OF_UNITS else self.paper

    def with_value(self, name: str, value: object) -> Settings:
        """With one setting changed.

        Raises:
            BadValue: There is no such setting, or it cannot be that.
        """
        return replace(self, **{name: setting_named(name).taken(value)})  # type: ignore[arg-type] # taken gives the field's type


DEFAULTS: Final = Settings()


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What is declared of one setting.

    Attributes:
        name: Its field in ``Settings``.
        title: What it is called, one to three words.
        words: One sentence: what it does.
        choices: What it may be; empty: any text, or any whole number within the limits.
        limits: Least and most of a number.
        step: By how much a number grows at one press.
        unit: Of a number.
    """

    name: str
    title: str
    words: str
    group: Group
    form: Form
    default: Value
    choices: tuple[str, ...] = ()
    limits: tuple[int, int] = (0, 0)
    step: int = 1
    unit: str = ""

    def taken(self, value: object) -> Value:
        """A value as the setting holds it.

        Raises:
            BadValue: It is of another type, none of the choices, or outside the limits.
        """
        match self.form:
            case Form.SWITCH if isinstance(value, bool):
                return value
            case Form.CHOICE if value in self.choices:
                return type(self.default)(value)
            case Form.NUMBER if _whole(value) and self.limits[0] <= value <= self.limits[1]:  # type: ignore[operator] # whole
                return int(value)  # type: ignore[call-overload, no-any-return] # whole
            case Form.TEXT | Form.FOLDER if isinstance(value, str) and _plain(value, self.form):
                return value.strip()
            case Form.LOCALE if isinstance(value, str):
                return locale_named(value)
        raise BadValue(f'The setting "{self.title}" cannot be {_shown(value)}; {self.may_be}.', where=self.name)

    @property
    def may_be(self) -> str:
        """What it may be, in words.

        >>> setting_named("text_percent").may_be
        'give a whole number from 100 to 200'
        """
        match self.form:
            case Form.NUMBER:
                return f"give a whole number from {self.limits[0]} to {self.limits[1]}"
            case Form.TEXT | Form.FOLDER:
                return "give a line of text"
            case Form.LOCALE:
                return "give a language such as de, or de-AT for a country"
        return f"give one of: {', '.join(self.choices)}"

    def read(self, text: str) -> Value:
        """The value that a text says.

        Raises:
            BadValue: It says none.

        >>> setting_named("glove_mode").read("on"), setting_named("snap_px").read("20 px")
        (True, 20)
        """
        words = text.strip()
        if self.form is Form.SWITCH:
            return self.taken(_ON_OFF.get(words.lower(), words))
        if self.form is Form.NUMBER:
            number = words.removesuffix(self.unit).strip()
            return self.taken(int(number) if number.isdecimal() and number.isascii() else words)
        return self.taken(words)

    def text_of(self, value: Value) -> str:
        """A value in words that ``read`` reads again.

        >>> setting_named("glove_mode").text_of(False), setting_named("text_percent").text_of(125)
        ('off', '125 %')
        """
        if self.form is Form.SWITCH:
            return "on" if value else "off"
        return f"{value} {self.unit}" if self.unit else str(value)


def setting_named(name: str) -> Setting:
    """What is declared of a setting.

    Raises:
        BadValue: There is no such setting.
    """
    found = next((setting for setting in DECLARED if setting.name == name), None)
    if found is None:
        raise BadValue(f'There is no setting "{name}"; there are: {", ".join(each.name for each in DECLARED)}.')
    return found


def _declared() -> tuple[Setting, ...]:
    found = []
    for item in fields(Settings):
        told = dict(item.metadata)
        default: Value = getattr(DEFAULTS, item.name)
        choices = told.pop("choices", None) or _choices_of(default)
        form = told.pop("form", None) or _form_of(default, choices)
        found.append(Setting(name=item.name, form=form, default=default, choices=choices, **told))
    return tuple(found)


def _choices_of(default: Value) -> tuple[str, ...]:
    if isinstance(default, StrEnum):
        return tuple(type(default))
    return tuple(_ON_OFF) if isinstance(default, bool) else ()


def _form_of(default: Value, choices: tuple[str, ...]) -> Form:
    if isinstance(default, bool):
        return Form.SWITCH
    if choices:
        return Form.CHOICE
    return Form.NUMBER if isinstance(default, int) else Form.TEXT


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _plain(text: str, form: Form) -> bool:
    """Whether a text is one printable line that is not endless."""
    return (not text or text.isprintable()) and len(text) <= (_LONGEST_FOLDER if form is Form.FOLDER else _LONGEST_TEXT)


def _shown(value: object) -> str:
    text = " ".join(str(value).split())
    return f'"{text[:40]}…"' if len(text) > 40 else f'"{text}"'


DECLARED: Final[tuple[Setting, ...]] = _declared()
"""Every setting, in the order in which they are listed."""

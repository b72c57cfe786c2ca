"""What every tool of the plan is: a small machine that turns clicks, keys and drags into deeds.

A tool never paints and never touches a pane. It is told what the hand does and says what should be
seen: a sentence for the next click, choices for the action strip, an overlay for the plan and a live
field. The first click of a tool never changes data; Esc steps back one click, Esc again leaves it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from leakmap.base.measures import Units
from leakmap.geometry.path import Point
from leakmap.work.catch import ANYTHING, Aim, Catch, Ray
from leakmap.work.hits import Target
from leakmap.work.staffs import Height

if TYPE_CHECKING:
    from leakmap.desk.state import Desk
    from leakmap.desk.things import Declared, Stage, Thing


@dataclass(frozen=True, slots=True, kw_only=True)
class Pointer:
    """Where the hand is.

    Attributes:
        at: Position that counts, metres of the site plane: the caught place, else where the pointer is.
        raw: Where the pointer is.
        catch: What it is caught on; None when nothing is near, or Ctrl is held.
        m_per_px: Metres of one pixel at the present zoom.
        shift: Whether Shift is held.
        ctrl: Whether Ctrl is held.
        double: Whether this press is the second of a double click.
        units: In what the job is read: what a hand means is a handy step in them.
        on: The place on a joint that it points at on the tape; None: it is on the plan.
    """

    at: Point
    raw: Point
    catch: Catch | None
    m_per_px: float
    shift: bool = False
    ctrl: bool = False
    double: bool = False
    units: Units = Units.METRIC
    on: Height | None = None


BESIDE_PX: Final = 12.0
"""How far the square of a handle stands from a line that is too short to be hidden by it: a staff."""


class Stroke(StrEnum):
    """How an overlay line looks."""

    LIVE = "live"  # being drawn right now: focus blue
    INK = "ink"
    MARKER = "marker"  # under a picked or pointed-at thing
    REPAIR = "repair"


class Grip(StrEnum):
    """A mark that can be dragged or stands for a place of the overlay."""

    END = "end"  # end handle: bar across and ink square; needs ``across``
    BEND = "bend"  # open square
    JUNCTION = "junction"  # dot
    RELIEF = "relief"


@dataclass(frozen=True, slots=True, kw_only=True)
class OverlayLine:
    """A line of the overlay, metres of the site plane."""

    points: tuple[Point, ...]
    stroke: Stroke = Stroke.LIVE
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OverlayGrip:
    """A grip of the overlay.

    Attributes:
        across: Unit vector along which its bar lies.
        beside: Whether the square of an end handle stands beside the line, ``BESIDE_PX`` along ``across``.
        on: Its place on a joint, where it has one.
        seen: Whether it is seen on the plan; else on the tape alone.
    """

    at: Point
    grip: Grip
    across: Point = (0.0, 1.0)
    picked: bool = False
    beside: bool = False
    on: Height | None = None
    seen: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveField:
    """The live measure: fields that typed digits go to.

    Attributes:
        at: Place that it stands beside, metres of the site plane.
        texts: What each field says, such as ("6.30", "90").
        units: What stands behind each, such as ("m", "°").
        active: Index of the field that digits go to.
        typed: Whether the active field holds typed digits (shown selected) rather than a measure.
    """

    at: Point
    texts: tuple[str, ...]
    units: tuple[str, ...]
    active: int = 0
    typed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """What a tool wants seen over the plan.

    Attributes:
        on: Places on joints that it means, for the tape.
    """

    lines: tuple[OverlayLine, ...] = ()
    grips: tuple[OverlayGrip, ...] = ()
    field: LiveField | None = None
    on: tuple[Height, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One cell of a row of choices in the action strip.

    Attributes:
        key: Key that takes it, such as "3".
        words: What stands below the sign, such as "3 drip".
        sign: Name of the sign that the strip draws: "wetness-3", "kind-crack"; empty for none.
        alt: Whether its letter always needs Alt, because letters are typed meanwhile.
    """

    key: str
    words: str
    sign: str = ""
    chosen: bool = False
    alt: bool = False
    take: Callable[[], None] = field(default=lambda: None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A line of words that a tool asks for in the action strip, where the live field would be too short.

    Attributes:
        name: What is asked for, such as "To whom".
        words: What stands in it when it is first shown.
        changed: Is told every change.
        entered: Is called at Enter.
    """

    name: str
    words: str = ""
    changed: Callable[[str], None] = field(default=lambda _words: None, compare=False)
    entered: Callable[[], None] = field(default=lambda: None, compare=False)


Catching = Callable[[Point, float], Catch | None]
"""What a place of the site is caught on within a radius in metres."""


class Tool:
    """Base of all tools: does nothing, and says so.

    Class attributes:
        name: Label on its button.
        key: Letter on its button.
        by_cross: Whether it points at places, so that arrow keys move a cross for it.
        along_joints: Whether it works at places along joints, so that vertical ones show their staffs.
    """

    name = ""
    key = ""
    by_cross = True
    along_joints = False

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def taken(self) -> None:
        """It became the tool in hand."""

    def dropped(self) -> None:
        """Another tool was taken; nothing half-done may stay."""

    def sentence(self) -> str:
        """What the next click does."""
        return ""

    def choices(self) -> tuple[Choice, ...]:
        """A row of choices for the action strip; empty for none."""
        return ()

    def ask(self) -> Ask | None:
        """A line of words to type in the action strip; None for none."""
        return None

    def overlay(self) -> Overlay:
        """What should be seen over the plan."""
        return Overlay()

    def so_far(self) -> str:
        """What is drawn so far, in words for who cannot see it; empty where the live field says it."""
        return ""

    def aim(self) -> Aim:
        """What it wants of the catching: what the plan passes to ``snap``."""
        return ANYTHING

    def own_catching(self) -> Catching | None:
        """What catches the pointer in the stead of the level's places, such as another drawing; None: those do."""
        return None

    def points_at(self) -> tuple[Target, ...]:
        """What the next click means, first things first, so that it is marked under the pointer; empty for none."""
        return ()

    def thing_at(self, pointer: Pointer) -> Thing | None:  # noqa: ARG002 - for tools to use
        """What of its own lies under the pointer, so that it is marked in every pane; None for nothing."""
        return None

    def moved(self, pointer: Pointer) -> None:
        """The pointer moved with no button down."""

    def pressed(self, pointer: Pointer) -> None:
        """The left button went down."""

    def dragged(self, pointer: Pointer) -> None:
        """The pointer moved with the left button down."""

    def released(self, pointer: Pointer) -> None:
        """The left button went up."""

    def typed(self, text: str) -> bool:  # noqa: ARG002 - for tools to use
        """A digit, sign, point or letter was typed on the plan; True when it was used."""
        return False

    def misread(self) -> str:
        """Why Enter cannot take what is typed, as a sentence; empty where it can."""
        return ""

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - for tools to use
        """Enter (with Ctrl: ``both``); True when it was used."""
        return False

    def tabbed(self) -> bool:
        """Tab; True when the live field went to its next part."""
        return False

    def erased(self) -> bool:
        """Backspace; True when it was used."""
        return False

    def deleted(self) -> bool:
        """Delete; True when it was used."""
        return False

    def nudging(self, across_m: float, up_m: float) -> bool:  # noqa: ARG002 - for tools to use
        """An arrow key is held: show what is picked moved so far in all; True when the move is kept by ``nudged``."""
        return False

    def nudged(self, across_m: float, up_m: float) -> bool:  # noqa: ARG002 - for tools to use
        """An arrow key moved the picked thing; True when it was used."""
        return False

    def ray(self, at: Point) -> Ray | None:  # noqa: ARG002 - for tools to use
        """Where Shift keeps a pointer that is at a place; None: anywhere."""
        return None

    @property
    def half_done(self) -> bool:
        """Whether a click stands that no deed has used and no preview shows; undo takes it back first."""
        return False

    def escaped(self) -> bool:
        """Esc; True when it stepped back one click, False when there was nothing to step back from."""
        return False

    def refresh(self) -> None:
        """Say that sentence, choices or overlay changed."""
        self.desk.tool_changed.emit()


ToolMaker = Callable[["Desk"], Tool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """A button of the action strip, as data.

    Attributes:
        tool: Makes the tool; None for an action that is done at once.
        run: What such an action does.
        lays: What it lays in the plan's place, and takes away again; None for an action of another sort.
        ready: Why it waits, as words for the button's tip; None when it can be used.
        longer: What F1 says of it: how it is used from the first click to the last, at most 330 characters.
        changes: Whether it changes the job, so that a job that can only be looked at says so instead.
    """

    stage: Stage
    key: str
    label: str
    longer: str
    tool: ToolMaker | None = None
    run: Callable[[Desk], None] | None = None
    lays: Declared | None = None
    ready: Callable[[Desk], str | None] = field(default=lambda _desk: None)
    changes: bool = True

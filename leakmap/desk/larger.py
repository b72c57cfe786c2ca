"""How much larger than usual everything is: the text size that a person chose, and glove mode.

Whatever is painted asks for it while it paints, as for the tokens in force. ``larger().changed`` is emitted when
it is another; the window then lays itself out anew.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from PySide6.QtCore import QObject, Signal

from leakmap.desk.tokens import BAND, BUTTON, LEDGER_LIMITS, UNIT, Sizes, sizes_at
from leakmap.work.settings import Settings

GLOVE_PX: Final = 48
"""Height of a control and of a row in glove mode."""

RING_ABOVE_PX: Final = 60.0
"""How far above a finger the ring sits, so that the finger does not hide it."""

_PICK_PX: Final = 10.0
_HANDLE_PX: Final = 12.0
_GLOVE_HANDLE_PX: Final = 22.0
_LEDGER_SHARE: Final = 0.45  # of the window, at most
_AIR: Final = 0.6  # of what letters grow by
_WITH_LETTERS: Final = ("levels", "tape_head", "ledger", "foot", "plan_type")
_WITH_AIR: Final = ("strip", "rail", "tape", "row_head", "row", "ledger_head", "totals")
"""What grows, and how; symbols are true to the paper, and types grow where they are set, but for those on the plan."""

_JOB_SHARE: Final = 0.25  # of what letters grow by: the stages keep room for their names
_FOOT_LINES: Final = 47  # a caption and two small lines
_TITLE: Final = 40  # of the ledger, over a row of words
_FIND_LESS: Final = 20  # of a narrow window: so much less air in the find box, for the names of the stages
_SECOND_LINE: Final = 12  # for a second line of what a stage says


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How near the hand must come to something, px.

    Attributes:
        catch_px: To a place that the pointer is caught on.
        pick_px: To a thing that is pointed at or picked.
        handle_px: To the middle of a handle: half the width of the room that it is hit in.
    """

    catch_px: float
    pick_px: float
    handle_px: float


def reach_of(settings: Settings) -> Reach:
    """The reach of a hand with these settings; a glove reaches twice as far.

    >>> reach_of(Settings()), reach_of(Settings(glove_mode=True)).catch_px
    (Reach(catch_px=14.0, pick_px=10.0, handle_px=12.0), 28.0)
    """
    if settings.glove_mode:
        return Reach(catch_px=2.0 * settings.snap_px, pick_px=_GLOVE_HANDLE_PX, handle_px=_GLOVE_HANDLE_PX)
    return Reach(catch_px=float(settings.snap_px), pick_px=_PICK_PX, handle_px=_HANDLE_PX)


class Larger(QObject):
    """What is in force.

    Signals: ``changed`` when it is another.

    Attributes:
        share: Text size as a share of the usual one, 1 to 2.
        glove: Whether controls are large enough for a glove.
    """

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.share, self.glove = 1.0, False

    @property
    def large(self) -> bool:
        """Whether letters are larger than usual, so that words may need more lines than one."""
        return self.share > 1.0

    def follow(self, settings: Settings) -> None:
        """Bring what settings ask for into force."""
        wanted = settings.text_percent / 100, settings.glove_mode
        if wanted != (self.share, self.glove):
            self.share, self.glove = wanted
            self.changed.emit()


@cache
def larger() -> Larger:
    """The one that is in force in the program."""
    return Larger()


def scaled(px: float) -> float:
    """A length that goes with the text size."""
    return px * larger().share


def airy(px: float) -> float:
    """A length that is mostly air round one line of letters, and grows less than they do."""
    return px * _airy_share(larger().share)


def _airy_share(share: float) -> float:
    return 1.0 + _AIR * (share - 1.0)


def grown(px: float) -> int:
    """The same in whole pixels."""
    return round(px * larger().share)


def band_px() -> int:
    """Height of the band at the foot of the plan."""
    return grown(BAND)


def control_px() -> int:
    """Height of a button, a field or a choice."""
    return max(round(airy(BUTTON)), GLOVE_PX if larger().glove else 0)


def sizes_for(width: int) -> Sizes:
    """The layout of a window of this width, as large as is in force; the ledger never takes half of it."""
    base, share = sizes_at(width), larger().share
    if share == 1.0 and not larger().glove:
        return base
    most = max(min(LEDGER_LIMITS[1], round(width * _LEDGER_SHARE)), LEDGER_LIMITS[0])
    return _sizes(base, share, larger().glove, most)


@cache
def _sizes(base: Sizes, share: float, glove: bool, most_ledger: int) -> Sizes:  # noqa: FBT001 - a key of the cache
    """Sizes with every px times the share, and in glove mode rows and strip for controls of a glove."""
    shares = dict.fromkeys(_WITH_LETTERS, share) | dict.fromkeys(_WITH_AIR, _airy_share(share))
    shares["job_cell"] = 1.0 + _JOB_SHARE * (share - 1.0)
    new = replace(base, **{name: type(getattr(base, name))(getattr(base, name) * by) for name, by in shares.items()})
    high = base.stage_line * (share if base.wide else _airy_share(share))
    if share > 1.0:
        high += _SECOND_LINE * (share - 1.0) if base.wide else 0.0
        new = replace(new, foot=max(new.foot, round(_FOOT_LINES * share) + 6))
        new = new if base.wide else replace(new, find_room=new.find_room - _FIND_LESS)
    new = replace(new, stage_line=round(high), ledger=min(new.ledger, most_ledger))
    if not glove:
        return new
    bar = GLOVE_PX + 2 * UNIT
    return replace(
        new, row=max(new.row, GLOVE_PX), row_head=max(new.row_head, GLOVE_PX),
        ledger_head=max(new.ledger_head, round(_TITLE * share) + GLOVE_PX + UNIT), strip=max(new.strip, bar),
        foot=max(new.foot, GLOVE_PX + 2),
        stage_line=max(new.stage_line, bar), find_room=new.find_room + 2 * (GLOVE_PX - BUTTON) * (share == 1.0),
    )  # fmt: skip

"""How much is drawn at which zoom, and what each stage shows.

Symbols have a size on the screen, not on the site: 4 px · k stand for 1 mm of paper, so one mark serves
screen and paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from leakmap.desk.things import Stage

PX_PER_MM: Final = 4.0
NEAR: Final = 40.0
MIDDLE: Final = 17.0
FAR: Final = 8.0
_LEAST_BAND_PX: Final = 9.0
_LEAST_BAND_FAR_PX: Final = 6.0
_NEAR_SIZE: Final = 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """How the plan is drawn at one zoom.

    Attributes:
        px_per_m: The zoom.
        sign: k of the layout: 1 in wide windows, 0.9 in compact ones.
    """

    px_per_m: float
    sign: float = 1.0

    @property
    def size(self) -> float:
        """k: size of symbols against their size at 17 to 40 px a metre in a wide window."""
        return self.sign * (_NEAR_SIZE if self.px_per_m >= NEAR else 1.0)

    @property
    def px_per_mm(self) -> float:
        """Pixels for a millimetre of paper."""
        return PX_PER_MM * self.size

    @property
    def scale(self) -> float:
        """Denominator of the plot scale at which marks have their size on the screen."""
        return 1000 * self.px_per_mm / self.px_per_m

    @property
    def least_band_m(self) -> float:
        """A band is drawn no narrower than this, metres of the site plane."""
        return (_LEAST_BAND_PX if self.px_per_m >= FAR else _LEAST_BAND_FAR_PX) / self.px_per_m

    @property
    def leak_references(self) -> bool:
        """Whether leaks bear their references."""
        return self.px_per_m >= NEAR

    @property
    def lets_strokes_go(self) -> bool:
        """Whether a picked zone hides the strokes on it, so that its handles stand free."""
        return MIDDLE <= self.px_per_m < NEAR

    @property
    def text_at_verticals(self) -> bool:
        """Whether vertical joints bear their texts."""
        return self.px_per_m >= MIDDLE

    @property
    def texts_of_drawing(self) -> bool:
        """Whether the imported drawing shows its texts; in stage Drawing it always does."""
        return self.px_per_m >= MIDDLE

    @property
    def most_groups(self) -> int | None:
        """Groups of strokes on a leak at most; None: as many as fit."""
        return None if self.px_per_m >= MIDDLE else 1

    @property
    def sleeves(self) -> bool:
        """Whether leaks have sleeves; from afar a leak is one group."""
        return self.px_per_m >= FAR

    @property
    def hatches(self) -> bool:
        """Whether the parts of a zone are hatched; from afar its band is too narrow for it."""
        return self.px_per_m >= FAR

    @property
    def references(self) -> bool:
        """Whether things bear references without being picked or pointed at."""
        return self.px_per_m >= FAR


@dataclass(frozen=True, slots=True, kw_only=True)
class Show:
    """What a stage shows besides joints.

    Attributes:
        full_drawing: Whether the imported drawing has its full strength.
        joint_names: Whether joints bear their names without being picked.
    """

    full_drawing: bool = False
    leaks: bool = True
    zones: bool = True
    joint_names: bool = False


_SHOWN: Final = {
    Stage.DRAWING: Show(full_drawing=True, leaks=False, zones=False),
    Stage.JOINTS: Show(leaks=False, zones=False, joint_names=True),
    Stage.LEAKS: Show(zones=False, joint_names=True),
}


def shown_in(stage: Stage) -> Show:
    """What a stage shows; from Repair on, everything."""
    return _SHOWN.get(stage, Show())

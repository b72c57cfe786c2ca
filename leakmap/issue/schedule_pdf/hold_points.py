"""Zone by zone: the strip, and hold points to tick and sign before the work goes on."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Final
from uuid import UUID

from reportlab.platypus import CondPageBreak, Flowable, Spacer

from leakmap.issue.heading import Heading
from leakmap.issue.schedule_pdf.ink import INK2, PANEL, RULE
from leakmap.issue.schedule_pdf.lettering import MM, NO_BREAK, Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.strip import DEPTH_SCALE, ROOM_MM, StripFlowable
from leakmap.issue.schedule_pdf.strip_lines import ZoneStrip, zone_strip
from leakmap.issue.schedule_pdf.styles import HEADING, LOUD, TEXT, WIDTH_MM, Setting
from leakmap.issue.schedule_pdf.words import head_words, said
from leakmap.model.job import Job
from leakmap.model.words import Purpose
from leakmap.repair.network import Network
from leakmap.repair.results import Repairs, Zone

_HEAD_MM: Final = 7.0
_ROW_MM: Final = 6.4
_CAPTIONS_MM: Final = 4.0
_HALF_MM: Final = WIDTH_MM / 2
_COLUMNS_MM: Final = {"Who": 40.0, "Date": 54.0, "Signature": 68.0}
"""Where the columns of a half begin."""

_MOST_MM: Final = 225.0


class ZoneHead(Flowable):  # type: ignore[misc] # the library has no types
    """The line over a zone's strip; it leads to the zone's row and to its plan."""

    def __init__(self, setting: Setting, job: Job, strip: ZoneStrip, plan: tuple[str, str] | None) -> None:
        super().__init__()
        self.setting, self.job, self.strip, self.plan = setting, job, strip, plan

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """As wide as the page."""
        return width, (_HEAD_MM + 1) * MM

    def draw(self) -> None:
        """Draw it, and set the place that others lead to."""
        pen, zone = PenBox(self.canv, self.setting.lettering), self.strip.zone
        pen.box(0, 0.5, WIDTH_MM, _HEAD_MM, ink=None, fill=PANEL)
        pen.words(zone.ref, 1.0, 2.6, cap=2.6, face=Face.BOLD)
        words = self.setting.trade(f"{zone.method.value}, {said(self.job.units, zone.length_m)}")
        head = "" if zone.head_kpa is None else f", head of water {head_words(self.job.units, zone.head_kpa)}"
        provisional = ", provisional" if zone.provisional else ""
        pen.words(words[0].upper() + words[1:] + provisional + head, 17.0, 2.9, cap=1.8, room=92)
        scales = f"strip 1:{self.strip.scale}, depths 1:{DEPTH_SCALE}"
        pen.words(scales, WIDTH_MM - 1, 2.9, cap=1.8, ink=INK2, across=1)
        self._link("to its row", f"zone-{zone.ref}", 112.0, pen)
        if self.plan is not None:
            self._link(self.plan[0], self.plan[1], 126.0, pen)
        _, y = self.canv.absolutePosition(0, 0)
        self.canv.bookmarkPage(f"strip-{zone.ref}", fit="XYZ", left=0, top=y + 12 * MM)

    def _link(self, words: str, key: str, x: float, pen: PenBox) -> None:
        pen.words(words, x, 2.9, cap=1.8, ink=INK2, room=17)
        self.canv.linkRect("", key, (x * MM, 1 * MM, (x + 13) * MM, 6 * MM), relative=1)


class HoldPoints(Flowable):  # type: ignore[misc] # the library has no types
    """Points to tick and sign, in two columns."""

    def __init__(self, setting: Setting, points: list[str]) -> None:
        super().__init__()
        self.setting, self.points = setting, points
        self.rows = (len(points) + 1) // 2

    @property
    def height_mm(self) -> float:
        """Height of all of it."""
        return _CAPTIONS_MM + self.rows * _ROW_MM + 1

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """As wide as the page."""
        return width, self.height_mm * MM

    def draw(self) -> None:
        """Draw boxes, words and lines."""
        pen, top = PenBox(self.canv, self.setting.lettering), self.height_mm - _CAPTIONS_MM
        for left in (0.0, _HALF_MM + 2):
            for words, at in _COLUMNS_MM.items():
                pen.words(words, left + at, top + 1.2, cap=1.8, ink=INK2)
        for index, words in enumerate(self.points):
            column, row = divmod(index, self.rows)
            left, base = column * (_HALF_MM + 2), top - (row + 1) * _ROW_MM
            pen.rule(left, base + _ROW_MM, left + _HALF_MM - 2, base + _ROW_MM, width=0.18, ink=RULE)
            pen.box(left + 0.3, base + 1.5, left + 3.7, base + 4.9, width=0.35)
            pen.words(words, left + 5.5, base + 2.3, cap=1.8, room=_COLUMNS_MM["Who"] - 6.5)
            ends = [*_COLUMNS_MM.values(), _HALF_MM]
            for start, end in pairwise(ends):
                pen.rule(left + start, base + 1.1, left + end - 2, base + 1.1, width=0.25, ink=INK2)


def points_of(job: Job, zone: Zone) -> list[str]:
    """What is looked at and signed before the work goes on, in the order of the work."""
    days = job.rules.cure_days
    wet = any(row.plugged for row in zone.rows)
    found = [
        "Engineer asked, answer obeyed" if zone.holds else "",
        "Marked wet and agreed",
        "Services, tendons cleared",
        "Slot measured",
        "Saturated, surface dry",
        "Water stopped and watched" if wet else "",
        "Relief closed" if zone.relief else "",
        "Coat 1 and dry-pack",
        "Coat 2",
        f"Cure, {days} day{'' if days == 1 else 's'} moist",
        "Dry at restored head",
    ]
    return [words for words in found if words]


def strip_sections(
    setting: Setting, job: Job, repairs: Repairs, *, heading: Heading, network: Network, plans: Mapping[UUID, str]
) -> list[Flowable]:
    """A block for each zone; ``plans`` gives the place of each level's plan."""
    if not repairs.zones:
        return []
    found: list[Flowable] = [
        CondPageBreak(120 * MM),
        setting.words("Strips and hold points", HEADING),
        setting.words(setting.trade(_how_to_read(job)), TEXT),
    ]
    for zone in repairs.zones:
        found += _block(setting, job, zone_strip(job, zone, network, ROOM_MM), heading, plans)
    return found


def _how_to_read(job: Job) -> str:
    return (
        f"Each zone's joints are laid out straight, true to the scale given, with chainages in {job.units.words}. Hatched: "
        "overrun. Tinted: wet. Circles number the filling order, arrows lead to the relief point, the black circle is closed "
        "last. Under it the slot from the side: dry-pack light, plug dark. The work stops at each hold point until it is "
        "ticked and signed."
    )


def _block(setting: Setting, job: Job, strip: ZoneStrip, heading: Heading, plans: Mapping[UUID, str]) -> list[Flowable]:
    zone = strip.zone
    sheet = next((sheet for sheet in zone.sheets if sheet in plans), None)
    plan = None if sheet is None else (f"to plan {job.sheets[sheet].name}", plans[sheet])
    lines: list[Flowable] = [StripFlowable(setting, job, line, strip.scale) for line in strip.lines]
    holds = [setting.fitted(hold.replace(" m ", f"{NO_BREAK}m "), LOUD, WIDTH_MM * MM) for hold in zone.holds]
    head: list[Flowable] = [ZoneHead(setting, job, strip, plan), *holds]
    if zone.provisional and heading.purpose is Purpose.WORK:
        tail: list[Flowable] = [
            setting.words(f"Not for work, so there is nothing to sign. {zone.why_provisional}", LOUD)
        ]
    else:
        tail = [HoldPoints(setting, points_of(job, zone))]
    high = [float(item.wrap(WIDTH_MM * MM, 10_000)[1]) for item in (*head, *lines, *tail)]
    whole = sum(high)
    need = whole if whole <= _MOST_MM * MM else sum(high[: len(head) + 1])
    return [Spacer(1, 3 * MM), CondPageBreak(need + 1), *head, *lines, *tail]

"""The words of a line of a zone's strip: what is said of it, and the chainage that each stands for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from leakmap.geometry.tolerance import TIE_M
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.strip_lines import StripLine
from leakmap.issue.schedule_pdf.styles import Setting
from leakmap.issue.schedule_pdf.words import at, said
from leakmap.model.job import Job

LABELS_MM: Final = 22.0
"""Room for what is said of a whole line, left of it."""

LEFT_MM, RIGHT_MM = 6.0, 4.0
"""Room left and right of a line, where the joint goes on and chainages of its ends stand."""

CAP: Final = 1.8
"""Height of the capitals of words, mm."""

REF_CAP: Final = 2.2
"""Height of those of the joint's reference."""

_STOPS: Final = {"blind": "stops at blind stretch", "cut": "kept apart here"}


@dataclass(frozen=True, slots=True)
class Word:
    """Words that stand at a place of the strip.

    Attributes:
        x: Where they begin, mm.
        at: What they stand for.
    """

    words: str
    x: float
    width: float
    at: float
    face: Face = Face.BODY


class StripWords:
    """What is said of one line of a strip.

    Args:
        setting: Sets its words.
        job: The job.
        line: What is shown.
        scale: Denominator.
        width_mm: Room with labels and margins.
        junctions: Chainages where branches hang from it, or it hangs from another line.
    """

    def __init__(
        self, setting: Setting, job: Job, line: StripLine, *, scale: int, width_mm: float, junctions: Sequence[float]
    ) -> None:
        self.setting, self.job, self.line, self.scale, self.width_mm = setting, job, line, scale, width_mm
        self.junctions = junctions

    def x(self, chainage_m: float) -> float:
        """Where a chainage lies, mm from the left."""
        line = self.line
        return LABELS_MM + LEFT_MM + (line.offset_m + chainage_m - line.from_m) * 1000 / self.scale

    @cached_property
    def uniform(self) -> bool:
        """Whether one depth and one filling hold for all that is opened, in one stretch."""
        return len(self.line.opened) < 2 and not self.line.reliefs

    def bubbles(self) -> list[Word]:
        """Axes that the line crosses."""
        return [self._word(f"axis {each.name}", each.at_m, 0.0, Face.BOLD) for each in self.line.bubbles]

    def met(self) -> list[Word]:
        """Joints that meet here, but for those that are drawn as branches."""
        return [
            self._word(
                f"{each.other.ref} at {at(self.job, each.other.id, each.own_m)}{'' if each.in_zone else ', not opened'}",
                each.at_m,
                0.0,
            )
            for each in self.line.met
            if not (each.in_zone and any(abs(each.at_m - junction) <= TIE_M for junction in self.junctions))
        ]

    def leaks(self) -> list[Word]:
        """Leaks, each where its first wet stretch begins."""
        found = []
        for wet in self.line.row.leaks:
            spans = [(max(a, self.line.from_m), min(b, self.line.to_m)) for a, b in wet.spans]
            seen = [span for span in spans if span[0] <= span[1]]
            if seen:
                ends = f"{self._at(wet.leak.from_m)}–{self._at(wet.leak.to_m)}"
                spot = self._at(wet.leak.from_m)
                where = spot if wet.leak.from_m == wet.leak.to_m else ends
                words = f"{wet.leak.ref} {wet.leak.wetness.word} {where}"
                found.append(self._word(words, seen[0][0], 0.0))
        return found

    def chainages(self) -> list[Word]:
        """Chainages of all that is opened, then why a stretch ends and what hides one."""
        line = self.line
        opened = (end for low, high, _ in line.opened for end in (low, high))
        places = sorted({line.from_m, line.to_m, *self.junctions, *opened})
        apart = [place for k, place in enumerate(places) if not k or self._at(place) != self._at(places[k - 1])]
        last = len(apart) - 1
        aside = {0: 0.75, last: 0.25} if last > 1 else {}  # those at the ends give way to those between
        numbers = [self._word(self._at(place), place, aside.get(k, 0.5)) for k, place in enumerate(apart)]
        words = []
        if not line.first:
            words.append(self._word("goes on from above", line.from_m, 0.0))
        if not line.last:
            words.append(self._word("goes on below", line.to_m, 1.0))
        words += [
            self._word(_STOPS.get(end.why, f"stops at {end.why}"), end.at_m, float(end.up))
            for end in line.ends
            if end.why != "overrun"
        ]
        words += [self._word("kept apart", cut, 0.5) for cut in line.row.cuts if self._is_inside(cut)]
        words += [
            self._word(f"blind: {each.what}", max(each.from_m, line.from_m), 0.0)
            for each in line.row.blind
            if each.from_m < line.to_m and each.to_m > line.from_m
        ]
        return [*numbers, *sorted(words, key=lambda word: word.x)]

    def depths(self) -> list[Word]:
        """Length and depth of each stretch, where not one holds for all."""
        if self.uniform:
            return []
        units, words = self.job.units, []
        fillings = {row.plugged for *_, row in self.line.opened}
        for low, high, row in self.line.opened:
            told = f", {self._filling(plugged=row.plugged)}" if len(fillings) > 1 else ""
            length = units.measured(row.to_m - row.from_m)
            words.append(self._word(f"{length} × {units.depth(row.depth_mm)}{told}", (low + high) / 2))
        return words

    def reliefs(self) -> list[Word]:
        """Relief points, with their depths."""
        return [
            self._word(
                f"relief {self._at(each.at_m)}, {self.job.units.depth_said(each.depth_mm)} deep",
                each.at_m,
                0.0,
                Face.BOLD,
            )
            for each in self.line.reliefs
        ]

    def labels(self) -> list[str]:
        """What is said at the left: the joint's reference, its level and face, length, depth and filling."""
        joint, opened = self.line.joint, self.line.opened
        face = "vertical" if joint.vertical else joint.face.value
        level, face = self.job.sheet_of(joint).name, self.setting.trade(face)
        together = f"{level}, {face}"
        found = [self._cut(joint.ref, LABELS_MM, Face.BOLD, REF_CAP)]
        has_room = self.setting.lettering.width(together, Face.BODY, CAP * MM / 0.7) <= LABELS_MM * MM
        found += [together] if has_room else [self._cut(level, LABELS_MM), face]
        if not opened:
            return [*found, "not opened"]
        fillings = {row.plugged for *_, row in opened}
        if self.uniform:
            row = opened[0][2]
            found += [f"{said(self.job.units, row.length_m)} long", f"{self.job.units.depth_said(row.depth_mm)} deep"]
        else:
            found.append("length × depth")
        if len(fillings) == 1:
            found.append(self._filling(plugged=fillings.pop()))
        return found

    def _filling(self, *, plugged: bool) -> str:
        return self.setting.trade("plug + dry-pack" if plugged else "all dry-pack")

    def _at(self, raw: float) -> str:
        return at(self.job, self.line.joint.id, raw)

    def _is_inside(self, at_m: float) -> bool:
        return self.line.from_m + TIE_M < at_m < self.line.to_m - TIE_M

    def _word(self, words: str, at_m: float, across: float = 0.5, face: Face = Face.BODY) -> Word:
        """Words at a chainage, kept inside the room, and cut where they are longer than all of it."""
        words = self._cut(words, self.width_mm - LABELS_MM, face)
        width = self.setting.lettering.width(words, face, CAP * MM / 0.7) / MM
        x = self.x(at_m)
        start = max(min(x - across * width, self.width_mm - width), LABELS_MM)
        return Word(words, start, width, x, face)

    def _cut(self, words: str, room_mm: float, face: Face = Face.BODY, cap: float = CAP) -> str:
        fitted = self.setting.lettering.fitted(words, face, cap * MM / 0.7, room_mm * MM)
        if fitted != words:
            self.setting.lettering.cut.add(words[:40])
        return fitted

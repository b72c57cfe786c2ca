"""Keeping zones apart: a cut in the middle of what merged them, and taking such a cut away again.

A click shows the cut and what it does; a second click, or Enter, keeps it. A cut never changes measured
metres; it parts zones, and so the sums that are rounded up for each.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.places import REACH_PX, across_at, along, distance_m, is_upright, line_of, on_level, point_of
from leakmap.desk.tools.tool import Grip, Overlay, OverlayGrip, OverlayLine, Pointer, Stroke
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.joint import Joint
from leakmap.model.leak import Cut
from leakmap.model.printed import printed
from leakmap.repair.results import Piece, Why, Zone
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.marks import add_cut, remove_cut
from leakmap.work.edits.places import to_step
from leakmap.work.hits import Target
from leakmap.work.staffs import Height, height_at

_BAR_PX = 18.0
_JOINED = frozenset({Why.MERGED, Why.BRIDGE})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """What the next click would do.

    Attributes:
        cut: The cut that would be taken away; None: one is made.
    """

    joint: UUID
    at_m: float
    cut: UUID | None


class KeepApart(Gesture):
    """Cuts a merged zone, or takes a cut away."""

    name = "Keep apart"
    key = "K"
    along_joints = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._aimed: _Shown | None = None
        self._m_per_px = 0.01

    @property
    def _shown(self) -> _Shown | None:
        """What the next click would do; None when that is no longer there."""
        aimed = self._aimed
        if aimed is None or aimed.joint not in self.kept.joints:
            return None
        return aimed if aimed.cut is None or aimed.cut in self.kept.cuts else None

    def sentence(self) -> str:
        """What the next click does."""
        if self._shown is None:
            return "Click the crossed hatch where zones merged, or a cut to merge them again; Enter finds one."
        joint = self.kept.joints[self._shown.joint]
        place = f"at {printed(self.kept, joint, self._shown.at_m)} of {joint.ref}"
        if self._shown.cut is not None:
            return f"Click again or press Enter to take the cut {place} away; Esc leaves it."
        return f"Click again or press Enter to keep the zones apart {place}; Esc leaves them merged."

    def aim(self) -> Aim:
        """Cuts lie on joints."""
        return Aim(joints_only=True)

    def overlay(self) -> Overlay:
        """The cut that is shown, and cuts that are there."""
        if self.desk.open_job is None:
            return Overlay()
        staffs = self.desk.staffs
        here = {joint.id for joint in on_level(self.kept, self.desk.level) if line_of(joint, staffs) is not None}
        cuts = [(self.kept.joints[cut.joint], cut.at_m) for cut in self.kept.cuts.values() if cut.joint in here]
        lines = [self._bar(joint, at_m, Stroke.INK) for joint, at_m in cuts]
        if self._shown is not None and self._shown.joint in here:
            lines.append(self._bar(self.kept.joints[self._shown.joint], self._shown.at_m, Stroke.LIVE))
        meant = () if self._shown is None else (Height(self._shown.joint, self._shown.at_m),)
        return Overlay(lines=tuple(lines), grips=self._junction(), on=meant)

    def points_at(self) -> tuple[Target, ...]:
        """The zone that would be cut."""
        return () if self._shown is not None else (Target.ZONE,)

    def _junction(self) -> tuple[OverlayGrip, ...]:
        if self._shown is None:
            return ()
        at = point_of(self.kept.joints[self._shown.joint], self._shown.at_m, self.desk.staffs)
        return (OverlayGrip(at=at, grip=Grip.JUNCTION, picked=True),)

    def _bar(self, joint: Joint, at_m: float, stroke: Stroke) -> OverlayLine:
        staffs, half = self.desk.staffs, _BAR_PX * self._m_per_px
        (x, y), (dx, dy) = point_of(joint, at_m, staffs), across_at(joint, at_m, staffs)
        return OverlayLine(points=((x - dx * half, y - dy * half), (x + dx * half, y + dy * half)), stroke=stroke)

    def moved(self, pointer: Pointer) -> None:
        """Bars keep their length on the screen."""
        if pointer.m_per_px != self._m_per_px:
            self._m_per_px = pointer.m_per_px
            self.refresh()

    def pressed(self, pointer: Pointer) -> None:
        """Show what a second click would do, or do it."""
        self._m_per_px = pointer.m_per_px
        found = self._found(pointer)
        if found is None:
            self._forget()
            self.hint("Nothing is merged here, and no cut lies here.")
        elif found == self._shown:
            self._finish()
        else:
            self._aimed = found
            self.preview(lambda: self._deed(found))
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Do what is shown; with nothing shown, find a place where something can be done."""
        if self._shown is None:
            self._go_to(self._places_here(), 0)
        else:
            self._finish()
            self.refresh()
        return True

    def nudged(self, across_m: float, up_m: float) -> bool:
        """An arrow goes from the place that is shown to another one on this level."""
        shown, places = self._shown, self._places_here()
        if shown is None:
            return False
        back = across_m < 0 or up_m > 0
        self._go_to(places, (places.index(shown) if shown in places else 0) + (-1 if back else 1))
        return True

    def _go_to(self, places: list[_Shown], number: int) -> None:
        if not places:
            self.hint("Nothing is merged on this level, and no cut lies on it.")
            return
        self._aimed = found = places[number % len(places)]
        self.preview(lambda: self._deed(found))
        self.refresh()

    def _places_here(self) -> list[_Shown]:
        """All merged stretches that are not cut, those of picked zones first, then all cuts; of this level."""
        here = {joint.id for joint in on_level(self.kept, self.desk.level)}
        picked = {thing.key for thing in self.desk.picked if thing.sort is Sort.ZONE}
        cuts = [cut for cut in self.kept.cuts.values() if cut.joint in here]
        found = [
            _Shown(joint=joint, at_m=to_step(self.kept, (low + high) / 2), cut=None)
            for zone in sorted(self.kept_repairs.zones, key=lambda zone: zone.number not in picked)
            for joint in dict.fromkeys(piece.joint for piece in zone.pieces if piece.joint in here)
            for low, high in merged_runs([piece for piece in zone.pieces if piece.joint == joint])
            if not any(cut.joint == joint and low - MICRON_M <= cut.at_m <= high + MICRON_M for cut in cuts)
        ]
        return [*found, *(_Shown(joint=cut.joint, at_m=cut.at_m, cut=cut.id) for cut in cuts)]

    def escaped(self) -> bool:
        """Leave everything as it is."""
        if self._shown is None:
            return False
        self._forget()
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._aimed = None
        super().let_go()

    def _forget(self) -> None:
        self._aimed = None
        self.desk.show(None)

    def _deed(self, shown: _Shown) -> Edit:
        if shown.cut is not None:
            return remove_cut(self.kept, cut=shown.cut)
        return add_cut(self.kept, joint=shown.joint, at_m=shown.at_m)

    def _finish(self) -> None:
        shown = self._shown
        assert shown is not None
        self._aimed = None
        if self.keep(lambda: self._deed(shown)) is None:
            return
        touching = [zone for zone in self.kept_repairs.zones if _lies_at(zone, shown)]
        self.desk.pick(*(Thing(Sort.ZONE, zone.number) for zone in touching))

    def _found(self, pointer: Pointer) -> _Shown | None:
        places = list(self._places(pointer))
        cut = self._cut_at(places)
        if cut is not None:
            return _Shown(joint=cut.joint, at_m=cut.at_m, cut=cut.id)
        for joint, at_m, reach_m in places:
            middle = self._middle(joint, at_m, reach_m)
            if middle is not None:
                return _Shown(joint=joint.id, at_m=middle, cut=None)
        return None

    def _places(self, pointer: Pointer) -> Iterator[tuple[Joint, float, float]]:
        """Joints under the hand: each with the chainage there, and how far along it the hand may be off."""
        reach_m = REACH_PX * pointer.m_per_px
        height = pointer.on or height_at(self.desk.staffs, pointer.raw, reach_m)
        if height is not None:
            share = 1.0 if pointer.on is not None else self.desk.staffs[height.joint].share
            yield self.kept.joints[height.joint], height.at_m, reach_m / share
            return
        for joint in on_level(self.kept, self.desk.level):
            if not is_upright(joint) and distance_m(joint, pointer.raw) <= reach_m:
                yield joint, along(joint, pointer.raw), reach_m

    def _cut_at(self, places: list[tuple[Joint, float, float]]) -> Cut | None:
        """The nearest cut under the hand."""
        near = [
            (off / reach_m, cut)
            for cut in self.kept.cuts.values()
            for joint, at_m, reach_m in places
            if joint.id == cut.joint
            if (off := abs(at_m - cut.at_m)) <= reach_m
        ]
        return min(near, key=lambda found: found[0])[1] if near else None

    def _middle(self, joint: Joint, at_m: float, reach_m: float) -> float | None:
        """The middle of the merged stretch at a chainage; None where nothing merged."""
        for zone in self.kept_repairs.zones:
            for low, high in merged_runs([piece for piece in zone.pieces if piece.joint == joint.id]):
                if low - reach_m <= at_m <= high + reach_m:
                    return to_step(self.kept, (low + high) / 2)
        return None


def merged_runs(pieces: list[Piece]) -> list[tuple[float, float]]:
    """Stretches of one joint that merged, each made of pieces that lie end to end.

    Args:
        pieces: The pieces of one zone on one joint.
    """
    runs: list[tuple[float, float]] = []
    for piece in sorted(pieces, key=lambda piece: piece.from_m):
        if piece.why not in _JOINED:
            continue
        if runs and piece.from_m <= runs[-1][1] + MICRON_M:
            runs[-1] = (runs[-1][0], piece.to_m)
        else:
            runs.append((piece.from_m, piece.to_m))
    return runs


def _lies_at(zone: Zone, shown: _Shown) -> bool:
    return any(
        piece.joint == shown.joint and piece.from_m - MICRON_M <= shown.at_m <= piece.to_m + MICRON_M
        for piece in zone.pieces
    )

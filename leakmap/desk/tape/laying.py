"""Which joint lies on the tape: that of what is picked last; a branch lays itself out, Backspace leads back."""

from __future__ import annotations

from uuid import UUID

from PySide6.QtCore import QObject, Signal

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.zone_handles import zone_of_number
from leakmap.repair.results import Zone


class Laying(QObject):
    """Says what lies on the tape, as ``Desk.on_tape`` too.

    Signals: ``changed`` when another joint does, or none.
    """

    changed = Signal()

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self._trail: list[tuple[UUID, tuple[Thing, ...]]] = []
        self._branching = False
        desk.picked_changed.connect(self.look)
        desk.opened.connect(self.look)
        for signal in (desk.changed, desk.shown_changed):
            signal.connect(self._follow)
        self.look()

    @property
    def joint(self) -> UUID | None:
        """The joint on the tape."""
        return self.desk.on_tape

    def _follow(self, _rows: object = None) -> None:
        """After a deed a zone may have another number: its joint stays, until something else is picked."""
        job, picked = self.desk.job, self.desk.picked
        stays = job is not None and self.joint in job.joints and bool(picked) and picked[-1].sort is Sort.ZONE
        if not stays:
            self.look()

    def look(self) -> None:
        """Lay out what is picked now."""
        joint = self._meant()
        if not self._branching and joint != self.joint:
            self._trail = []
        if joint != self.joint:
            self.desk.on_tape = joint
            self.changed.emit()

    def branch(self, joint: UUID) -> None:
        """Lay a branch out; Backspace leads back."""
        if self.joint is None or joint == self.joint:
            return
        self._trail.append((self.joint, self.desk.picked))
        self._pick(Thing(Sort.JOINT, joint))

    def back(self) -> bool:
        """Lay out again what a branch was opened from; whether there is anything."""
        job = self.desk.job
        while self._trail and job is not None:
            joint, picked = self._trail.pop()
            if joint in job.joints:
                there = tuple(thing for thing in picked if self._of(thing, joint) is not None)
                self._pick(*(there or (Thing(Sort.JOINT, joint),)))
                return True
        return False

    def _pick(self, *things: Thing) -> None:
        self._branching = True
        self.desk.pick(*things)
        self._branching = False

    def _meant(self) -> UUID | None:
        """The joint of what was picked last; of a zone the one that lies there already, if it has a part of it."""
        for thing in reversed(self.desk.picked):
            joint = self._of(thing, self.joint)
            if joint is not None:
                return joint
        return None

    def _of(self, thing: Thing, present: UUID | None) -> UUID | None:
        job, repairs = self.desk.job, self.desk.repairs
        if job is None or repairs is None:
            return None
        if thing.sort is Sort.JOINT and isinstance(thing.key, UUID):
            return thing.key if thing.key in job.joints else None
        if thing.sort is Sort.LEAK and isinstance(thing.key, UUID):
            leak = job.leaks.get(thing.key)
            return leak.joint if leak is not None else None
        zone = zone_of_number(repairs, thing.key) if thing.sort is Sort.ZONE else None
        return None if zone is None else _joint_of(zone, present)


def _joint_of(zone: Zone, present: UUID | None) -> UUID | None:
    """The joint of a zone that is laid out: the present one, else the one with most of it."""
    lengths: dict[UUID, float] = {}
    for piece in zone.pieces:
        lengths[piece.joint] = lengths.get(piece.joint, 0.0) + piece.to_m - piece.from_m
    if present in lengths:
        return present
    return max(lengths, key=lambda key: lengths[key], default=None)

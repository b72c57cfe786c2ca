"""Attributes of every block: what a job and its work-out say of each thing on one sheet.

Chainages are as printed: they add the start value of the joint. Attributes are for machines: their figures are metric
in every job, as their names say; what people read is in the units of the job.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Final
from uuid import UUID

from leakmap.base.rounding import rounded
from leakmap.issue.marked_dxf.tags import Facts
from leakmap.issue.marked_dxf.xdata import Said, Stretch
from leakmap.issue.marks.primitives import Mark, What
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint, height_of
from leakmap.model.leak import Cut, Leak
from leakmap.model.printed import chainage_m
from leakmap.model.sheet import Sheet
from leakmap.model.words import Kind
from leakmap.repair.results import Relief, Repairs, Row, Zone

_STEP: Final = Decimal("0.001")


_NOT_OURS: Final = "another method"


def zone_status(zone: Zone) -> str:
    """Whether a zone is provisional, or may be worked to once it is issued for work."""
    return "provisional" if zone.provisional else "firm"


def metres(value: float | Decimal) -> str:
    """A length with three decimals and a point."""
    return f"{rounded(value, _STEP):.3f}"


def depths(rows: Iterable[Row]) -> str:
    """Slot depths of rows in millimetres, rising, parted by strokes: 37/50."""
    return "/".join(f"{depth.normalize():f}" for depth in sorted({row.depth_mm for row in rows}))


@dataclass(frozen=True)
class FactBook:
    """Looks up what is said of a thing.

    Attributes:
        job: The job.
        repairs: Its work-out.
        sheet: The sheet that is marked.
        revision: Name of the revision.
    """

    job: Job
    repairs: Repairs
    sheet: Sheet
    revision: str

    @cached_property
    def zones_of_leak(self) -> dict[UUID, list[str]]:
        """References of the zones that repair each leak."""
        found: dict[UUID, list[str]] = {}
        for zone in self.repairs.zones:
            for leak in sorted({leak for piece in zone.pieces for leak in piece.leaks}, key=str):
                found.setdefault(leak, []).append(zone.ref)
        return found

    @cached_property
    def zone_called(self) -> dict[str, Zone]:
        """Zones by their references."""
        return {zone.ref: zone for zone in self.repairs.zones}

    @cached_property
    def other_leaks(self) -> frozenset[UUID]:
        """Leaks that need another method."""
        return frozenset(other.leak for other in self.repairs.another_method)

    def said(self, mark: Mark) -> Said:
        """What the entities of a mark say of themselves; of a sign that stands for several things, only its kind and name."""
        return Said(kind=mark.what.value, ref=mark.ref, item=mark.item, stretches=tuple(self._stretches(mark)))

    def _stretches(self, mark: Mark) -> Iterator[Stretch]:
        if mark.what is What.ZONE and mark.ref in self.zone_called:
            rows = self.zone_called[mark.ref].rows
            yield from (self._stretch(row.joint, row.from_m, row.to_m) for row in rows)
        if mark.item is None:
            return
        leak, cut = self.job.leaks.get(mark.item), self.job.cuts.get(mark.item)
        joint = self.job.joints.get(mark.item)
        if leak is not None:
            yield self._stretch(leak.joint, leak.from_m, leak.to_m)
        if cut is not None:
            yield self._stretch(cut.joint, cut.at_m, cut.at_m)
        if joint is not None and mark.what in {What.JOINT, What.VERTICAL}:
            yield self._stretch(joint.id, 0.0, joint.length_m)

    def said_at(self, what: What, ref: str, joint: UUID, from_m: float, to_m: float) -> Said:
        """What the block of a relief point, blind stretch or cut says of itself."""
        return Said(kind=what.value, ref=ref, item=joint, stretches=(self._stretch(joint, from_m, to_m),))

    def _stretch(self, joint: UUID, from_m: float | Decimal, to_m: float | Decimal) -> Stretch:
        return joint, float(self.chainage(joint, from_m)), float(self.chainage(joint, to_m))

    def chainage(self, joint: UUID, raw_m: float | Decimal) -> str:
        """A chainage as printed: with the start value of its joint, three decimals."""
        return metres(rounded(raw_m, _STEP) + rounded(self.job.joints[joint].start_m, _STEP))

    def place(self, joint: UUID, raw_m: float | Decimal) -> str:
        """A chainage as people read it on the paper, in the job's units."""
        return self.job.units.measured(chainage_m(self.job, self.job.joints[joint], raw_m))

    def on_sheet(self, joint: UUID) -> bool:
        """Whether a joint is drawn on the sheet."""
        return self.job.joints[joint].sheet == self.sheet.id

    def leak(self, leak: Leak) -> Facts:
        """Attributes of a leak."""
        length = leak.to_m - leak.from_m
        if length < 0:
            length += self.job.joints[leak.joint].length_m
        return {
            "REF": leak.ref,
            **self._on(leak.joint),
            "FROM_M": self.chainage(leak.joint, leak.from_m),
            "TO_M": self.chainage(leak.joint, leak.to_m),
            "LENGTH_M": metres(length),
            "WETNESS": str(int(leak.wetness)),
            "WETNESS_WORD": leak.wetness.word,
            "WORST_M": "" if leak.worst_m is None else self.chainage(leak.joint, leak.worst_m),
            "FLOW_L_MIN": "" if leak.flow_l_min is None else f"{leak.flow_l_min:g}",
            "SEEN": leak.seen.isoformat() if leak.seen else "",
            "ZONE": ", ".join(self.zones_of_leak.get(leak.id, ())),
            "STATUS": self._leak_status(leak),
            "NOTE": leak.note,
            "REVISION": self.revision,
        }

    def zone(self, zone: Zone) -> Facts:
        """Attributes of a zone."""
        single = zone.rows[0] if len(zone.rows) == 1 else None
        joints = list(dict.fromkeys(row.joint for row in zone.rows))
        return {
            "REF": zone.ref,
            "SHEET": ", ".join(self.job.sheets[sheet].name for sheet in zone.sheets),
            "JOINT": ", ".join(self.job.joints[joint].ref for joint in joints),
            "FROM_M": self.chainage(single.joint, single.from_m) if single else "",
            "TO_M": self.chainage(single.joint, single.to_m) if single else "",
            "ROWS": "; ".join(self.row_words(row) for row in zone.rows),
            "LENGTH_M": metres(zone.length_m),
            "CHARGEABLE_M": metres(zone.chargeable_m),
            "WET_M": metres(zone.wet_m),
            "BRIDGED_M": metres(zone.bridged_m),
            "BLIND_M": metres(zone.blind_m),
            "DEPTH_MM": depths(zone.rows),
            "METHOD": zone.method.value,
            "RELIEF_POINTS": str(len(zone.relief)),
            "STATUS": zone_status(zone),
            "PROVISIONAL": zone.why_provisional or "yes" if zone.provisional else "",
            "HOLDS": "; ".join(zone.holds),
            "COAT1_M2": metres(zone.coat1_m2),
            "COAT2_M2": metres(zone.coat2_m2),
            "SLOT_L": metres(zone.slot_l),
            "PLUG_L": metres(zone.plug_l),
            "DRYPACK_L": metres(zone.drypack_l),
            "REVISION": self.revision,
        }

    def row_words(self, row: Row) -> str:
        """A printed stretch in words: J-05 1.200-3.400."""
        ends = f"{self.chainage(row.joint, row.from_m)}-{self.chainage(row.joint, row.to_m)}"
        return f"{self.job.joints[row.joint].ref} {ends}"

    def joint(self, joint: Joint) -> Facts:
        """Attributes of a joint that has a course in plan."""
        own = self.job.sheet_of(joint)
        return {
            "REF": joint.ref,
            "SHEET": own.name,
            "KIND": joint.kind.value,
            "FACE": joint.face.value,
            "HEIGHT_M": metres(height_of(joint, own.storey_height_m)),
            "START_M": metres(joint.start_m),
            "LENGTH_M": metres(joint.length_m),
            "STATUS": _NOT_OURS if joint.kind is Kind.MOVEMENT and joint.repair_anyway is None else "repaired",
            "REPAIRABLE": "no" if joint.kind is Kind.MOVEMENT and joint.repair_anyway is None else "yes",
            "REVISION": self.revision,
        }

    def vertical(self, joint: Joint) -> Facts:
        """Attributes of a vertical joint."""
        head = "" if joint.head_sheet is None else self.job.sheets[joint.head_sheet].name
        assert joint.rise_m is not None
        return {**self.joint(joint), "HEAD_SHEET": head, "RISE_M": metres(joint.rise_m)}

    def relief(self, zone: Zone, relief: Relief) -> Facts:
        """Attributes of a relief point."""
        return {
            "REF": zone.ref,
            **self._on(relief.joint),
            "AT_M": self.chainage(relief.joint, relief.at_m),
            "LENGTH_M": metres(0),
            "STATUS": zone_status(zone),
            "DEPTH_MM": f"{relief.depth_mm.normalize():f}",
            "WETNESS": str(int(relief.wetness)),
            "WETNESS_WORD": relief.wetness.word,
            "HOLE_L": f"{relief.hole_l:.4f}",
            "REVISION": self.revision,
        }

    def blind(self, joint: Joint, blind: Blind) -> Facts:
        """Attributes of a blind stretch."""
        length = blind.to_m - blind.from_m
        return {
            "REF": joint.ref,
            "SHEET": self.sheet.name,
            "FROM_M": self.chainage(joint.id, blind.from_m),
            "TO_M": self.chainage(joint.id, blind.to_m),
            "LENGTH_M": metres(length if length > 0 else length + joint.length_m),
            "STATUS": "cleared" if blind.cleared_by else "not cleared",
            "HIDDEN_BY": blind.what,
            "CLEARED_BY": blind.cleared_by,
            "REVISION": self.revision,
        }

    def cut(self, cut: Cut) -> Facts:
        """Attributes of a cut."""
        joint = self.job.joints[cut.joint]
        at = self.chainage(cut.joint, cut.at_m)
        return {
            "REF": joint.ref,
            "SHEET": self.sheet.name,
            "AT_M": at,
            "LENGTH_M": metres(0),
            "STATUS": "kept apart",
            "REVISION": self.revision,
        }

    def _leak_status(self, leak: Leak) -> str:
        if leak.id in self.other_leaks:
            return _NOT_OURS
        if leak.id in self.repairs.watched:
            return "watched"
        return "in a zone" if leak.id in self.zones_of_leak else "in no zone"

    def _on(self, joint: UUID) -> dict[str, str]:
        held = self.job.joints[joint]
        return {"SHEET": self.job.sheet_of(held).name, "JOINT": held.ref}

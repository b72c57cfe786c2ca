"""Places of a job that can be found: levels, joints, leaks, zones, revisions, and rooms as the drawings name them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Generator, Iterable, Iterator, Mapping
from itertools import chain, islice
from typing import Final, NamedTuple
from uuid import UUID

import numpy as np
import numpy.typing as npt

from leakmap.base.counted import many
from leakmap.base.progress import at_once
from leakmap.base.sentences import listed
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing, LayerState
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.repair.levels import listing_order
from leakmap.repair.results import Repairs, Why, Zone
from leakmap.work.check_list import Where
from leakmap.work.find.folding import folded
from leakmap.work.find.index import Index, Postings, Putting
from leakmap.work.ledger_rows import kind_words

_MOST_TEXTS: Final = 20_000
_MOST_JOINTS: Final = 3
_LONGEST_ROOM: Final = 60
_SPEAKING: Final = re.compile(r"[^\W\d_]{2}")

Drawings = Mapping[UUID, Drawing]
"""Drawings as read, by the sheet that shows them."""


class Place(NamedTuple):
    """Somewhere to go to.

    Attributes:
        title: What it is called: Z-07, SUMP, C+1.20 / 4+0.35.
        where: The thing there; None for a mere spot.
        at: A spot, metres of the site plane; None where the thing says where it is.
        sheet: Level of a spot; None for the one on the plan.
        words: What is said of a spot.
        along_m: Chainage of a spot on the joint that is the thing there; None for any other spot.
    """

    title: str
    where: Where | None = None
    at: Point | None = None
    sheet: UUID | None = None
    words: str = ""
    along_m: float | None = None


class Places:
    """The places of one job, with their index.

    Attributes:
        each: The places, in the order of the index.
        zone_of: Reference of the zone that repairs a leak.
    """

    def __init__(self, found: _Gathering, names: Postings) -> None:
        self.each = found.each
        self.zone_of = found.zone_of
        self.index = Index(found.put, names)
        self._sheets = np.array(found.sheets, dtype=np.int64)
        self._order = found.order

    def later(self, level: UUID | None) -> npt.NDArray[np.bool_]:
        """Which places lie on other levels than the one on the plan, and come later for it."""
        here = self._order.get(level, -1) if level is not None else -1
        elsewhere: npt.NDArray[np.bool_] = (self._sheets >= 0) & (self._sheets != here)
        return elsewhere


class _Gathering:
    """Puts places into an index, one at each step."""

    def __init__(self, job: Job, repairs: Repairs) -> None:
        self.job, self.repairs = job, repairs
        self.each: list[Place] = []
        self.sheets: list[int] = []
        self.put = Putting()
        self.order = {sheet: number for number, sheet in enumerate(job.sheets)}
        self.level_words = {sheet.id: folded(sheet.name) for sheet in job.sheets.values()}
        self.ref_words: dict[UUID, tuple[str, ...]] = {}
        self.zone_of: dict[UUID, str] = {}

    def add(self, place: Place, about: Iterable[str], sheet: UUID | None, title: tuple[str, ...] | None = None) -> None:
        self.each.append(place)
        self.sheets.append(self.order.get(sheet, -1) if sheet is not None else -1)
        self.put.put(folded(place.title) if title is None else title, about)

    def everything(self, drawings: Drawings) -> Iterator[None]:
        for part in (self._leaks_of_zones, self._levels, self._joints, self._leaks, self._zones, self._revisions):
            yield from part()
        for sheet in self.job.sheets.values():
            if sheet.id in drawings:
                yield from self._rooms(sheet, drawings[sheet.id])

    def _leaks_of_zones(self) -> Iterator[None]:
        for zone in self.repairs.zones:
            for piece in zone.pieces:
                if piece.why is Why.LEAK:
                    self.zone_of |= dict.fromkeys(piece.leaks, zone.ref)
            yield

    def _levels(self) -> Iterator[None]:
        for sheet in self.job.sheets.values():
            self.add(Place(sheet.name, Where("sheet", sheet.id)), folded("level sheet"), sheet.id)
            yield

    def _joints(self) -> Iterator[None]:
        for joint in self._in_order():
            title = self.ref_words[joint.id] = folded(joint.ref)
            kind = folded(f"joint {joint.kind.value} {kind_words(joint)} {joint.face.value}")
            self.add(
                Place(joint.ref, Where("joint", joint.id)), kind + self.level_words[joint.sheet], joint.sheet, title
            )
            yield

    def _leaks(self) -> Iterator[None]:
        on: dict[UUID, list[Leak]] = defaultdict(list)
        for leak in self.job.leaks.values():
            on[leak.joint].append(leak)
        yield
        for joint in self._in_order():
            about = self.ref_words[joint.id] + self.level_words[joint.sheet]
            for leak in sorted(on.get(joint.id, ()), key=lambda leak: (leak.from_m, leak.to_m)):
                words = folded(f"leak {leak.wetness.word}") + folded(self.zone_of.get(leak.id, ""))
                self.add(Place(leak.ref, Where("leak", leak.id)), words + about, joint.sheet)
                yield

    def _zones(self) -> Iterator[None]:
        for zone in self.repairs.zones:
            words = folded(f"repair zone {zone.method.value}")
            levels = (word for sheet in zone.sheets for word in self.level_words[sheet])
            refs = (word for key in _joints_of(zone) for word in self.ref_words[key])
            self.add(
                Place(zone.ref, Where("zone", zone.number)), chain(words, levels, refs), next(iter(zone.sheets), None)
            )
            yield

    def _revisions(self) -> Iterator[None]:
        for revision in self.job.revisions.values():
            words = f"revision issue issued {revision.purpose.value} {revision.to_whom} {revision.at.year}"
            self.add(Place(revision.name, Where("revision", revision.id)), folded(words), None)
            yield

    def _rooms(self, sheet: Sheet, drawing: Drawing) -> Iterator[None]:
        shown, seen = _shown_layers(sheet, drawing), set()
        (x0, y0), level = drawing.origin, folded(f"{sheet.name} room")
        for text in islice(drawing.texts, _MOST_TEXTS):
            title = " ".join(text.words.split())
            if shown[text.layer] and title not in seen and len(title) <= _LONGEST_ROOM and _SPEAKING.search(title):
                seen.add(title)
                at = sheet.placement.to_site((text.at[0] + x0, text.at[1] + y0))
                self.add(Place(title, at=at, sheet=sheet.id, words=f"words on {sheet.name}"), level, sheet.id)
            yield

    def _in_order(self) -> list[Joint]:
        order = listing_order(self.job)
        return sorted(self.job.joints.values(), key=lambda joint: order[joint.id])


def gathering(job: Job, repairs: Repairs, drawings: Drawings) -> Generator[int, None, Places]:
    """Gather the places of a job in small steps: yields how many were looked at, returns all of them.

    Args:
        job: The job.
        repairs: Its work-out.
        drawings: Drawings that are at hand.
    """
    found = _Gathering(job, repairs)
    for number, _ in enumerate(found.everything(drawings)):
        yield number
    names = Postings(found.put.names)
    yield found.put.count
    return Places(found, names)


def places_of(job: Job, repairs: Repairs, drawings: Drawings) -> Places:
    """The places of a job at once."""
    return at_once(gathering(job, repairs, drawings))


def size_of(job: Job, repairs: Repairs, drawings: Drawings) -> int:
    """About how many places there are, to tell how far gathering is."""
    texts = sum(min(len(drawing.texts), _MOST_TEXTS) for drawing in drawings.values())
    return len(job.sheets) + len(job.joints) + len(job.leaks) + len(repairs.zones) + len(job.revisions) + texts


def what_it_is(job: Job, repairs: Repairs, places: Places | None, place: Place) -> str:
    """What a place is, in a few words beside its name; empty for what is no longer there."""
    if place.where is None or place.words:
        return place.words
    sort, key = place.where
    if sort == "zone":
        return next((_zone_words(job, zone) for zone in repairs.zones if zone.number == key), "")
    if not isinstance(key, UUID):
        return ""
    if sort == "leak":
        return _leak_words(job, places.zone_of.get(key, "") if places is not None else "", key)
    return {"sheet": _sheet_words, "joint": _joint_words, "revision": _revision_words}[sort](job, key)


def _sheet_words(job: Job, key: UUID) -> str:
    leaks = sum(job.joints[leak.joint].sheet == key for leak in job.leaks.values())
    return f"level, {many(leaks, 'leak')}" if key in job.sheets else ""


def _joint_words(job: Job, key: UUID) -> str:
    joint = job.joints.get(key)
    if joint is None:
        return ""
    kind = in_trade_words(job.units, kind_words(joint).lower())
    return f"{kind} joint, {job.units.with_unit(joint.length_m)}{_on_level(job, joint)}"


def _leak_words(job: Job, zone: str, key: UUID) -> str:
    leak = job.leaks.get(key)
    if leak is None:
        return ""
    joint = job.joints[leak.joint]
    return f"leak {f'in {zone}' if zone else f'on {joint.ref}'}, {leak.wetness.word}{_on_level(job, joint)}"


def _revision_words(job: Job, key: UUID) -> str:
    revision = job.revisions.get(key)
    if revision is None:
        return ""
    return f"issued for {revision.purpose.value} to {revision.to_whom}, {job.units.day(revision.at.date())}"


def _zone_words(job: Job, zone: Zone) -> str:
    refs = [job.joints[key].ref for key in _joints_of(zone)]
    if len(refs) > _MOST_JOINTS:
        refs = [*refs[:_MOST_JOINTS], f"{len(refs) - _MOST_JOINTS} more"]
    return f"repair zone on {listed(refs)}, {job.units.with_unit(zone.length_m)}"


def _on_level(job: Job, joint: Joint) -> str:
    return f", {job.sheets[joint.sheet].name}" if len(job.sheets) > 1 else ""


def _joints_of(zone: Zone) -> tuple[UUID, ...]:
    return tuple(dict.fromkeys(piece.joint for piece in zone.pieces))


def _shown_layers(sheet: Sheet, drawing: Drawing) -> list[bool]:
    chosen = dict(sheet.shown)
    return [chosen.get(layer.name, layer.state is LayerState.ON) for layer in drawing.layers]

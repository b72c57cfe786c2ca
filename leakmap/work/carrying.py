"""Carrying: what lies on a joint by chainage goes along when the joint is redrawn, cut or joined.

One mechanism serves every deed. A deed says with *spans* where each stretch of the old joints lies
on the new ones; what no span holds falls off. Carried are leaks with their worst point, blind
stretches, issued stretches, cuts, relief points and parted junctions.

A stretch that runs on in one direction on one new joint stays one: where a bend was pulled out, the
new piece between is wet too. Tolerance: what is left within 1 µm is nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from uuid import UUID

from leakmap.geometry.path import Path
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.faults import in_stretch
from leakmap.model.job import Job, Numbers
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import Cut, IssuedStretch, Leak, Parted, ReliefPoint
from leakmap.model.words import Series
from leakmap.work.edits.edit import Changes
from leakmap.work.edits.numbering import next_ref
from leakmap.work.edits.places import stored, stretch_length_m


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of an old joint, and where it lies now.

    Attributes:
        from_m: Old chainage where it starts.
        to_m: Old chainage where it stops, greater than ``from_m``.
        joint: The joint that it lies on now.
        new_from_m: New chainage of its start.
        new_to_m: New chainage of its stop; smaller than ``new_from_m`` where the joint was turned over.
    """

    from_m: float
    to_m: float
    joint: UUID
    new_from_m: float
    new_to_m: float

    def at(self, at_m: float) -> float:
        """New chainage of an old one, which is clipped to the span."""
        offset = min(max(at_m - self.from_m, 0.0), self.to_m - self.from_m)
        if abs(self.new_to_m - self.new_from_m) == self.to_m - self.from_m:
            return self.new_from_m + offset if self.new_from_m <= self.new_to_m else self.new_from_m - offset
        share = offset / (self.to_m - self.from_m)
        return self.new_from_m + share * (self.new_to_m - self.new_from_m)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where a stretch, or a part of one, lies now."""

    joint: UUID
    from_m: float
    to_m: float
    turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What carrying came to.

    Attributes:
        changes: The joints with their blind stretches, and everything on them.
        numbers: Counters, lifted by leaks that were cut in two.
        said: Sentences: what got shorter, longer, was cut in two, or fell off.
        made: Ids of leaks that were made by cutting.
    """

    changes: Changes
    numbers: Numbers
    said: tuple[str, ...]
    made: tuple[UUID, ...]


def unchanged(joint: Joint) -> tuple[Span, ...]:
    """The span of a joint that stays as it is."""
    return (Span(0.0, joint.length_m, joint.id, 0.0, joint.length_m),)


def bent(old: Joint, old_at_m: float, new: Joint, new_at_m: float) -> tuple[Span, ...]:
    """Spans of a joint that was redrawn at one place.

    What lies before the place keeps its distance from the start, what lies after it from the end, and
    where a side got shorter the part next to the place falls off.

    Args:
        old: The joint before.
        old_at_m: The place on it; 0 or its length when that end was moved.
        new: The joint after.
        new_at_m: The place on it.
    """
    head = min(old_at_m, new_at_m)
    tail = min(old.length_m - old_at_m, new.length_m - new_at_m)
    spans = (
        Span(0.0, head, new.id, 0.0, head),
        Span(old.length_m - tail, old.length_m, new.id, new.length_m - tail, new.length_m),
    )
    return tuple(span for span in spans if span.to_m - span.from_m > MICRON_M)


def shifted(old: Joint, new: Joint, by_m: float) -> tuple[Span, ...]:
    """Span of a joint whose chainages grow by a length; what leaves the joint falls off."""
    start, stop = max(0.0, -by_m), min(old.length_m, new.length_m - by_m)
    return (Span(start, stop, new.id, start + by_m, stop + by_m),) if stop - start > MICRON_M else ()


def piecewise(old: Path, new: Path, joint: UUID) -> tuple[Span, ...]:
    """Spans of a joint of which each straight piece was stretched by itself, as by a new scale."""
    pairs = zip(pairwise(old.chainages), pairwise(new.chainages), strict=True)
    return tuple(Span(a, b, joint, c, d) for (a, b), (c, d) in pairs)


def proportional(old: Joint, new: Joint) -> tuple[Span, ...]:
    """Span of a joint that was stretched evenly."""
    return (Span(0.0, old.length_m, new.id, 0.0, new.length_m),)


def carried(
    job: Job,
    *,
    joints: Mapping[UUID, Joint | None],
    spans: Mapping[UUID, tuple[Span, ...]],
    numbers: Numbers,
    new_id: Callable[[], UUID],
    say_lengths: bool = True,
) -> Carried:
    """Everything that lies on some joints, where it lies after a deed.

    Args:
        job: The job before the deed.
        joints: Joints after the deed, by id; None for a joint that is gone. Their blind stretches are
            worked out here.
        spans: For each old joint, where its stretches lie now; no span: everything falls off.
        numbers: Counters after the deed's own references.
        new_id: Gives ids to halves.
        say_lengths: Whether a leak that got shorter or longer is said; a new scale changes them all.
    """
    after = {key: joint for key, joint in joints.items() if joint is not None}
    carry = _Carry(job, {**job.joints, **after}, spans, new_id, say_lengths)
    leaks = _leaks(carry, numbers)
    points, lost = _points(carry)
    parted, parted_lost = _parted(carry)
    blind, hidden_lost = _blind(carry)
    changes = Changes(
        joints={key: joint and replace(joint, blind=blind.get(key, ())) for key, joint in joints.items()},
        leaks=leaks.put,
        cuts={key: item for key, item in points.items() if key in job.cuts},  # type: ignore[misc]
        reliefs={key: item for key, item in points.items() if key in job.reliefs},  # type: ignore[misc]
        parted=parted,
        issued=_issued(carry),
    )
    said = (*leaks.said, *lost, *parted_lost, *hidden_lost)
    return Carried(changes=changes, numbers=leaks.numbers, said=said, made=leaks.made)


@dataclass(frozen=True, slots=True)
class _Carry:
    job: Job
    after: Mapping[UUID, Joint]
    spans: Mapping[UUID, tuple[Span, ...]]
    new_id: Callable[[], UUID]
    say_lengths: bool

    def place(self, key: UUID, at_m: float) -> tuple[UUID, float] | None:
        """Joint and chainage where a place lies now; None where it fell off."""
        if key not in self.spans:
            return key, at_m
        old = self.job.joints[key]
        for place in (at_m, at_m - old.length_m, at_m + old.length_m) if old.closed else (at_m,):
            for span in self.spans[key]:
                if span.from_m - MICRON_M <= place <= span.to_m + MICRON_M:
                    return span.joint, self._clipped(span.joint, span.at(place))
        return None

    def stretches(self, key: UUID, from_m: float, to_m: float) -> list[Stretch]:
        """Where a stretch lies now, in the order of its old chainages; empty where it fell off."""
        old = self.job.joints[key]
        if 0 <= to_m - from_m <= MICRON_M:
            place = self.place(key, from_m)
            return [] if place is None else [self._stored(Stretch(place[0], place[1], place[1]))]
        whole = self._whole_ring(old, from_m, to_m)
        return [whole] if whole else self._joined(self._parts(old, from_m, to_m))

    def _whole_ring(self, old: Joint, from_m: float, to_m: float) -> Stretch | None:
        keys = {span.joint for span in self.spans[old.id]}
        if not old.closed or to_m - from_m < old.length_m - MICRON_M or len(keys) != 1:
            return None
        new = self.after[keys.pop()]
        return Stretch(new.id, 0.0, new.length_m) if new.closed else None

    def _parts(self, old: Joint, from_m: float, to_m: float) -> Iterator[Stretch]:
        for start, stop in ((from_m, to_m),) if from_m <= to_m else ((from_m, old.length_m), (0.0, to_m)):
            for span in self.spans[old.id]:
                low, high = max(start, span.from_m), min(stop, span.to_m)
                if high - low > MICRON_M:
                    ends = (self._clipped(span.joint, span.at(low)), self._clipped(span.joint, span.at(high)))
                    yield Stretch(span.joint, min(ends), max(ends), ends[0] > ends[1])

    def _joined(self, parts: Iterable[Stretch]) -> list[Stretch]:
        joined: list[Stretch] = []
        for part in parts:
            last = joined[-1] if joined else None
            if last is not None and self._runs_on(last, part):
                joined[-1] = replace(last, to_m=part.to_m)
            else:
                joined.append(part)
        return [self._stored(part) for part in joined]

    def _runs_on(self, last: Stretch, part: Stretch) -> bool:
        if last.joint != part.joint or last.turned or part.turned:
            return False
        return part.from_m >= last.to_m - MICRON_M or self.after[part.joint].closed

    def _stored(self, part: Stretch) -> Stretch:
        from_m, to_m = stored(self.after[part.joint], part.from_m, part.to_m)
        return replace(part, from_m=from_m, to_m=to_m)

    def _clipped(self, key: UUID, at_m: float) -> float:
        return min(max(at_m, 0.0), self.after[key].length_m)


@dataclass(frozen=True, slots=True)
class _Leaks:
    put: dict[UUID, Leak | None]
    numbers: Numbers
    said: tuple[str, ...]
    made: tuple[UUID, ...]


def _leaks(carry: _Carry, numbers: Numbers) -> _Leaks:
    put: dict[UUID, Leak | None] = {}
    said: list[str] = []
    made: list[UUID] = []
    for leak in carry.job.leaks.values():
        if leak.joint not in carry.spans:
            continue
        found = carry.stretches(leak.joint, leak.from_m, leak.to_m)
        if not found:
            put[leak.id] = None
            said.append(f"{leak.ref} fell off {carry.job.joints[leak.joint].ref} and is gone.")
            continue
        parts = [_part_of(carry, leak, stretch, shared=len(found) > 1) for stretch in found]
        put[leak.id] = parts[0]
        for part in parts[1:]:
            ref, numbers = next_ref(numbers, Series.LEAK)
            half = replace(part, id=carry.new_id(), ref=ref)
            put[half.id] = half
            made.append(half.id)
            said.append(f"{leak.ref} was cut in two; the other part is {ref}.")
        said += _grown(carry, leak, parts) if carry.say_lengths else ()
    return _Leaks(put, numbers, tuple(said), tuple(made))


def _part_of(carry: _Carry, leak: Leak, stretch: Stretch, *, shared: bool) -> Leak:
    """A leak on one stretch. Overruns stay; the worst point and the flow go with the part that holds them."""
    new = carry.after[stretch.joint]
    worst = carry.place(leak.joint, _worst(carry.job.joints[leak.joint], leak))
    holds = worst is not None and worst[0] == new.id and in_stretch(new, stretch.from_m, stretch.to_m, worst[1])
    first, second = leak.overrun_from_m, leak.overrun_to_m
    return replace(
        leak,
        joint=new.id,
        from_m=stretch.from_m,
        to_m=stretch.to_m,
        worst_m=worst[1] if holds and worst is not None and leak.worst_m is not None else None,
        flow_l_min=leak.flow_l_min if holds or not shared else None,
        overrun_from_m=second if stretch.turned else first,
        overrun_to_m=first if stretch.turned else second,
    )


def _worst(joint: Joint, leak: Leak) -> float:
    """The worst point, or the middle where nobody said, counted on past the length of a closed joint."""
    if leak.worst_m is not None:
        return leak.worst_m
    return leak.from_m + stretch_length_m(joint, leak.from_m, leak.to_m) / 2


def _grown(carry: _Carry, leak: Leak, parts: list[Leak]) -> Iterator[str]:
    """A sentence where a leak got shorter or longer."""
    before = stretch_length_m(carry.job.joints[leak.joint], leak.from_m, leak.to_m)
    after = sum(stretch_length_m(carry.after[part.joint], part.from_m, part.to_m) for part in parts)
    if abs(after - before) >= TIE_M / 2:
        yield f"{leak.ref} is now {carry.job.units.said(abs(after - before))} {'shorter' if after < before else 'longer'}."


def _points(carry: _Carry) -> tuple[dict[UUID, Cut | ReliefPoint | None], tuple[str, ...]]:
    put: dict[UUID, Cut | ReliefPoint | None] = {}
    said: list[str] = []
    named: tuple[tuple[str, Iterable[Cut | ReliefPoint]], ...] = (
        ("cut", carry.job.cuts.values()),
        ("relief point", carry.job.reliefs.values()),
    )
    for what, items in named:
        for item in items:
            if item.joint not in carry.spans:
                continue
            place = carry.place(item.joint, item.at_m)
            put[item.id] = None if place is None else replace(item, joint=place[0], at_m=place[1])
            if place is None:
                said.append(f"A {what} fell off {carry.job.joints[item.joint].ref} and is gone.")
    return put, tuple(said)


def _parted(carry: _Carry) -> tuple[dict[UUID, Parted | None], tuple[str, ...]]:
    put: dict[UUID, Parted | None] = {}
    said: list[str] = []
    for item in carry.job.parted.values():
        if item.joint not in carry.spans and item.other not in carry.spans:
            continue
        one, two = carry.place(item.joint, item.at_m), carry.place(item.other, item.other_at_m)
        if one is None or two is None:
            said.append(f"A parted junction fell off {carry.job.joints[item.joint].ref} and is gone.")
            put[item.id] = None
        elif one[0] == two[0] and abs(one[1] - two[1]) <= TIE_M:
            put[item.id] = None
        else:
            put[item.id] = replace(item, joint=one[0], at_m=one[1], other=two[0], other_at_m=two[1])
    return put, tuple(said)


def _blind(carry: _Carry) -> tuple[dict[UUID, tuple[Blind, ...]], tuple[str, ...]]:
    put: dict[UUID, list[Blind]] = {}
    said: list[str] = []
    for key in carry.spans:
        for blind in carry.job.joints[key].blind:
            found = carry.stretches(key, blind.from_m, blind.to_m)
            if not found:
                said.append(f"The blind stretch ({blind.what}) fell off {carry.job.joints[key].ref} and is gone.")
            for stretch in (part for part in found if part.from_m != part.to_m):
                put.setdefault(stretch.joint, []).append(replace(blind, from_m=stretch.from_m, to_m=stretch.to_m))
    return {key: _blind_joined(items) for key, items in put.items()}, tuple(said)


def _blind_joined(items: Iterable[Blind]) -> tuple[Blind, ...]:
    """Blind stretches in order; what hides two that touch for one reason is one."""
    joined: list[Blind] = []
    for blind in sorted(items, key=lambda item: item.from_m):
        last = joined[-1] if joined else None
        if (
            last is not None
            and abs(blind.from_m - last.to_m) <= MICRON_M
            and (last.what, last.cleared_by) == (blind.what, blind.cleared_by)
        ):
            joined[-1] = replace(last, to_m=blind.to_m)
        else:
            joined.append(blind)
    return tuple(joined)


def _issued(carry: _Carry) -> dict[UUID, IssuedStretch | None]:
    put: dict[UUID, IssuedStretch | None] = {}
    for item in carry.job.issued.values():
        if item.joint not in carry.spans:
            continue
        found = carry.stretches(item.joint, item.from_m, item.to_m)
        put[item.id] = None
        for number, stretch in enumerate(found):
            key = carry.new_id() if number else item.id
            put[key] = replace(item, id=key, joint=stretch.joint, from_m=stretch.from_m, to_m=stretch.to_m)
    return put

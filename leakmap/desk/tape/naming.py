"""Names on the tape find room: of branches on their rows, of zones and leaks beside or under them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, TypeVar

from leakmap.desk.larger import scaled
from leakmap.desk.tape.lanes import Lanes
from leakmap.desk.tape.reel import Reel
from leakmap.desk.tape.shown import LEADER_PX, BranchShown, Measure, Shown, Words
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.printed import chainage_m
from leakmap.repair.chainages import Span
from leakmap.repair.tape_layout import Branch, Run, TapeLayout
from leakmap.repair.tape_rows import Place, Wish, placed, words_beside

T = TypeVar("T")
_GAP_PX: Final = 8.0
BESIDE_PX: Final = 12.0  # from a band to its name, past the handle of a picked end
_RING_PX: Final = 9.0  # half of what a relief point takes of a band
_STEM_PX: Final = 5.0
_HALF_PX: Final = 9.0
_BELOW_PX: Final = 17.0 + _HALF_PX
"""From the middle of a name to the foot of the line below it; half of one line of letters."""

_MOST_WORDS: Final = 100
"""Things that are asked whether their names have room, the widest; fewer than 30 names ever have."""


def show(job: Job, layout: TapeLayout, reel: Reel, lanes: Lanes, *, stage: Stage, measure: Measure) -> Shown:
    """Find everything its place."""
    limits = (reel.left - 18.0, reel.right + 18.0)
    bare = Shown(job=job, layout=layout, reel=reel, lanes=lanes, stage=stage, measure=measure, limits=limits)
    branches = tuple(_branches(bare, limits))
    over = lanes.name - scaled(_HALF_PX) if stage is Stage.LEAKS else lanes.zone[1]  # what ends above hides no name
    stems = [shown.x for shown in branches if shown.box[3] > over]
    if stage is Stage.LEAKS:
        names = _leak_names(bare, limits, stems, list(_beside_leaks(lanes, branches)))
    else:
        names = (_run_names if bare.has_zones else _lengths)(bare, limits, stems)
    return Shown(
        job=job, layout=layout, reel=reel, lanes=lanes, stage=stage, measure=measure, branches=branches,
        names=tuple(names), limits=limits,
    )  # fmt: skip


def from_to(job: Job, joint: Joint, from_m: float, to_m: float) -> str:
    """Two printed chainages as the screen shows them."""
    low, high = (job.units.shown(chainage_m(job, joint, at)) for at in (from_m, to_m))
    return low if low == high else f"{low}–{high}"


def has_line_below(lanes: Lanes) -> bool:
    """Whether a second line has room under the names of leaks."""
    return lanes.name + scaled(_BELOW_PX) <= lanes.height


def leak_words(job: Job, leak: Leak) -> str:
    """Where a leak starts and stops."""
    return from_to(job, job.joints[leak.joint], leak.from_m, leak.to_m)


def _branches(bare: Shown, limits: Span) -> Iterator[BranchShown]:
    found = [one for one in bare.layout.branches if bare.seen(*_reach(bare, one))]
    wishes, texts = [], []
    for one in found:
        low, high = _reach(bare, one) if bare.has_zones else (bare.reel.x(one.at_m),) * 2
        strong = one.joint.ref
        plain = f"  {from_to(bare.job, one.joint, *one.part)}" if high > low else ""
        wide = bare.measure(strong, True) + bare.measure(plain, False)
        texts.append((strong, plain, wide))
        back = one.own_m >= one.joint.length_m - 1e-6 and not one.joint.closed  # it ends here: it came from the left
        stem = bare.reel.x(one.at_m)
        wishes.append(Wish(start=low, end=high, words_px=LEADER_PX + wide + _GAP_PX, left_first=back, stem=stem))
    first = [index for index, wish in enumerate(wishes) if wish.end > wish.start]
    for one, wish, text, place in zip(
        found, wishes, texts, placed(wishes, bare.lanes.rows, first, limits), strict=True
    ):
        yield _branch(bare, one, wish, text, place)


def _branch(bare: Shown, one: Branch, wish: Wish, text: tuple[str, str, float], place: Place) -> BranchShown:
    x = bare.reel.x(one.at_m)
    if place.row is None:
        bottom = bare.lanes.body[1] + 6.0
        return BranchShown(branch=one, x=x, box=(x, bottom, x, bottom), words=None)
    top, bottom = bare.lanes.row(place.row)
    strong, plain, wide = text
    words = None
    if place.words_at is not None:
        left = place.words_at + (LEADER_PX + _GAP_PX / 2 if place.words_at >= wish.end else _GAP_PX / 2)
        words = Words(
            strong=strong, plain=plain, x=left, y=(top + bottom) / 2, wide=wide, thing=Thing(Sort.JOINT, one.joint.id)
        )
    return BranchShown(branch=one, x=x, box=(wish.start, top, wish.end, bottom), words=words)


def _reach(bare: Shown, one: Branch) -> Span:
    x, ppm = bare.reel.x(one.at_m), bare.reel.px_per_m
    low, high = one.part
    return x + (low - one.own_m) * ppm, x + (high - one.own_m) * ppm


def _run_names(bare: Shown, limits: Span, stems: list[float]) -> Iterator[Words]:
    """The name and metres of each run; where both have no room, the name alone."""
    runs = _widest([(bare.span_of_run(run), run) for run in bare.layout.row.runs if bare.seen(*bare.span_of_run(run))])
    plains = [f"  {bare.job.units.with_unit(run.length_m)}" for run in runs]
    bars = [Wish(start=x, end=x, words_px=0.0) for x in stems]  # names stand clear of stems
    rings = ((bare.reel.x(relief.at_m), _RING_PX) for _, relief in bare.layout.row.reliefs)
    signs = [(x - half, x + half) for x, half in (*rings, *((x, _STEM_PX) for x in stems))]
    wishes = [_wish(bare, run, plain) for run, plain in zip(runs, plains, strict=True)]
    found = words_beside([*wishes, *bars], limits=limits, signs=signs)[: len(runs)]
    shorts = [plain if at is not None else "" for plain, at in zip(plains, found, strict=True)]
    wishes = [_wish(bare, run, plain) for run, plain in zip(runs, shorts, strict=True)]
    first = [index for index, at in enumerate(found) if at is not None]
    found = words_beside([*wishes, *bars], first, limits, signs)
    for run, plain, wish, at in zip(runs, shorts, wishes, found, strict=False):
        if at is not None:
            x = at + (BESIDE_PX if at >= wish.end else 0.0 if at < wish.start else BESIDE_PX / 2)
            thing, y = Thing(Sort.ZONE, run.zone.number), sum(bare.lanes.zone) / 2
            yield Words(strong=run.zone.ref, plain=plain, x=x, y=y, wide=wish.words_px - BESIDE_PX, thing=thing)


def _widest(found: list[tuple[Span, T]]) -> list[T]:
    """The widest of some things, in their order."""
    least = sorted((low - high for (low, high), _ in found))[:_MOST_WORDS]
    bound = least[-1] if len(found) > _MOST_WORDS else 0.0
    return [thing for (low, high), thing in found if low - high <= bound][:_MOST_WORDS]


def _wish(bare: Shown, run: Run, plain: str) -> Wish:
    low, high = bare.span_of_run(run)
    wide = bare.measure(run.zone.ref, True) + bare.measure(plain, False)
    return Wish(start=low, end=high, words_px=wide + BESIDE_PX, inside=True)


def _beside_leaks(lanes: Lanes, branches: tuple[BranchShown, ...]) -> Iterator[Span]:
    """Names of branches on rows that lie as high as what is written under leaks, as with large letters in little room."""
    foot = lanes.name + scaled(_BELOW_PX)
    for words in (shown.words for shown in branches):
        if words is not None and words.y - scaled(_HALF_PX) < foot:
            yield words.x, words.x + words.wide


def _leak_names(bare: Shown, limits: Span, stems: list[float], taken: list[Span]) -> Iterator[Words]:
    if bare.lanes.name + scaled(_HALF_PX) > bare.lanes.height:
        return
    spans = [(next(bare.spans_of_leak(wet)), wet.leak) for wet in bare.layout.row.leaks]
    for span, leak in _widest([(span, (span, leak)) for span, leak in spans if bare.seen(*span)]):
        below = leak_words(bare.job, leak) if has_line_below(bare.lanes) else ""
        wide = max(bare.measure(leak.ref, True), bare.measure(below, False))
        left = _free_left(span, wide, stems, taken, limits)
        if left is not None:
            taken.append((left, left + wide))
            yield Words(
                strong=leak.ref, x=left, y=bare.lanes.name, wide=wide, below=below, thing=Thing(Sort.LEAK, leak.id)
            )


def _free_left(span: Span, wide: float, stems: list[float], taken: list[Span], limits: Span) -> float | None:
    """Where words stand under something: in its middle, else from its start or up to its end, else beside a stem there.

    Returns:
        Their left end; None: they have no room.
    """
    low, high = span
    beside = [left for x in stems if low - wide < x < high + wide for left in (x + _STEM_PX, x - _STEM_PX - wide)]
    middle = (low + high - wide) / 2
    for left in (middle, low, high - wide, *sorted(beside, key=lambda left: abs(left - middle))):
        if left < limits[0] or left + wide > limits[1] or any(left - 2.0 < x < left + wide + 2.0 for x in stems):
            continue
        if not any(left < b + _GAP_PX and a < left + wide + _GAP_PX for a, b in taken):
            return left
    return None


def _lengths(bare: Shown, _limits: Span, stems: list[float]) -> Iterator[Words]:
    """Lengths between bends, where there are any."""
    for low, high in bare.layout.lengths if bare.layout.bends else ():
        words = bare.job.units.shown(high - low)
        wide, a, b = bare.measure(words, False), bare.reel.x(low), bare.reel.x(high)
        a, b = max(a, bare.reel.left), min(b, bare.reel.right)
        x = (a + b - wide) / 2
        clear = not any(x - 4 < stem < x + wide + 4 for stem in stems)
        if wide + 2 * _GAP_PX <= b - a and clear:
            yield Words(strong="", plain=words, x=x, y=sum(bare.lanes.zone) / 2, wide=wide)

"""References on the plan of the sample job: none covers another, a group of strokes or a relief ring."""

from __future__ import annotations

from itertools import combinations
from math import hypot
from uuid import UUID

import numpy as np
import pytest
import shapely
import shapely.affinity
from pytestqt.qtbot import QtBot
from shapely.geometry.base import BaseGeometry

from leakmap.desk.plan.detail import Detail, shown_in
from leakmap.desk.plan.ink import width_of
from leakmap.desk.plan.labels import MOST_LEADER_PX, Board, Placed, Wish
from leakmap.desk.plan.references import Lettering, extent_of, shows, take_thing, wish_of, wishes_of
from leakmap.desk.plan.things import Level
from leakmap.desk.things import Sort, Stage
from leakmap.geometry.path import Box
from leakmap.issue.marks.primitives import Coat, Disc, Line, Tone
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.sample_job import sample_job

FARTHEST_PX_PER_M, NEAREST_PX_PER_M, STEPS = 8.0, 200.0, 15
ZOOMS = [FARTHEST_PX_PER_M * (NEAREST_PX_PER_M / FARTHEST_PX_PER_M) ** (step / (STEPS - 1)) for step in range(STEPS)]
LETTERING = Lettering(px=14.5, width_of=width_of)


@pytest.fixture(scope="module")
def sample() -> tuple[Job, Repairs]:
    """The sample job, worked out."""
    job = sample_job(sources={name: Source(name=f"{name}.dxf", sha256="0" * 64) for name in ("B1", "B2")})
    return job, repairs(job)


def placed(
    level: Level,
    job: Job,
    sheet: UUID,
    stage: Stage,
    detail: Detail,
    *,
    lettering: Lettering = LETTERING,
    edge: Box | None = None,
) -> list[Placed]:
    """The references of a level, placed."""
    show = shown_in(stage)
    board = Board(detail.px_per_m, extent_of(job, sheet))
    if edge is not None:
        board.stay_within(edge)
    for key, drawn in level.drawn:
        if shows(key, drawn, show):
            take_thing(board, key, drawn, detail)
    return [label for _, label in board.place(wishes_of(level, show, detail, lettering)) if label is not None]


def signs(level: Level, stage: Stage, px_per_m: float) -> list[tuple[str, BaseGeometry]]:
    """Strokes and relief rings in level pixels, as shapely has them."""
    found: list[tuple[str, BaseGeometry]] = []
    for key, drawn in level.drawn:
        if not shows(key, drawn, shown_in(stage)):
            continue
        for coat, primitives in drawn.coats:
            for part in primitives:
                if coat is Coat.STROKE and isinstance(part, Line):
                    found.append(("stroke", shapely.LineString(part.points)))
                if coat is Coat.RELIEF and isinstance(part, Disc):
                    found.append(("ring", shapely.Point(part.centre).buffer(part.radius_m)))
    return [(name, shapely.affinity.scale(shape, px_per_m, px_per_m, origin=(0, 0))) for name, shape in found]


@pytest.mark.slow
@pytest.mark.parametrize("sign", [1.0, 0.9])
def test_no_label_covers_anything_at_any_zoom(qtbot: QtBot, sample: tuple[Job, Repairs], sign: float) -> None:
    """From 8 px to 200 px a metre, in each stage the boxes of the words meet no other words, no stroke and no ring."""
    del qtbot
    job, worked = sample
    for sheet in job.sheets:
        level = Level()
        for px_per_m in ZOOMS:
            detail = Detail(px_per_m=px_per_m, sign=sign)
            level.plan(job, worked, sheet, detail)
            level.make(lambda: True)
            for stage in (Stage.JOINTS, Stage.LEAKS, Stage.REPAIR):
                labels = placed(level, job, sheet, stage, detail)
                boxes = [(label.wish.words, shapely.box(*label.box_at(px_per_m))) for label in labels]
                tree = shapely.STRtree([shape for _, shape in signs(level, stage, px_per_m)])
                covering = [words for words, box in boxes if len(tree.query(box, predicate="intersects"))]
                assert not covering, f"{stage.title} at {px_per_m:.1f} px a metre: signs are covered by {covering}"
                meeting = [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if one.intersects(other)]
                assert not meeting, f"{stage.title} at {px_per_m:.1f} px a metre: labels meet: {meeting}"


@pytest.mark.slow
def test_most_references_find_a_place(qtbot: QtBot, sample: tuple[Job, Repairs]) -> None:
    """At 27 px a metre nine in ten zones of the sample's lower level bear their references, so hiding is the exception."""
    del qtbot
    job, worked = sample
    sheet = next(sheet.id for sheet in job.sheets.values() if sheet.name == "B2")
    level, detail = Level(), Detail(px_per_m=27.0)
    level.plan(job, worked, sheet, detail)
    level.make(lambda: True)
    labels = placed(level, job, sheet, Stage.REPAIR, detail)
    zones = [zone for zone in worked.zones if sheet in zone.sheets]
    named = {label.wish.words.removesuffix(" provisional") for label in labels} & {zone.ref for zone in zones}
    assert len(named) >= 0.9 * len(zones)


def wish(number: int, *, shoulder: bool = False) -> Wish:
    """A label of 40 by 10 px that wants to stand at the origin."""
    return Wish(
        key=("leak", number), words=f"L-{number:02}", anchors=((0.0, 0.0),), wide_px=40.0, high_px=10.0, clear_px=6.0,
        tone=Tone.WATER, shoulder=shoulder,
    )  # fmt: skip


def test_label_hides_when_every_place_is_taken() -> None:
    """Labels at one anchor fill the places beside it, then go on leaders of at most 60 px, and the rest are hidden."""
    board = Board(20.0)
    found = [label for _, label in board.place(wish(number) for number in range(60))]
    shown = [label for label in found if label is not None]
    assert 8 <= len(shown) < 60
    assert sum(not label.leader for label in shown) <= 8
    for label in shown:
        (x0, y0), (x1, y1) = (label.leader[0], label.leader[-1]) if label.leader else ((0, 0), (0, 0))
        assert shapely.Point(x0, y0).distance(shapely.Point(x1, y1)) <= MOST_LEADER_PX
    beside = board.at_any_cost(wish(99))
    assert not beside.leader


@pytest.mark.parametrize("px_per_m", [19.0, 50.0])
def test_the_reference_of_a_picked_leak_keeps_off_its_handles(
    qtbot: QtBot, sample: tuple[Job, Repairs], px_per_m: float
) -> None:
    """A bar of 26 px across each end of a leak leaves its reference free, from afar and where references stand by themselves."""
    del qtbot
    job, worked = sample
    sheet, level, detail = next(iter(job.sheets)), Level(), Detail(px_per_m=px_per_m)
    level.plan(job, worked, sheet, detail)
    level.make(lambda: True)
    board = Board(px_per_m, extent_of(job, sheet))
    for key, drawn in level.drawn:
        take_thing(board, key, drawn, detail)
    seen = 0
    for key, drawn in level.drawn:
        if key[0] != Sort.LEAK:
            continue
        box = shapely.box(*board.at_any_cost(wish_of(key, drawn, detail, LETTERING)).box_at(px_per_m))
        for end, next_to in ((0, 1), (-1, -2)):
            at, inward = (np.array(drawn.marker[0][place]) * px_per_m for place in (end, next_to))
            across = (inward - at)[::-1] * (13.0, -13.0) / hypot(*(inward - at))
            assert not box.intersects(shapely.LineString([at - across, at + across])), drawn.words
        seen += 1
    assert seen > 20


def test_zone_reference_stands_on_a_leader_with_a_shoulder() -> None:
    """A zone's reference stands about 30 px off its band, and the last piece of its leader runs level under its words."""
    ((_, label),) = Board(20.0).place([wish(1, shoulder=True)])
    assert label is not None
    (x0, y0), (x1, y1), (x2, y2) = label.leader
    assert (x0, y0) == (0.0, 0.0)
    assert y1 == y2 == label.box[1]
    assert {x1, x2} == {label.box[0], label.box[2]}
    assert shapely.box(*label.box).distance(shapely.Point(0, 0)) == pytest.approx(30.0, abs=7.0)


def test_no_label_crosses_the_edge_of_a_plan_that_is_seen_whole(qtbot: QtBot, sample: tuple[Job, Repairs]) -> None:
    """With 24 px round the joints and letters of twice the size, words and leaders keep inside; without an edge some do not."""
    del qtbot
    job, found = sample
    (sheet, *_) = job.sheets
    detail, large, level = Detail(px_per_m=13.0), Lettering(px=29.0, width_of=width_of), Level()
    level.plan(job, found, sheet, detail)
    level.make(lambda: True, None)
    joints = extent_of(job, sheet)
    assert joints is not None
    rim = 24 / detail.px_per_m
    edge = joints[0] - rim, joints[1] - rim, joints[2] + rim, joints[3] + rim

    def crossing(labels: list[Placed]) -> list[str]:
        low, high = np.array(edge).reshape(2, 2) * detail.px_per_m
        boxes = {label.wish.words: np.array(label.box_at(detail.px_per_m)).reshape(2, 2) for label in labels}
        return [words for words, box in boxes.items() if (box[0] < low).any() or (box[1] > high).any()]

    free = placed(level, job, sheet, Stage.AS_BUILT, detail, lettering=large)
    assert crossing(free)
    kept = placed(level, job, sheet, Stage.AS_BUILT, detail, lettering=large, edge=edge)
    assert not crossing(kept)
    assert len(kept) >= 0.8 * len(free)

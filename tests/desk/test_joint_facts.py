"""F2 on a joint: its name, the chainage at its start, and the heights that it has of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.facts import open_facts
from leakmap.desk.tools.joint_facts import JointFacts
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind
from leakmap.work.edits.facts import set_face, set_start
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.rules import set_units
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.small_jobs import joint_named, one_line


@pytest.fixture
def desk(tmp_path: Path, qtbot: QtBot) -> Iterator[Desk]:  # noqa: ARG001 - the application must be there
    """A desk with a joint on a floor and a vertical one, in stage Joints."""
    job, _ = one_line()
    job = draw_vertical_joint(job, sheet=next(iter(job.sheets)), point=(0, 8), kind=Kind.CONSTRUCTION, rise_m=3.0).job
    with desk_with(job, tmp_path, Stage.JOINTS) as made:
        yield made


def _ask(desk: Desk, ref: str) -> Fingers:
    desk.pick(Thing(Sort.JOINT, _joint(desk, ref).id))
    open_facts(desk)
    assert isinstance(desk.tool, JointFacts)
    return Fingers(desk)


def _joint(desk: Desk, ref: str) -> Joint:
    assert desk.job is not None
    return joint_named(desk.job, ref)


def test_name_start_and_heights_are_one_step(desk: Desk) -> None:
    """V-01 becomes V-09, starts at 1.50, stands 0.20 over the floor and rises 4.20, as one undo."""
    hand = _ask(desk, "V-01")
    for words in ("V-09", "1.5", "0.2", "4.20"):
        hand.type(words)
        hand.tool.tabbed()
    hand.tool.entered()
    joint = _joint(desk, "V-09")
    assert (joint.start_m, joint.height_m, joint.rise_m) == pytest.approx((1.5, 0.2, 4.2))
    assert desk.tool is None
    desk.undo()
    assert _joint(desk, "V-01").rise_m == pytest.approx(3.0)


def test_only_what_a_joint_has_is_asked(desk: Desk) -> None:
    """A joint in a floor has its start alone; on a wall its height too; what is not touched keeps its micrometres."""
    assert desk.job is not None
    assert len(_ask(desk, "J-01").tool.overlay().field.texts) == 2  # type: ignore[union-attr] # it has a field
    desk.take_tool(None)
    wall = set_face(desk.job, joint=_joint(desk, "J-01").id, face=Face.WALL)
    desk.do(wall)
    desk.do(set_start(wall.job, joint=_joint(desk, "J-01").id, start_m=1.234567))
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    hand = _ask(desk, "J-01")
    hand.tool.tabbed()
    assert "the station at the start of J-01" in hand.tool.sentence()  # the word of the US trade
    hand.tool.tabbed()
    hand.type("2'")
    hand.tool.entered()
    joint = _joint(desk, "J-01")
    assert joint.height_m == pytest.approx(0.6096, abs=1e-9)  # 16 CFR 500.19: the foot is 0.3048 m
    assert joint.start_m == pytest.approx(1.234567, abs=1e-9)


def test_a_figure_cannot_be_left_out(desk: Desk, qtbot: QtBot) -> None:
    """Emptied, the rise is asked for again, and nothing is changed; the name typed before it stays typed."""
    hand = _ask(desk, "V-01")
    hand.type("V-09")
    for _ in range(3):
        hand.tool.tabbed()
    hand.tool.deleted()
    with qtbot.waitSignal(desk.troubled) as told:
        hand.tool.entered()
    assert told.args[0].sentence.startswith("V-01 needs the rise")
    assert _joint(desk, "V-01").rise_m == pytest.approx(3.0)
    hand.type("2.5")
    hand.tool.entered()
    assert _joint(desk, "V-09").rise_m == pytest.approx(2.5)

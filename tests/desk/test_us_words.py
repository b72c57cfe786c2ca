"""The sentences of an imperial job say its things as the US trade does, and leave what a person typed alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import UUID

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.base.errors import LeakmapError
from leakmap.base.measures import Units
from leakmap.base.trade_words import US_WORDS
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.combine import Combine
from leakmap.desk.tools.method import ZoneMethod
from leakmap.desk.tools.table import ACTIONS
from leakmap.desk.tools.this_level import ThisLevel
from leakmap.model.job import Job
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import Where
from leakmap.work.edits.facts import set_clearance, set_cover, set_dormant, set_face, set_height, set_start, start_kept
from leakmap.work.edits.joints import rename_joint
from leakmap.work.edits.places import placed, placed_stretch
from leakmap.work.edits.rules import set_units
from leakmap.work.find.places import Place, what_it_is
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import issued, one_line, with_leak, with_line
from tests.helpers.windows import window_with

ELSEWHERE = re.compile(rf"\b({'|'.join(US_WORDS)})\b", re.IGNORECASE)
NAMED = "Slot wall"


@pytest.fixture
def job() -> Job:
    """An imperial job: a wall-base joint that is called Slot wall, repaired on the soffit, with a run; one drawn over it."""
    job, joint = one_line(kind=Kind.WALL_BASE)
    job = set_face(rename_joint(job, joint=joint, ref=NAMED).job, joint=joint, face=Face.SOFFIT).job
    job = set_cover(set_start(job, joint=joint, start_m=1.0).job, joint=joint, cover_m=0.03).job
    job, _ = with_line(job, ((0, 0), (4, 0)), face=Face.SOFFIT)
    return set_units(with_leak(job, joint, 1.0, 2.0, Wetness.RUN)[0], units=Units.IMPERIAL).job


def test_sentences_are_in_the_words_of_the_us(job: Job, tmp_path: Path, qtbot: QtBot) -> None:  # noqa: ARG001 - the application must be there
    """Tools, findings, holds, refusals and the find box: none says chainage, slot, soffit or metres, but for the name."""
    joint = next(iter(job.joints.values()))
    done = repairs(job)
    said = [*(finding.text for finding in done.findings), *(hold for zone in done.zones for hold in zone.holds)]
    said += [*refusals(job, joint.id), *start_kept(issued(job), joint, 0.5)[1]]
    place = Place(title=NAMED, where=Where("joint", joint.id), at=None, sheet=None)
    said.append(what_it_is(job, done, None, place))
    with desk_with(job, tmp_path, Stage.REPAIR) as desk:
        said += sentences_of(desk)
    assert not [words for words in said if ELSEWHERE.search(words.replace(NAMED, ""))]
    assert any(NAMED in words for words in said)
    expected = {"station", "stations", "groove", "grooves", "underside", "cove", "meters"}
    assert {word for word in re.findall(r"\w+", " ".join(said)) if word in expected} == expected


def sentences_of(desk: Desk) -> Iterator[str]:
    """What tools say, ask and offer, of those that have a word of the trade."""
    desk.pick(Thing(Sort.ZONE, 1))
    method = ZoneMethod(desk)
    yield from (Combine(desk).sentence(), method.sentence(), *(choice.words for choice in method.choices()))
    yield from ThisLevel(desk).fields.live((0.0, 0.0), ("", "", "")).units


def refusals(job: Job, joint: UUID) -> Iterator[str]:
    """What deeds refuse, of those that say a word of the trade."""
    deeds: tuple[Callable[[], object], ...] = (
        lambda: set_clearance(job, joint=joint, clearance_m=0.1),
        lambda: set_dormant(job, joint=joint, dormant=True),
        lambda: set_height(job, joint=joint, height_m=1.0),
        lambda: placed_stretch(job, job.joints[joint], 2.0, 1.0),
        lambda: placed(job, job.joints[joint], -1.0),
    )
    for deed in deeds:
        with pytest.raises(LeakmapError) as refused:
            deed()
        yield str(refused.value)


def test_f1_says_more_of_a_button_in_the_words_of_the_us(job: Job, tmp_path: Path, qtbot: QtBot) -> None:
    """With the keyboard on Relief point F1 speaks of the groove that is filled."""
    with window_with(job, tmp_path) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        window.desk.go_to(Stage.REPAIR)
        letters = [action.key for action in ACTIONS if action.stage is Stage.REPAIR]
        window.strip.buttons[letters.index("R")].setFocus(Qt.FocusReason.TabFocusReason)
        qtbot.waitUntil(window.strip.buttons[letters.index("R")].hasFocus)
        window.explain()
        assert "while the groove is filled" in window.centre.band.sentence
        assert not ELSEWHERE.search(window.centre.band.sentence)

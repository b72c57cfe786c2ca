"""A job that is read in feet and inches, in the window."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QMenu
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.foot import Foot
from leakmap.desk.plan.arrows import Arrows
from leakmap.desk.state import Desk
from leakmap.desk.system import system_units as window_units
from leakmap.desk.tape.view import nothing_words
from leakmap.desk.things import Stage
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.handles import end_sentence
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.trouble import Trouble
from leakmap.model.job import Job
from leakmap.work.edits.rules import set_units
from leakmap.work.here import units_of_locale
from leakmap.work.settings import DEFAULTS
from tests.helpers.desks import desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import one_line

BENT = [(0, 0), (4, 0), (4, 3)]


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanHand]:
    """A hand on a plan of an imperial job: J-01, 7 m long."""
    job, _ = one_line(BENT)
    with desk_with(set_units(job, units=Units.IMPERIAL).job, tmp_path, Stage.JOINTS) as desk:
        yield PlanHand(qtbot, desk)


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def test_feet_and_inches_are_typed_with_spaces_and_letters(hand: PlanHand) -> None:
    """12' 6 1/2" typed while the hand points to the right makes a piece of 3.8227 m; centimetres do as well."""
    hand.take(DrawJoint)
    hand.click((10, 2))
    hand.move((12, 2))
    hand.type("12' 6 1/2\"")
    field = hand.tool.overlay().field
    assert field is not None
    assert (field.texts[0], field.units[0]) == ("12' 6 1/2\"", "")
    hand.enter()
    hand.type("50cm")
    hand.enter()
    hand.enter()
    (joint,) = (joint for joint in job_of(hand.desk).joints.values() if joint.ref == "J-02")
    assert joint.length_m == pytest.approx(150.5 * 0.0254 + 0.5, abs=1e-9)


def test_a_length_that_cannot_be_read_is_refused_in_one_sentence(hand: PlanHand) -> None:
    """6 1/2 may be feet or inches: Enter says so and keeps nothing; a " behind it makes it inches."""
    troubles: list[Trouble] = []
    hand.desk.troubled.connect(troubles.append)
    hand.desk.go_to(Stage.LEAKS)
    hand.take(LeakStretch)
    hand.click((1.0, 0.0))
    hand.move((2.0, 0.0))
    hand.type("6 1/2")
    hand.enter()
    assert [trouble.sentence for trouble in troubles] == ["“6 1/2” may be feet or inches; type ' or \" behind it."]
    assert not job_of(hand.desk).leaks
    hand.type('"')
    hand.enter()
    (leak,) = job_of(hand.desk).leaks.values()
    assert leak.to_m - leak.from_m == pytest.approx(6.5 * 0.0254, abs=1e-9)


def test_the_foot_offers_units_and_undo_takes_them_back(hand: PlanHand, qtbot: QtBot) -> None:
    """A click on Units and Enter make the job metric, with all that is shown; one undo makes it imperial again."""
    foot = Foot(hand.desk)
    qtbot.addWidget(foot)
    foot.resize(1600, 46)
    foot.show()
    hand.move((2.0, 0.5))
    assert (foot.units.known.words, foot.position.known.words) == ("feet, inches", "6' 6 3/4\", 1' 7 5/8\"")
    qtbot.mouseClick(foot.units, Qt.MouseButton.LeftButton)
    menu = foot.findChild(QMenu)
    assert [action.text() for action in menu.actions() if action.isChecked()] == ["Feet and inches"]
    qtbot.keyClick(menu, Qt.Key.Key_Return)
    hand.move((2.0, 0.5))
    assert job_of(hand.desk).units == Units.METRIC
    assert (foot.units.known.words, foot.position.known.words) == ("metric", "2.00, 0.50")
    hand.desk.undo()
    assert job_of(hand.desk).units == Units.IMPERIAL
    assert foot.units.known.words == "feet, inches"


def test_what_a_new_job_is_read_in_is_what_the_system_measures_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """Our short list of territories is that of Qt, which has it from the Unicode CLDR.

    For each territory where Qt knows English, window and shell choose the same; of other languages Qt lists few in the US.
    """
    any_one = QLocale.Language.English, QLocale.Script.AnyScript, QLocale.Country.AnyCountry
    known = {locale.name(): locale for locale in QLocale.matchingLocales(*any_one)}
    assert len(known) > 80
    for name, locale in known.items():
        monkeypatch.setattr("leakmap.desk.system.QLocale", _system(locale))
        assert window_units() is units_of_locale(name), name
    assert [units_of_locale(name).system for name in ("en_US", "en_GB")] == ["imperial", "metric"]


def _system(locale: QLocale) -> type[QLocale]:
    """Qt's locale, with another one of the system."""

    class System(QLocale):
        system = staticmethod(lambda: locale)

    return System


def test_without_a_job_lengths_are_those_of_a_new_one(qtbot: QtBot) -> None:  # noqa: ARG001 - a window system is needed
    """A first start on a computer that measures in feet shows feet; who set metric sees metres."""
    desk = Desk()
    desk.system = Units.IMPERIAL
    assert desk.units == Units.IMPERIAL
    assert nothing_words(desk.units).endswith("foot by foot.")
    desk.take_settings(DEFAULTS.with_value("units", "metric"))
    assert desk.units == Units.METRIC


def test_arrows_step_by_handy_lengths(hand: PlanHand) -> None:
    """Ctrl, plain and Shift move the cross by 1/2 inch, 6 inches and 3 feet, and the sentence of an end says its own."""
    arrows, right = Arrows(hand.desk), Qt.Key.Key_Right
    for ctrl, shift, inches in ((True, False, 0.5), (False, False, 6.5), (False, True, 42.5)):
        x, _ = arrows.step(right, (0.0, 0.0), shift=shift, ctrl=ctrl)
        assert x == pytest.approx(inches * 0.0254, abs=1e-9)
    assert "1/2 inch or with Shift 6 inches" in end_sentence(hand.desk.units)

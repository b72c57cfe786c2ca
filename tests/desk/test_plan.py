"""The plan under a real hand: wheel, drag, click, keys; what is picked, pointed at and told to the tool."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest
import shapely
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.drawn import BY_HAND
from leakmap.desk.plan.overlay import field_box, reason_box
from leakmap.desk.plan.view import PlanView, start_room
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.tool import LiveField, Overlay, Pointer, Tool
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.words import Face, Kind, Wetness
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.leaks import LeakEnd, move_leak_ends, set_overrun
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak, with_line

LEFT, MIDDLE = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton
NONE, SHIFT, CTRL = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.ControlModifier,
)


class Written(Tool):
    """A tool that writes down what it is told, and steps back once."""

    name = "Write"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.calls: list[tuple[str, object]] = []
        self.steps = 1

    def told(self, name: str) -> list[object]:
        """What it was told by one call, in order."""
        return [what for call, what in self.calls if call == name]

    def _note(self, name: str, what: object) -> bool:
        self.calls.append((name, what))
        return True

    def dropped(self) -> None:
        """Write it down."""
        self._note("dropped", None)

    def moved(self, pointer: Pointer) -> None:
        """Write it down."""
        self._note("moved", pointer)

    def pressed(self, pointer: Pointer) -> None:
        """Write it down."""
        self._note("pressed", pointer)

    def dragged(self, pointer: Pointer) -> None:
        """Write it down."""
        self._note("dragged", pointer)

    def released(self, pointer: Pointer) -> None:
        """Write it down."""
        self._note("released", pointer)

    def typed(self, text: str) -> bool:
        """Write it down."""
        return self._note("typed", text)

    def entered(self, *, both: bool = False) -> bool:
        """Write it down."""
        return self._note("entered", both)

    def tabbed(self) -> bool:
        """Write it down."""
        return self._note("tabbed", None)

    def erased(self) -> bool:
        """Write it down."""
        return self._note("erased", None)

    def deleted(self) -> bool:
        """Write it down."""
        return self._note("deleted", None)

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Write it down."""
        return self._note("nudged", (across_m, up_m))

    def escaped(self) -> bool:
        """Step back while there are steps."""
        self.steps -= 1
        return self.steps >= 0

    def overlay(self) -> Overlay:
        """A live field, so that letters come here too."""
        return Overlay(field=LiveField(at=(0.0, 0.0), texts=("1.00",), units=("m",)))


def wet_job() -> Job:
    """J-01 along the x axis with a run from 2 to 3 m, J-02 across its middle, on one blank sheet."""
    job, joint = one_line([(0, 0), (10, 0)])
    job, _ = with_line(job, [(5, 0), (5, 6)])
    return with_leak(job, joint, 2.0, 3.0, Wetness.RUN)[0]


@pytest.fixture
def view(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanView]:
    """A plan of 800 by 600 px that shows a small wet job at 50 px a metre, its middle at (5, 2)."""
    with desk_with(wet_job(), tmp_path, Stage.LEAKS) as desk:
        plan = PlanView(desk)
        qtbot.addWidget(plan)
        plan.resize(800, 600)
        plan.show()
        plan.look(Camera(px_per_m=50.0, centre=(5.0, 2.0), field=plan.camera.field))
        plan.scene.finish()
        plan.setFocus()
        yield plan
        desk.take_tool(None)
        plan.close()


def pixel(view: PlanView, site: Point) -> QPoint:
    """The pixel of a site position."""
    x, y = view.camera.to_screen(site)
    return QPoint(round(x), round(y))


def send(view: PlanView, kind: QEvent.Type, at: QPoint, held: Qt.MouseButton, keys: Qt.KeyboardModifier = NONE) -> None:
    """A mouse event with a button held, as the window system sends it."""
    where = QPointF(at)
    button = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseMove else held
    buttons = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseButtonRelease else held
    QApplication.sendEvent(view, QMouseEvent(kind, where, view.mapToGlobal(where), button, buttons, keys))


def drag(view: PlanView, start: QPoint, stop: QPoint, button: Qt.MouseButton = LEFT) -> None:
    """Press, move in two steps and let go."""
    send(view, QEvent.Type.MouseButtonPress, start, button)
    for at in ((start + stop) / 2, stop):
        send(view, QEvent.Type.MouseMove, at, button)
    send(view, QEvent.Type.MouseButtonRelease, stop, button)


def hover(view: PlanView, site: Point, keys: Qt.KeyboardModifier = NONE) -> None:
    """Move the pointer there with no button held."""
    send(view, QEvent.Type.MouseMove, pixel(view, site), Qt.MouseButton.NoButton, keys)


def wheel(view: PlanView, at: QPoint, notches: int) -> None:
    """Turn the wheel over a pixel."""
    turn = QPoint(0, 120 * notches)
    where = QPointF(at)
    QApplication.sendEvent(
        view,
        QWheelEvent(
            where, view.mapToGlobal(where), QPoint(), turn, Qt.MouseButton.NoButton, NONE, Qt.ScrollPhase.NoScrollPhase,
            False,
        ),
    )  # fmt: skip


def key_of(desk: Desk, ref: str) -> UUID:
    """Id of a joint or leak by its reference."""
    assert desk.job is not None
    return (leak_named if ref.startswith("L") else joint_named)(desk.job, ref).id


def close_to(point: Point, metres: float = 0.015) -> Point:
    """A site position within a pixel of rounding."""
    return pytest.approx(point, abs=metres)  # type: ignore[return-value] # compares as a point


def test_wheel_zooms_about_the_pointer(view: PlanView) -> None:
    """The site under the pointer stays under it, and four notches double the zoom."""
    at = QPoint(600, 200)
    before = view.camera.to_site((600, 200))
    wheel(view, at, 4)
    assert view.camera.px_per_m == pytest.approx(100.0)
    assert view.camera.to_site((600, 200)) == pytest.approx(before)
    wheel(view, at, -8)
    assert view.camera.px_per_m == pytest.approx(25.0)


@pytest.mark.parametrize("way", ["empty", "middle", "space"])
def test_dragging_moves_the_paper(view: PlanView, qtbot: QtBot, way: str) -> None:
    """Dragged on nothing, with the middle button, or with Space held even on a joint, the paper follows the hand."""
    start = pixel(view, (5.0, 3.0) if way == "space" else (2.0, 3.0))
    before = view.camera.to_site((start.x(), start.y()))
    if way == "space":
        qtbot.keyPress(view, Qt.Key.Key_Space)
    drag(view, start, start + QPoint(60, -45), MIDDLE if way == "middle" else LEFT)
    if way == "space":
        qtbot.keyRelease(view, Qt.Key.Key_Space)
    assert view.camera.to_site((start.x() + 60, start.y() - 45)) == pytest.approx(before)
    assert view.desk.picked == ()


def test_click_picks_what_the_stage_asks_for(view: PlanView) -> None:
    """A click on the run picks the leak in Leaks, its joint in Joints and its zone in Repair; on nothing it lets go."""
    desk, at = view.desk, pixel(view, (2.5, 0.0))
    assert desk.repairs is not None
    wanted = {
        Stage.LEAKS: Thing(Sort.LEAK, key_of(desk, "L-01")),
        Stage.JOINTS: Thing(Sort.JOINT, key_of(desk, "J-01")),
        Stage.REPAIR: Thing(Sort.ZONE, desk.repairs.zones[0].number),
    }
    for stage, thing in wanted.items():
        desk.go_to(stage)
        drag(view, at, at)
        assert desk.picked == (thing,)
    empty = pixel(view, (1.0, 4.0))
    drag(view, empty, empty)
    assert desk.picked == ()


def test_shift_click_adds(view: PlanView) -> None:
    """With Shift held, a second joint is picked besides the first."""
    view.desk.go_to(Stage.JOINTS)
    for site, keys in (((5.0, 3.0), NONE), ((8.0, 0.0), SHIFT)):
        at = pixel(view, site)
        send(view, QEvent.Type.MouseButtonPress, at, LEFT, keys)
        send(view, QEvent.Type.MouseButtonRelease, at, LEFT, keys)
    assert [thing.key for thing in view.desk.picked] == [key_of(view.desk, "J-02"), key_of(view.desk, "J-01")]


def test_pointing_reaches_the_desk_and_paints_no_marks_anew(view: PlanView, qtbot: QtBot) -> None:
    """The thing under the pointer is pointed at and, off it, no longer; the film of marks is painted once."""
    desk = view.desk
    qtbot.waitUntil(lambda: view._marks.painted > 0)
    view.repaint()
    before = view._marks.painted
    hover(view, (2.5, 0.05))
    view.repaint()
    assert desk.pointed == Thing(Sort.LEAK, key_of(desk, "L-01"))
    assert desk.caught is not None
    assert desk.caught.raw == close_to((2.5, 0.05))
    hover(view, (1.0, 4.0))
    view.repaint()
    assert desk.pointed is None
    drag(view, QPoint(300, 200), QPoint(360, 240))
    view.repaint()
    assert view._marks.painted == before


def test_keys_move_zoom_and_fit(view: PlanView, qtbot: QtBot) -> None:
    """Arrows move the paper, + and − zoom, Home shows all of the level, Esc lets go of what is picked."""
    x, y = view.camera.centre
    qtbot.keyClick(view, Qt.Key.Key_Right)
    qtbot.keyClick(view, Qt.Key.Key_Up)
    assert view.camera.centre == pytest.approx((x + 1.2, y + 1.2))
    for key, zoom in ((Qt.Key.Key_Plus, 2**0.5), (Qt.Key.Key_Minus, 1.0)):
        qtbot.keyClick(view, key)
        assert view.camera.px_per_m == pytest.approx(50 * zoom)
    view.look(Camera(px_per_m=300.0, centre=(50.0, 50.0), field=view.camera.field))
    qtbot.keyClick(view, Qt.Key.Key_Home)
    x0, y0, x1, y1 = view.camera.shown
    assert (x0 < 0, y0 < 0, x1 > 10, y1 > 6) == (True, True, True, True)
    view.desk.pick(Thing(Sort.LEAK, key_of(view.desk, "L-01")))
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.desk.picked == ()


def test_tool_is_told_in_order_where_the_hand_is(view: PlanView) -> None:
    """Move, press, drag and release reach the tool in this order, each with its site position."""
    tool = Written(view.desk)
    view.desk.take_tool(tool)
    hover(view, (1.0, 4.0))
    drag(view, pixel(view, (1.0, 4.0)), pixel(view, (3.0, 4.0)))
    assert [name for name, _ in tool.calls] == ["moved", "pressed", "dragged", "dragged", "released"]
    places = [what.raw for _, what in tool.calls if isinstance(what, Pointer)]
    assert places == [close_to(at) for at in ((1.0, 4.0), (1.0, 4.0), (2.0, 4.0), (3.0, 4.0), (3.0, 4.0))]


def test_pointer_is_caught_and_ctrl_lets_it_go(view: PlanView, qtbot: QtBot) -> None:
    """Eight pixels beside the end of J-01 the pointer counts as on the end; while Ctrl is held, where it is."""
    tool = Written(view.desk)
    view.desk.take_tool(tool)
    hover(view, (9.9, 0.12))
    (caught,) = tool.told("moved")
    assert isinstance(caught, Pointer)
    assert caught.catch is not None
    assert (caught.at, caught.catch.joint) == ((10.0, 0.0), key_of(view.desk, "J-01"))
    qtbot.keyPress(view, Qt.Key.Key_Control)
    free = tool.told("moved")[-1]
    assert isinstance(free, Pointer)
    assert (free.catch, free.ctrl, free.at) == (None, True, free.raw)
    qtbot.keyRelease(view, Qt.Key.Key_Control)
    assert tool.told("moved")[-1] == caught


def test_keys_reach_the_tool(view: PlanView, qtbot: QtBot) -> None:
    """Digits, Enter with and without Ctrl, Tab, Backspace, Delete and arrows are told; Shift makes a step 10 cm."""
    tool = Written(view.desk)
    view.desk.take_tool(tool)
    qtbot.keyClicks(view, "4.2m")
    for key, held in (
        (Qt.Key.Key_Return, NONE), (Qt.Key.Key_Return, CTRL), (Qt.Key.Key_Tab, NONE), (Qt.Key.Key_Backspace, NONE),
        (Qt.Key.Key_Delete, NONE), (Qt.Key.Key_Left, NONE), (Qt.Key.Key_Up, SHIFT),
    ):  # fmt: skip
        qtbot.keyClick(view, key, held)
    assert tool.calls == [
        ("typed", "4"), ("typed", "."), ("typed", "2"), ("typed", "m"), ("entered", False), ("entered", True),
        ("tabbed", None), ("erased", None), ("deleted", None), ("nudged", (-0.01, 0.0)), ("nudged", (0.0, 0.1)),
    ]  # fmt: skip


def test_escape_steps_back_then_drops_the_tool(view: PlanView, qtbot: QtBot) -> None:
    """The first Esc steps back inside the tool, the next one puts it away."""
    tool = Written(view.desk)
    view.desk.take_tool(tool)
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.desk.tool is tool
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.desk.tool is None
    assert tool.calls == [("dropped", None)]


def test_marks_follow_a_drag_and_go_back(view: PlanView) -> None:
    """While a drag shows a longer leak its mark is longer; when the drag is given up the mark is as before."""
    desk = view.desk
    thing = Thing(Sort.LEAK, key_of(desk, "L-01"))
    assert desk.job is not None

    def end() -> float:
        drawn = view.scene.level.of(thing)
        assert drawn is not None
        return drawn.marker[0][-1][0]

    assert end() == 3.0
    kept = desk.job
    desk.show(move_leak_ends(kept, leak=key_of(desk, "L-01"), to_m=4.5))
    assert end() == 4.5
    labels = dict(view.scene.labels)
    desk.show(move_leak_ends(kept, leak=key_of(desk, "L-01"), to_m=4.0))
    assert end() == 4.0
    assert view.scene.labels == labels  # references keep their places
    desk.show(None)
    assert end() == 3.0


def test_an_end_that_a_person_set_says_so(view: PlanView) -> None:
    """From stage Repair on 0.85 stands beside the end of the zone 0.85 m past its leak, until that goes back to the rule."""
    desk, leak = view.desk, key_of(view.desk, "L-01")
    assert desk.job is not None
    stop_m = desk.job.leaks[leak].to_m

    def said() -> list[tuple[str, Point]]:
        view.scene.finish()
        found = view.scene.labels.values()
        return [(label.wish.words, label.anchor) for label in found if label.wish.key[0] == BY_HAND]

    desk.do(set_overrun(desk.job, leak=leak, end=LeakEnd.TO, overrun_m=0.85))
    assert said() == []
    desk.go_to(Stage.REPAIR)
    ((words, at),) = said()
    assert words == "0.85 by hand"
    assert at == pytest.approx((stop_m + 0.85, 0.0))
    desk.do(set_overrun(desk.job, leak=leak, end=LeakEnd.TO, overrun_m=None))
    assert said() == []


def test_the_reference_of_a_joint_in_hand_stands_beside_it(view: PlanView) -> None:
    """Wherever the joint that is being drawn goes, its reference does not lie over its line."""
    desk = view.desk
    desk.go_to(Stage.JOINTS)
    assert desk.job is not None
    assert desk.level is not None
    for end in ((9.0, 4.6), (3.5, 5.0), (7.0, 1.2), (1.5, 2.0), (5.8, 1.6)):
        edit = draw_joint(desk.job, sheet=desk.level, kind=Kind.CONSTRUCTION, points=[(5.5, 2.0), end], face=Face.FLOOR)
        desk.show(edit)
        label = view.scene.marked_label(Thing(Sort.JOINT, edit.made[0]))
        assert label is not None
        px = view.camera.px_per_m
        line = shapely.LineString([(5.5 * px, 2.0 * px), (end[0] * px, end[1] * px)])
        assert not shapely.box(*label.box_at(px)).intersects(line), end
        desk.show(None)


def test_what_is_looked_for_comes_into_view(view: PlanView) -> None:
    """Asked to look at a leak that is out of view the paper moves until it is seen; in view, nothing moves."""
    leak = Thing(Sort.LEAK, key_of(view.desk, "L-01"))
    before = view.camera
    view.desk.look_at.emit(leak)
    assert view.camera == before
    view.look(Camera(px_per_m=50.0, centre=(60.0, 60.0), field=before.field))
    view.desk.look_at.emit(leak)
    assert view.camera.to_screen((2.5, 0.0)) == pytest.approx(view.camera.middle)


def test_words_of_the_hand_stand_clear_of_what_is_picked(view: PlanView) -> None:
    """The reason of a catch stands up to the right of its ring, below or to the left where a marked reference is; so the live field."""
    room = QRectF(0, 0, 800, 600)
    usual = reason_box((400, 300), 80, room)
    assert (usual.left(), usual.bottom()) == (416, 296)
    below = reason_box((400, 300), 80, room, [usual])
    assert (below.left(), below.top()) == (416, 306)
    left = reason_box((400, 300), 80, room, [usual, below])
    assert (left.right(), left.bottom()) == (384, 296)
    assert reason_box((400, 300), 80, room, [room]) == usual  # somewhere it must stand
    assert reason_box((790, 10), 80, room).bottomLeft() == QPointF(694, 38)
    live = LiveField(at=view.camera.to_site((400, 300)), texts=("1.25",), units=("m",))
    first = field_box(live, view.camera, room, (400.0, 300.0), usual)
    other = field_box(live, view.camera, room, (400.0, 300.0), usual, labels=[first])
    assert not other.intersects(first)
    assert not other.intersects(usual)


def test_plan_without_a_job_is_quiet(qtbot: QtBot) -> None:
    """With no job on the desk the plan paints, and moves, clicks and keys do nothing."""
    desk = Desk()
    plan = PlanView(desk)
    qtbot.addWidget(plan)
    plan.resize(400, 300)
    plan.show()
    hover(plan, (0.0, 0.0))
    drag(plan, QPoint(100, 100), QPoint(100, 100))
    qtbot.keyClick(plan, Qt.Key.Key_Home)
    plan.repaint()
    assert desk.picked == ()
    plan.close()


def test_the_start_of_a_joint_covers_no_reference() -> None:
    """The 0 of a joint to the right stands above it, below where a reference lies there, and nowhere in a crowd."""
    start, right, size = (100.0, 100.0), (1.0, 0.0), (8.0, 10.0)
    above = start_room(start, right, size, ())
    assert above is not None
    assert above.center() == QPointF(111.0, 89.0)
    below = start_room(start, right, size, [above])
    assert below is not None
    assert below.center() == QPointF(111.0, 111.0)
    assert start_room(start, right, size, [QRectF(50, 50, 100, 100)]) is None

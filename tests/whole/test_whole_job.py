"""The whole job under a real X server: every click and key comes from outside, as a user's do.

From the sample drawing to the issue: scale, three joints that meet, leaks of three wetnesses over the
junction, the zone, undo of all and redo of all, the issue, and the same job after closing and opening again.
"""

from __future__ import annotations

import json
import os
import selectors
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic
from typing import Any

import pytest

from leakmap.base.resources import resource
from tests.helpers.window_frame import ask_to_close

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="Xvfb and xdotool are programs of Linux"),
    pytest.mark.skipif(
        shutil.which("Xvfb") is None or shutil.which("xdotool") is None,
        reason="Xvfb or xdotool is missing; on Debian or Ubuntu: sudo apt install xvfb xdotool",
    ),
]

ROOT = resource("leakmap").parent
PATIENCE_S = 30.0
WATCHED = ROOT / "tests" / "helpers" / "watched_window.py"
Point = tuple[float, float]


class Unseen(AssertionError):
    """Something never came."""


@pytest.fixture
def screen(tmp_path: Path) -> Iterator[dict[str, str]]:
    """A screen of its own; the environment of programs that are shown on it."""
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "1600x1000x24", "-nolisten", "tcp"],  # noqa: S607 - found above
        pass_fds=(write,),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as told:
        number = told.readline().strip()
    home = tmp_path / "home"
    home.mkdir()
    kept = {name: value for name, value in os.environ.items() if name not in ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY")}
    yield {
        **kept,
        "DISPLAY": f":{number}",
        "HOME": str(home),
        "XDG_STATE_HOME": str(home),
        "LOGNAME": "ann",
        "PYTHONPATH": str(ROOT),
        "QT_QPA_PLATFORM": "xcb",
    }
    server.terminate()
    server.wait()


@dataclass
class Sitter:
    """Somebody in front of the screen.

    Attributes:
        sees: What there was to see last.
    """

    environment: dict[str, str]
    program: subprocess.Popen[bytes]
    sees: dict[str, Any] = field(default_factory=dict)

    def do(self, hand: Callable[[], None], until: Callable[[dict[str, Any]], object]) -> None:
        """Move the hand, and look until its effect is seen."""
        hand()
        self.wait(until)

    def wait(self, until: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
        """Look until something is to be seen.

        Raises:
            Unseen: It did not come.
        """
        last = monotonic() + PATIENCE_S
        assert self.program.stdout is not None
        with selectors.DefaultSelector() as selector:
            selector.register(self.program.stdout, selectors.EVENT_READ)
            while not (self.sees and until(self.sees)):
                left = last - monotonic()
                if left <= 0:
                    raise Unseen(f"It never came; last seen: {self.sees}")
                if selector.select(left):
                    line = self.program.stdout.readline()
                    assert line, f"leakmap ended with {self.program.wait()}; last seen: {self.sees}"
                    self.sees = json.loads(line)
        return self.sees

    def x(self, *words: str) -> None:
        """Move the mouse or press keys."""
        subprocess.run(["xdotool", *words], env=self.environment, check=True)  # noqa: S607 - found above

    def press(self, *keys: str) -> None:
        """Press keys one after the other."""
        self.x("key", "--delay", "20", *keys)

    def type(self, words: str) -> None:
        """Type words."""
        self.x("type", "--delay", "20", words)

    def button(self, words: str) -> None:
        """Click a button of the window."""
        x, y = self.wait(lambda sees: words in sees["buttons"])["buttons"][words]
        self.x("mousemove", str(x), str(y), "click", "1")

    def click(self, at: Point, *, free: bool = False) -> None:
        """Click a place of the site on the plan; ``free`` holds Ctrl, so that nothing is caught."""
        (x, y), scale = self.sees["origin"], self.sees["px_per_m"]
        place = (str(round(x + at[0] * scale)), str(round(y - at[1] * scale)))
        if free:
            self.x("keydown", "ctrl", "mousemove", *place, "click", "1", "keyup", "ctrl")
        else:
            self.x("mousemove", *place, "click", "1")

    def focus(self) -> None:
        """Give the window the keyboard: on this screen nothing else manages windows."""
        self.x("windowfocus", str(self.sees["window"]))
        self.wait(lambda sees: sees["active"])

    def leave(self) -> None:
        """Close the window as its frame would, and wait for the program's end."""
        ask_to_close(self.environment["DISPLAY"], int(self.sees["window"]))
        assert self.program.stdout is not None
        self.program.stdout.read()
        assert self.program.wait(PATIENCE_S) == 0


@pytest.fixture
def started(screen: dict[str, str], tmp_path: Path) -> Iterator[Callable[..., Sitter]]:
    """Starts leakmap on the screen; what was not left is ended."""
    sitters: list[Sitter] = []

    def start(*words: str) -> Sitter:
        command = [sys.executable, str(WATCHED), *words]
        # Unbuffered: a line that was read ahead would lie where no selector sees it.
        program = subprocess.Popen(command, cwd=tmp_path, env=screen, stdout=subprocess.PIPE, bufsize=0)
        sitters.append(Sitter(environment=screen, program=program))
        sitters[-1].wait(lambda sees: sees["buttons"])
        sitters[-1].focus()
        return sitters[-1]

    yield start
    for sitter in sitters:
        if sitter.program.poll() is None:
            sitter.program.kill()
        sitter.program.wait()
        assert sitter.program.stdout is not None
        sitter.program.stdout.close()


def make_the_job(sitter: Sitter) -> None:
    """Make a job of the drawing under the names that are offered."""
    sitter.button("Make the job")
    sitter.wait(lambda sees: sees["open"])


def take(sitter: Sitter, stage: int, key: str, tool: str) -> None:
    """Go to a stage and take a tool by its letter."""
    sitter.do(lambda: sitter.press(f"ctrl+{stage}"), lambda sees: sees["stage"] == stage)
    sitter.do(lambda: sitter.press(key), lambda sees: sees["tool"] == tool)


def says(words: str) -> Callable[[dict[str, Any]], object]:
    """Whether the strip's sentence says something."""
    return lambda sees: words in sees["sentence"]


def set_the_scale(sitter: Sitter) -> None:
    """Give two lengths between grid crossings, one each way: 31.20 m and 21.60 m by the printed dimensions."""
    take(sitter, 1, "s", "Set scale")
    for number, (end, length) in enumerate((((31.2, 0.0), "31.2"), ((0.0, 21.6), "21.6")), start=1):
        sitter.do(lambda: sitter.click((0.0, 0.0)), says("Click the other end"))
        sitter.do(lambda end=end: sitter.click(end), says("Type its length"))
        sitter.type(length)
        sitter.do(lambda: sitter.press("Return"), lambda sees, number=number: sees["lengths"] == number)
    sitter.wait(lambda sees: sees["checked"] == [True])


def draw_joints_that_meet(sitter: Sitter) -> None:
    """Draw one joint, a second that ends on it, and a third that ends where the two meet."""
    take(sitter, 2, "j", "Draw joint")
    ways = (((8.0, 3.0), (14.0, 3.0), True), ((11.0, 7.0), (11.0, 3.0), False), ((13.0, 6.0), (11.0, 3.0), False))
    for number, (start, end, free) in enumerate(ways, start=1):
        sitter.do(lambda start=start: sitter.click(start, free=True), says("Click along"))
        sitter.do(lambda end=end, free=free: sitter.click(end, free=free), says("Click the next bend"))
        sitter.do(lambda: sitter.press("Return"), lambda sees, number=number: len(sees["joints"]) == number)


def mark_leaks(sitter: Sitter) -> None:
    """Mark a seep across the junction, and a drip and a run whose overruns reach it."""
    take(sitter, 3, "l", "Leak stretch")
    stretches = (("2", (10.0, 3.0), (12.0, 3.0)), ("3", (11.0, 5.0), (11.0, 3.6)), ("4", (12.4, 5.1), (11.4, 3.6)))
    for number, (wetness, start, end) in enumerate(stretches, start=1):
        sitter.press(wetness)
        sitter.do(lambda start=start: sitter.click(start), says("Click where it stops"))
        sitter.do(lambda end=end: sitter.click(end), lambda sees, number=number: len(sees["leaks"]) == number)


def turn_back(sitter: Sitter, keys: str, what: str) -> None:
    """Undo, or redo, the eight deeds one by one until none is left: two lengths, three joints, three leaks."""
    for _ in range(8):
        before = sitter.sees["job"]
        sitter.do(lambda: sitter.press(keys), lambda sees, before=before: sees["job"] != before)
    assert sitter.sees[what] is None


def test_the_whole_job(started: Callable[..., Sitter], tmp_path: Path) -> None:
    """What was done by hand is kept, undone, redone, issued, and the same when the job is opened again."""
    drawing = tmp_path / "tern_quay_b2.dxf"
    shutil.copyfile(resource("sample_plans", "tern_quay_b2.dxf"), drawing)
    sitter = started(str(drawing))
    make_the_job(sitter)
    first = sitter.sees["job"]
    set_the_scale(sitter)
    draw_joints_that_meet(sitter)
    mark_leaks(sitter)
    done = sitter.sees
    assert list(done["leaks"].values()) == [2, 3, 4]
    assert done["zones"] == [["J-01", "J-02", "J-03"]]
    assert done["joints"]["J-01"] == pytest.approx(6.0, abs=0.15)
    assert done["joints"]["J-02"] == pytest.approx(4.0, abs=0.15)

    sitter.do(lambda: sitter.press("Escape"), lambda sees: not sees["tool"])
    turn_back(sitter, "ctrl+z", "undo")
    assert sitter.sees["job"] == first
    assert (sitter.sees["joints"], sitter.sees["leaks"], sitter.sees["zones"]) == ({}, {}, [])
    turn_back(sitter, "ctrl+shift+z", "redo")
    assert sitter.sees["job"] == done["job"]

    take(sitter, 5, "i", "Issue")
    sitter.do(lambda: sitter.press("c"), lambda sees: sees["focus"] == "Field")
    sitter.do(lambda: sitter.type("Crew"), lambda sees: sees["typed"] == "Crew")
    sitter.press("Return")
    sitter.wait(lambda sees: sees["revisions"] == ["C01"])
    issued = sitter.wait(lambda sees: "issued" in sees["band"])
    papers = [path.suffix for path in tmp_path.rglob("* C01*/*")]
    assert {".dxf", ".pdf"} <= set(papers)
    sitter.leave()

    again = started(issued["file"])
    again.wait(lambda sees: sees["open"])
    assert again.sees["job"] == issued["job"]
    assert again.sees["zones"] == done["zones"]
    again.leave()

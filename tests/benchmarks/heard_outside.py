"""What somebody hears who does not see the window: read from outside, over the accessibility bus of the desktop.

Run by hand, with the Python of the system, where it knows that bus (Debian: at-spi2-core, gir1.2-atspi-2.0, python3-gi,
dbus, xvfb, xdotool). The window runs on a screen and a bus of its own. It is driven by keys and by the actions that it
offers, all that a screen reader would say is printed step by step, and at the end what is wrong: a thing that takes the
keyboard without a name, a role or a description; the keyboard on such a thing; an action that does nothing; something
said twice in one step; a table without headings; panes in another order than that of Tab.

A reader is taken to say what gets the keyboard, with its role, its state and its description; what of that changes
while the keyboard is there; and announcements. Only readers that know announcements (from 2023 on) say these.

    python3 tests/benchmarks/heard_outside.py JOB.gpkg [--window "COMMAND"]

Every step is done on the job itself: give it a copy. Without a job the start sheet, the sample with the guide,
and gloves are heard. The window finds settings and folders of its own, which go when it does.
"""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

STEPS: tuple[tuple[str, str], ...] = (
    ("look", ""), ("key", "Tab"), ("key", "Tab"), ("key", "ctrl+2"), ("look", ""), ("key", "ctrl+3"),
    ("key", "F6"), ("key", "F6"), ("key", "F6"), ("key", "Up"), ("key", "Down"), ("key", "Tab"), ("key", "Tab"),
    ("say", "Leaks in the ledger"), ("go", "table Ledger"), ("key", "Down"), ("key", "Down"), ("key", "Right"), ("key", "Right"),
    ("key", "Down"), ("key", "Return"), ("key", "Escape"), ("key", "Return"), ("type", "nonsense"), ("key", "Return"),
    ("key", "Escape"), ("key", "shift+Tab"), ("key", "Right"), ("key", "Return"), ("key", "Return"), ("key", "Return"),
    ("key", "Tab"), ("key", "Tab"), ("key", "Right"), ("key", "Left"), ("go", "canvas Tape*"), ("key", "Tab"), ("key", "Tab"), ("key", "Right"),
    ("key", "ctrl+z"), ("key", "Escape"),
    ("say", "A leak by keys"), ("key", "l"), ("look", ""), ("key", "4"), ("go", "radio button 3 drip"), ("key", "space"), ("go", "Plan of*"), ("key", "Down"), ("key", "Right"),
    ("key", "space"), ("key", "Right"), ("type", "0.4"), ("key", "Tab"), ("key", "Return"), ("key", "Escape"),
    ("key", "ctrl+z"), ("key", "comma"), ("key", "bracketright"),
    ("say", "A joint by keys"), ("key", "ctrl+2"), ("key", "j"), ("look", ""), ("key", "Right"), ("key", "space"),
    ("key", "shift+Right"), ("key", "space"), ("key", "shift+Down"), ("type", "2.5"), ("key", "Return"), ("key", "Return"),
    ("key", "Escape"), ("key", "ctrl+z"),
    ("say", "Zones"), ("press", "Repair*"), ("look", ""), ("key", "period"), ("key", "o"), ("key", "Escape"), ("key", "m"),
    ("look", ""), ("key", "Right"), ("key", "Escape"), ("key", "Escape"), ("key", "Prior"), ("key", "Next"),
    ("say", "Issue"), ("key", "ctrl+5"), ("look", ""), ("key", "c"), ("go", "table Ledger"),
    ("key", "Down"), ("key", "Down"), ("key", "Escape"), ("key", "d"), ("wait", "4"),
    ("look", ""), ("key", "Escape"), ("key", "r"), ("look", ""), ("key", "Escape"), ("key", "ctrl+6"), ("look", ""),
    ("say", "Find box, menus, sheets, F1"), ("key", "ctrl+k"), ("type", "drip"), ("look", ""), ("key", "Down"),
    ("key", "Down"), ("key", "Escape"), ("press", "Units*"), ("key", "Down"), ("key", "Escape"), ("press", "Job: *"),
    ("key", "Down"), ("key", "Escape"), ("key", "F1"), ("key", "Escape"), ("key", "ctrl+comma"), ("look", ""),
    ("key", "Tab"), ("key", "Right"), ("key", "Left"), ("key", "Escape"), ("key", "ctrl+1"), ("key", "l"), ("look", ""),
    ("go", "table Ledger"), ("key", "Down"), ("key", "Down"), ("key", "Down"), ("key", "Return"), ("key", "Return"),
    ("key", "Escape"),    ("key", "Escape"), ("press", "whole job"), ("press", "this level"),
)  # fmt: skip
"""What is done: a key, words to type, an action of a thing by its name, a look at the whole tree, a heading."""

START: tuple[tuple[str, str], ...] = (
    ("look", ""), ("key", "Tab"), ("key", "Tab"), ("key", "F1"), ("key", "Escape"), ("press", "First job, step by step"),
    ("wait", "4"), ("look", ""), ("press", "Next: *"), ("go", "push button Next: *"), ("key", "space"), ("press", "Leave the*"),
    ("press", "Units*"), ("key", "Up"), ("key", "Return"), ("look", ""), ("press", "Type"), ("press", "Type"),
    ("key", "ctrl+3"), ("go", "table Ledger"), ("key", "Home"), ("key", "End"), ("look", ""),
)  # fmt: skip
"""What is done without a job."""

UNTOLD = ("filler", "unknown", "invalid", "redundant object")
BARE = (
    "table cell",
    "list item",
    "menu item",
    "menu",
    "popup menu",
    "check menu item",
    "table column header",
    "separator",
)
"""Roles of things that need no description: what is listed is named, what it is listed in says how it is used."""

PRESSED = ("push button", "check box")

PANES = ("Job and stages", "Actions of the stage", "Levels", "Plan of *", "Tape*", "Ledger", "Foot")
"""Panes in the order of desk.md, section 9."""

HEARD = (
    "object:state-changed:focused", "object:state-changed:checked", "object:property-change:accessible-name",
    "object:property-change:accessible-description", "object:property-change:accessible-value", "object:announcement",
)  # fmt: skip


def needed(program: str) -> str:
    """Where a program is that this script needs."""
    found = shutil.which(program)
    if found is None:
        raise SystemExit(f"{program} is needed and is not installed")
    return found


def alone(words: list[str]) -> int:
    """Run this script inside a screen and a bus of its own; gives its exit code."""
    number = next(n for n in range(90, 400) if not Path(f"/tmp/.X{n}-lock").exists())  # noqa: S108 - where X keeps them
    screen = subprocess.Popen(
        [needed("Xvfb"), f":{number}", "-screen", "0", "1600x1000x24"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    time.sleep(1)
    always = {"DISPLAY": f":{number}", "QT_QPA_PLATFORM": "xcb", "QT_LINUX_ACCESSIBILITY_ALWAYS_ON": "1"}
    call = [needed("dbus-run-session"), "--", sys.executable, "-W", "ignore", __file__, "--inside", *words]
    try:
        with tempfile.TemporaryDirectory() as folder:
            own = {f"XDG_{sort}_HOME": folder for sort in ("CONFIG", "DATA", "CACHE", "STATE")} | {"HOME": folder}
            return subprocess.run(call, check=False, env=os.environ | always | own).returncode
    finally:
        screen.terminate()
        screen.wait()


def alike(name: str, wanted: str) -> bool:
    """Whether a name is the wanted one; a star at its end stands for anything."""
    return name.startswith(wanted[:-1]) if wanted.endswith("*") else name == wanted


def give_keyboard() -> None:
    """Make the window as large as the screen and give it the keyboard, for no window manager is there."""
    find = [needed("xdotool"), "search", "--onlyvisible", "--name", "leakmap"]
    window = subprocess.run(find, check=True, capture_output=True, text=True).stdout.split()[0]
    subprocess.run(
        [
            needed("xdotool"),
            "windowsize",
            window,
            "1600",
            "1000",
            "windowmove",
            window,
            "0",
            "0",
            "windowfocus",
            window,
        ],
        check=True,
    )


class Reader:
    """Hears one window.

    Args:
        command: What starts it.
    """

    def __init__(self, command: list[str]) -> None:
        import gi  # type: ignore[import-untyped, unused-ignore]  # noqa: PLC0415 - only inside

        gi.require_version("Atspi", "2.0")
        from gi.repository import Atspi, GLib  # noqa: PLC0415 - only inside

        self._bus, self._turns, self._gone = Atspi, GLib.MainContext.default(), GLib.Error
        self.said: list[str] = []
        self.faults: dict[str, str] = {}
        self.where = "start"
        self._focus: Any = None
        self.window = subprocess.Popen(command)
        self._ear = Atspi.EventListener.new(self._heard)
        for sort in HEARD:
            self._ear.register(sort)
        self.application = self._found()

    def _found(self) -> Any:  # noqa: ANN401 - of the bus
        for _ in range(120):
            self.rest(0.5)
            desk = self._bus.get_desktop(0)
            for each in (desk.get_child_at_index(at) for at in range(desk.get_child_count())):
                if each is not None and each.get_name() == "leakmap" and each.get_child_count():
                    self.rest(2)
                    give_keyboard()
                    self.rest(1)
                    return each
        raise SystemExit("no window came onto the bus")

    def rest(self, seconds: float) -> None:
        """Hear what comes for a while."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            while self._turns.pending():
                self._turns.iteration(False)
            time.sleep(0.005)

    def fault(self, words: str) -> None:
        """Note what is wrong, with the first place where it is."""
        self.faults.setdefault(words, self.where)

    def states(self, thing: Any) -> set[str]:  # noqa: ANN401 - of the bus
        """What a thing is just now."""
        return {state.value_nick for state in thing.get_state_set().get_states()}

    def words_of(self, thing: Any) -> str:  # noqa: ANN401 - of the bus
        """What is said of a thing that gets the keyboard."""
        states = self.states(thing)
        told = ["checked" if "checked" in states else "not checked"] if "checkable" in states else []
        parts = (thing.get_name(), thing.get_role_name(), *told, thing.get_description())
        return ", ".join(part for part in parts if part)

    def _heard(self, event: Any) -> None:  # noqa: ANN401 - of the bus
        with suppress(self._gone):  # it may be gone before it can be asked
            self._hear(event)

    def _hear(self, event: Any) -> None:  # noqa: ANN401 - of the bus
        sort, source = event.type.removeprefix("object:"), event.source
        if sort.startswith("announcement"):
            self._say(str(event.any_data))
        elif sort == "state-changed:focused":
            if event.detail1:
                self._take_focus(source)
        elif self._focus is not None and source == self._focus:
            if sort == "state-changed:checked":
                self._say("checked" if event.detail1 else "")  # of a few another one is checked, which is said
            elif source.get_role_name() not in ("table cell", "combo box"):
                self._say(str(event.any_data))
        elif source.get_role_name() == "progress bar" and sort.endswith("value"):
            self._say(f"{source.get_name()} {source.get_value_iface().get_current_value() / 10:.0f} percent")

    def _take_focus(self, thing: Any) -> None:  # noqa: ANN401 - of the bus
        if self._focus is not None and thing == self._focus:
            return
        self._focus = thing
        if not thing.get_name() or thing.get_role_name() in UNTOLD:
            self.fault(f"the keyboard is on a {thing.get_role_name()} called {thing.get_name()!r}")
        self._say(self.words_of(thing))

    def _say(self, words: str) -> None:
        if words:
            print(f"      {words}", flush=True)
            self.said.append(words)

    def things(self, of: Any = None) -> Iterator[Any]:  # noqa: ANN401 - of the bus
        """Everything that is shown."""
        of = self.application if of is None else of
        for at in range(of.get_child_count()):
            child = of.get_child_at_index(at)
            if child is not None and "showing" in self.states(child):
                yield child
                yield from self.things(child)

    def called(self, name: str) -> Any:  # noqa: ANN401 - of the bus
        """The first thing of a name that is shown; the first word may be its role."""
        for thing in self.things():
            if alike(thing.get_name(), name) or alike(f"{thing.get_role_name()} {thing.get_name()}", name):
                return thing
        return None

    def look(self) -> None:
        """Look at all that is shown."""
        seen = list(self.things())
        if not self.application.get_object_locale().startswith("en"):
            self.fault(f"the window speaks {self.application.get_object_locale()}")
        for thing in seen:
            role, name = thing.get_role_name(), thing.get_name()
            if "focusable" in self.states(thing):
                if (not name and role != "table cell") or role in UNTOLD:
                    self.fault(f"a {role} called {name!r} takes the keyboard")
                if role not in BARE and not thing.get_description():
                    self.fault(f"{role} {name!r} has no description")
            if role == "table column header" and not name:
                self.fault("a table has a column without a heading")
        names = [thing.get_name() for thing in seen if thing.get_role_name() not in PRESSED]
        order = [next((at for at, name in enumerate(names) if alike(name, pane)), -1) for pane in PANES]
        there = [at for at in order if at >= 0]
        if there != sorted(there):
            self.fault(f"panes are read in another order: {order}")
        roles = Counter(thing.get_role_name() for thing in seen)
        print("      " + ", ".join(f"{count} {role}" for role, count in roles.most_common(8)))

    def go(self, name: str) -> None:
        """Give a thing the keyboard as a reader does."""
        thing = self.called(name)
        part = thing.get_component_iface() if thing is not None else None
        if part is None or not part.grab_focus():
            self.fault(f"{name} cannot be given the keyboard")

    def press(self, name: str) -> None:
        """Press a thing as a reader does, by its own action."""
        thing = self.called(name)
        acts = thing.get_action_iface() if thing is not None else None
        if acts is None or not acts.get_n_actions() or not acts.do_action(0):
            self.fault(f"{name} cannot be pressed")
            return
        self.rest(0.3)
        if "checkable" in self.states(thing) and "checked" not in self.states(thing):
            self.fault(f"{name} is not the chosen one after it was pressed")

    def step(self, what: str, of: str) -> None:
        """Do a step and hear what comes of it."""
        self.where, before = f"{what} {of}".strip(), len(self.said)
        print(f"\n  {of}\n" if what == "say" else f"   {self.where}", flush=True)
        if what in ("key", "type"):
            subprocess.run([needed("xdotool"), what, *(("--delay", "60") if what == "type" else ()), of], check=True)
        elif what == "press":
            self.press(of)
        elif what == "go":
            self.go(of)
        self.rest(float(of) if what == "wait" else 0.0 if what == "say" else 0.9)
        if what == "look":
            self.look()
        for words, times in Counter(self.said[before:]).items():
            if times > 1:
                self.fault(f"said {times} times: {words}")


def inside(job: str, command: str) -> int:
    """Hear the window; gives the exit code."""
    reader = Reader([*shlex.split(command), *([job] if job else [])])
    try:
        for what, of in STEPS if job else START:
            reader.step(what, of)
            if reader.window.poll() is not None:
                reader.fault("the window is gone")
                break
    finally:
        reader.window.terminate()
        reader.window.wait()
    print(f"\n{len(reader.said)} things said, {len(reader.faults)} faults")
    for fault, where in reader.faults.items():
        print(f"  {fault} (at: {where})")
    return 1 if reader.faults else 0


def main() -> int:
    """Read the command line."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    words.add_argument("job", nargs="?", default="", help="a copy of a job file")
    words.add_argument("--window", default=".venv/bin/python -m leakmap.console", help="what starts the window")
    words.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    told = words.parse_args()
    return inside(told.job, told.window) if told.inside else alone(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())

"""Progress on a terminal and in a pipe."""

from __future__ import annotations

from io import StringIO
from itertools import count

from leakmap.console.bar import Bar


class FakeTerminal(StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Say so."""
        return True


def ticking(step: float) -> Bar:
    """A bar on a fake terminal whose clock moves a step at each look."""
    times = count()
    return Bar(FakeTerminal(), lambda: next(times) * step)


def test_a_fake_terminal_is_one() -> None:
    """The fake says what a terminal says, and keeps what was written."""
    fake = FakeTerminal()
    fake.write("x")
    assert (fake.isatty(), fake.getvalue()) == (True, "x")


def test_a_pipe_stays_silent() -> None:
    """Nothing at all is written where nobody watches."""
    stream = StringIO()
    times = count()
    with Bar(stream, lambda: float(next(times))) as bar:
        bar.report("Reading a.dxf", 1, 2)
    assert stream.getvalue() == ""


def test_a_terminal_shows_a_bar_and_wipes_it() -> None:
    """The bar is drawn over itself, and in the end the line is empty again."""
    with ticking(1.0) as bar:
        bar.report("Reading a.dxf", 1, 2)
        bar.report("Done", 2, None)
    text = bar._stream.getvalue()  # type: ignore[attr-defined] - the fake keeps it
    lines = text.split("\r")
    assert lines[1] == "Reading a.dxf [############            ] 1 of 2"
    assert lines[2] == "Done 2".ljust(len(lines[1]))
    assert lines[3].strip() == ""
    assert text.endswith("\r")


def test_short_work_shows_nothing() -> None:
    """Work under a third of a second draws no bar."""
    with ticking(0.01) as bar:
        for done in range(10):
            bar.report("Reading", done, 10)
    assert bar._stream.getvalue() == ""  # type: ignore[attr-defined] - the fake keeps it


def test_many_reports_are_drawn_seldom() -> None:
    """A bar is drawn ten times a second at most, however often the work reports."""
    with ticking(0.001) as bar:
        for done in range(2000):
            bar.report("Reading", done, 2000)
    drawn = bar._stream.getvalue().count("Reading")  # type: ignore[attr-defined] - the fake keeps it
    assert 10 <= drawn <= 20

"""Words of the command line."""

from __future__ import annotations

from argparse import ArgumentTypeError

import pytest

from leakmap.console.parser import Parser, a_measure, a_number, a_point, joined


def test_points_and_numbers() -> None:
    """Points are x,y with decimal points, and may be negative."""
    assert a_point("1200,-350.5") == (1200.0, -350.5)
    assert a_number("6.00") == 6.0


@pytest.mark.parametrize("text", ["1", "1,2,3", "a,b", "nan,1", "inf,0", "1;2", ""])
def test_what_is_no_point(text: str) -> None:
    """Anything else is refused with how to write it."""
    with pytest.raises(ArgumentTypeError, match="decimal point"):
        a_point(text)


def test_negative_values_are_no_options() -> None:
    """A value that begins with a minus belongs to the option before it; options and files stay apart."""
    assert joined(["a.gpkg", "--from", "-1,2", "--to", "-.5,0", "--x=1", "-3", "--json"]) == [
        "a.gpkg",
        "--from=-1,2",
        "--to=-.5,0",
        "--x=1",
        "-3",
        "--json",
    ]


def test_an_error_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong word ends with 2, one line, and where help is."""
    parser = Parser("scale", "Give a length.", example="  leakmap scale a.gpkg")
    with pytest.raises(SystemExit) as end:
        parser.parse_args(["--wrong"])
    assert end.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "leakmap scale --help" in said.err


@pytest.mark.parametrize(("typed", "metres"), [("31.2", 31.2), ("102' 4 3/8\"", 31.200725), ("2' 6", 0.762)])
def test_a_length_on_the_command_line_is_metres_unless_it_says_feet(typed: str, metres: float) -> None:
    """A bare figure is metres in any job, so that no script means something else in another one."""
    assert a_measure(typed) == pytest.approx(metres, abs=1e-12)
    with pytest.raises(ArgumentTypeError, match=r"^“6 1/2” may be feet or inches; type ' or \" behind it$"):
        a_measure("6 1/2")

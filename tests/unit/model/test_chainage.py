"""Raw and printed chainages."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from leakmap.geometry.path import Path
from leakmap.model.chainage import printed_m, raw_m
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind


def joint(start_m: float) -> Joint:
    """A straight joint whose first point is printed as start_m."""
    line = Path(((0.0, 0.0), (10.0, 0.0)))
    return Joint(
        id=UUID(int=1),
        ref="J-01",
        sheet=UUID(int=2),
        kind=Kind.CONSTRUCTION,
        face=Face.FLOOR,
        path=line,
        start_m=start_m,
    )


@given(st.just(0.0) | st.floats(1e-6, 10_000), st.integers(-10_000_000, 10_000_000))
def test_there_and_back_loses_nothing(chainage_m: float, start_mm: int) -> None:
    """Printing a chainage (nought, or a micrometre and more) and reading it gives it to the last bit."""
    split = joint(start_mm / 1000)
    assert raw_m(split, printed_m(split, chainage_m)) == chainage_m


def test_a_split_joint_counts_on() -> None:
    """0.2 m along a joint that starts at 10.1 m is printed 10.3, exactly; decimals keep their places."""
    assert printed_m(joint(10.1), 0.2) == Decimal("10.3")
    assert str(printed_m(joint(10.0), Decimal("1.500"))) == "11.500"

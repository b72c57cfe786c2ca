"""Labels: beside their thing, never over each other."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.geometry.path import Box
from leakmap.issue.marks.labels import HARD, Occupied, Wanted, leader_line, placed, width_guess_mm
from leakmap.issue.marks.primitives import Label, Tone


def want(words: str, at: tuple[float, float], *, shoulder: bool = False) -> Wanted:
    """A label of 2.5 mm."""
    return Wanted(words=words, anchors=(at,), cap_mm=2.5, clear_mm=1.5, tone=Tone.INK, shoulder=shoulder)


def put(wanted: Wanted, occupied: Occupied) -> Label:
    """The label, which must find a place."""
    label = placed(wanted, occupied, width_guess_mm)
    assert label is not None
    return label


def box(label: Label) -> Box:
    """What a label covers."""
    return label.at[0], label.at[1], label.at[0] + label.width_m, label.at[1] + label.cap_height_m


def meet(a: Box, b: Box) -> bool:
    """Whether two boxes share area."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def test_a_lonely_label_stands_beside_its_thing_without_a_leader() -> None:
    """Nothing is in the way: no leader, and within a centimetre on paper."""
    label = put(want("J-01", (5.0, 5.0)), Occupied(100))
    assert label.leader == ()
    assert abs(label.at[0] - 5.0) < 1.0
    assert abs(label.at[1] - 5.0) < 1.0


def test_a_crowded_label_stands_off_on_a_leader() -> None:
    """A block of 30 mm round the anchor sends the label out on a leader that starts at the anchor."""
    occupied = Occupied(100)
    occupied.add((4.2, 4.2, 5.8, 5.8), HARD)
    label = put(want("J-01", (5.0, 5.0)), occupied)
    assert label.leader[0] == (5.0, 5.0)
    assert not meet(box(label), (4.2, 4.2, 5.8, 5.8))
    assert leader_line(label) is not None


def test_a_reference_on_a_shoulder_always_has_its_leader() -> None:
    """The shoulder runs under the words from one end to the other."""
    label = put(want("Z-07", (5.0, 5.0), shoulder=True), Occupied(100))
    (_, _), (x1, y1), (x2, y2) = label.leader
    assert y1 == y2 < label.at[1]
    assert abs(x2 - x1) >= label.width_m


def test_a_label_stays_in_its_field() -> None:
    """At the field's corner it turns inwards."""
    field = (0.0, 0.0, 10.0, 10.0)
    for corner in ((0.05, 0.05), (9.95, 9.95), (0.05, 9.95), (9.95, 0.05)):
        x0, y0, x1, y1 = box(put(want("V-12  4.20", corner), Occupied(100, field)))
        assert x0 >= 0
        assert y0 >= 0
        assert x1 <= 10
        assert y1 <= 10


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=2, max_size=25))
def test_labels_never_cover_each_other(places: list[tuple[int, int]]) -> None:
    """Whatever stands where, even all on one point, no two labels share area."""
    occupied = Occupied(100)
    labels = [
        put(want(f"J-{n:02d}", (x / 10, y / 10), shoulder=n % 3 == 0), occupied) for n, (x, y) in enumerate(places)
    ]
    assert not [pair for pair in combinations(map(box, labels), 2) if meet(*pair)]


def test_a_long_line_is_felt_along_its_whole_length() -> None:
    """A joint of 40 m weighs on a label anywhere along it, and not away from it."""
    occupied = Occupied(100)
    occupied.add_line([(0, 0), (40, 0)], 3.0, 0.03)
    assert occupied.cost((20.0, -0.1, 20.2, 0.1)) >= 3.0
    assert occupied.cost((20.0, 1.0, 20.2, 1.2)) == 0.0
    assert occupied.cost_of_line([(20.0, -1.0), (20.0, 1.0)]) >= 3.0


def test_a_label_that_may_be_left_out_is_left_out_where_it_would_cover_another() -> None:
    """In a field filled with signs a needed label stands on them, and one that is not needed has no place."""
    occupied = Occupied(100, (0.0, 0.0, 10.0, 10.0))
    occupied.add((0.0, 0.0, 10.0, 10.0), HARD)
    wanted = want("L-01", (5.0, 5.0))
    assert placed(replace(wanted, needed=False), occupied, width_guess_mm) is None
    assert placed(wanted, occupied, width_guess_mm) is not None

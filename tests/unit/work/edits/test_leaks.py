"""Deeds on leaks."""

from __future__ import annotations

from datetime import date

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.words import Method, Wetness
from leakmap.work.edits import leaks
from leakmap.work.edits.leaks import (
    LeakEnd,
    add_leak,
    add_leak_all_round,
    describe_leak,
    is_all_round,
    move_leak_ends,
    remove_leak,
    shift_leak,
)
from tests.helpers.small_jobs import leak_named, one_line, photo, stretches, with_leak

SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round


def test_leak_is_added() -> None:
    """A leak has all that was seen of it and the next L number."""
    job, joint = one_line()
    edit = add_leak(
        job,
        joint=joint,
        from_m=1,
        to_m=2,
        wetness=Wetness.JET,
        seen=date(2024, 5, 2),
        worst_m=1.4,
        flow_l_min=3.5,
        overrun_from_m=0.6,
        overrun_to_m=0.2,
        method=Method.DEEP_PLUG,
        note="cold",
        photos=[photo("a.jpg")],
    )
    leak = edit.job.leaks[edit.made[0]]
    assert (leak.ref, leak.from_m, leak.to_m, leak.wetness) == ("L-01", 1, 2, Wetness.JET)
    assert (leak.seen, leak.worst_m, leak.flow_l_min) == (date(2024, 5, 2), 1.4, 3.5)
    assert (leak.overrun_from_m, leak.overrun_to_m, leak.method) == (0.6, 0.2, Method.DEEP_PLUG)
    assert (leak.note, leak.photos) == ("cold", (photo("a.jpg"),))
    assert edit.words == "add L-01"


def test_plain_number_is_a_wetness() -> None:
    """A wetness given as a plain number becomes the word; one that is none is refused."""
    job, joint = one_line()
    assert leak_named(with_leak(job, joint, 1, 2, 3)[0], "L-01").wetness is Wetness.DRIP
    with pytest.raises(EditRefused, match="6 is no wetness; give 0 to 5"):
        with_leak(job, joint, 1, 2, 6)


def test_spot_is_a_leak() -> None:
    """Equal chainages make a spot, at the very end too."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 7, 7)
    assert stretches(job) == {"L-01": ("J-01", 7, 7)}


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"from_m": 6, "to_m": 7.5}, "past the end of J-01"),
        ({"from_m": 3, "to_m": 2}, "smaller chainage to the larger"),
        ({"from_m": -1, "to_m": 2}, "negative"),
        ({"from_m": float("nan"), "to_m": 2}, "not a finite number"),
        ({"worst_m": 2.5}, "worst point of L-02 lies outside"),
        ({"flow_l_min": -1.0}, "flow of L-02"),
        ({"overrun_from_m": -0.1}, "overrun of L-02"),
        ({"overrun_to_m": float("inf")}, "overrun of L-02"),
        ({"ref": "L-01"}, "L-01 is in use"),
        ({"ref": " "}, "needs a reference"),
    ],
)
def test_impossible_leak_is_refused(facts: dict[str, object], sentence: str) -> None:
    """A leak past the end, backwards, with a value that is none, or with a reference in use is refused."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 4, 5)
    with pytest.raises(EditRefused, match=sentence):
        add_leak(job, joint=joint, wetness=Wetness.SEEP, **{"from_m": 1, "to_m": 2, **facts})


def test_leak_on_nothing_is_refused() -> None:
    """A leak needs a joint."""
    job, joint = one_line()
    with pytest.raises(EditRefused, match="This joint is not in the job"):
        add_leak(job, joint=job.id, from_m=0, to_m=1, wetness=Wetness.SEEP)
    assert joint != job.id


def test_leak_may_pass_the_start_of_a_closed_joint() -> None:
    """From 9 round to 1 m on 10 m, with the worst point at the start."""
    job, joint = one_line(SQUARE, closed=True)
    job, leak = with_leak(job, joint, 9, 1, worst_m=0.5)
    assert stretches(job) == {"L-01": ("J-01", 9, 1)}
    assert not is_all_round(job, leak)


def test_wet_all_round_is_stored_from_0_to_the_length() -> None:
    """A closed joint that is wet all round has a leak from 0 to its length; an open one is never wet all round."""
    job, joint = one_line(SQUARE, closed=True)
    edit = add_leak_all_round(job, joint=joint, wetness=Wetness.DAMP, seen=date(2024, 5, 2), ref="L-05")
    assert stretches(edit.job) == {"L-05": ("J-01", 0, 10)}
    assert is_all_round(edit.job, edit.made[0])
    job, joint = one_line()
    with pytest.raises(EditRefused, match="J-01 is open"):
        add_leak_all_round(job, joint=joint, wetness=Wetness.DAMP)
    job, leak = with_leak(job, joint, 0, 7)
    assert not is_all_round(job, leak)


def test_number_of_a_removed_leak_is_not_used_again() -> None:
    """After L-01 was removed the next leak is L-02."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1, 2)
    edit = remove_leak(job, leak=leak)
    assert edit.words == "remove L-01"
    assert stretches(with_leak(edit.job, joint, 1, 2)[0]) == {"L-02": ("J-01", 1, 2)}


def test_ends_are_moved() -> None:
    """One end moves, or both; what is not given stays."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 3, 5, worst_m=4)
    one = move_leak_ends(job, leak=leak, to_m=6)
    assert (stretches(one.job)["L-01"], one.words) == (("J-01", 3, 6), "move end of L-01")
    both = move_leak_ends(job, leak=leak, from_m=1, to_m=2)
    assert (stretches(both.job)["L-01"], both.words) == (("J-01", 1, 2), "move ends of L-01")
    assert both.job.leaks[leak].worst_m is None
    assert both.said == ("The worst point of L-01 lay outside its new ends and is forgotten.",)
    assert one.job.leaks[leak].worst_m == 4
    for from_m, to_m, sentence in ((6, None, "smaller chainage"), (None, 8, "past the end"), (-1, None, "negative")):
        with pytest.raises(EditRefused, match=sentence):
            move_leak_ends(job, leak=leak, from_m=from_m, to_m=to_m)


@pytest.mark.parametrize(
    ("deed", "given", "field", "words"),
    [
        (leaks.set_wetness, {"wetness": Wetness.RUN}, "wetness", "set wetness of L-01"),
        (leaks.set_worst_point, {"worst_m": 4.2}, "worst_m", "set worst point of L-01"),
        (leaks.set_seen, {"seen": date(2024, 1, 1)}, "seen", "set date of L-01"),
        (leaks.set_flow, {"flow_l_min": 0.5}, "flow_l_min", "set flow of L-01"),
        (leaks.set_note, {"note": "stained"}, "note", "set note of L-01"),
        (leaks.set_method, {"method": Method.ANOTHER}, "method", "set method of L-01"),
    ],
)
def test_fact_is_set(deed: object, given: dict[str, object], field: str, words: str) -> None:
    """Each deed sets its own fact and nothing else, and the old value takes it back."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 3, 5)
    edit = deed(job, leak=leak, **given)
    assert edit.changed == {("leaks", leak)}
    assert edit.words == words
    ((name, value),) = given.items()
    assert getattr(edit.job.leaks[leak], field) == value
    assert deed(edit.job, leak=leak, **{name: getattr(job.leaks[leak], field)}).job == job


def test_photos_are_added_once_and_removed_by_their_hash() -> None:
    """Two photos come after the one that is there, one of them not twice; removing the first leaves the other as it is."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 3, 5, photos=(photo("a.jpg"),))
    edit = leaks.add_photos(job, leak=leak, photos=[photo("b.jpg"), photo("a.jpg")])
    assert edit.words == "add 1 photo to L-01"
    assert edit.job.leaks[leak].photos == (photo("a.jpg"), photo("b.jpg"))
    removed = leaks.remove_photo(edit.job, leak=leak, sha256=photo("a.jpg").sha256)
    assert removed.words == "remove a photo of L-01"
    assert removed.job.leaks[leak].photos == (photo("b.jpg"),)
    with pytest.raises(EditRefused, match=r"L-01 has no such photo\."):
        leaks.remove_photo(removed.job, leak=leak, sha256=photo("a.jpg").sha256)


@pytest.mark.parametrize(
    ("deed", "given", "sentence"),
    [
        (leaks.set_worst_point, {"worst_m": 5.5}, r"5\.500 m lies outside L-01, which runs from 3\.000 m to 5\.000 m"),
        (leaks.set_worst_point, {"worst_m": 8}, "past the end"),
        (leaks.set_flow, {"flow_l_min": float("nan")}, "flow of L-01 is not a finite number"),
        (leaks.set_overrun, {"end": LeakEnd.TO, "overrun_m": -0.1}, "overrun of L-01 is -0.1; it must not be negative"),
        (leaks.set_wetness, {"wetness": 9}, "9 is no wetness"),
    ],
)
def test_impossible_fact_is_refused(deed: object, given: dict[str, object], sentence: str) -> None:
    """A worst point outside the leak, a negative overrun and the like are refused."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 3, 5)
    with pytest.raises(EditRefused, match=sentence):
        deed(job, leak=leak, **given)


def test_overruns_by_hand_are_given_back() -> None:
    """Each side has its own overrun by hand, 0 included; None, or the one deed for both, gives it back to the rule."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 3, 5)
    hand = leaks.set_overrun(job, leak=leak, end=LeakEnd.FROM, overrun_m=0.0).job
    hand = leaks.set_overrun(hand, leak=leak, end=LeakEnd.TO, overrun_m=0.75).job
    assert (hand.leaks[leak].overrun_from_m, hand.leaks[leak].overrun_to_m) == (0.0, 0.75)
    assert leaks.set_overrun(hand, leak=leak, end=LeakEnd.TO, overrun_m=None).job.leaks[leak].overrun_to_m is None
    assert leaks.give_overruns_back(hand, leak=leak).job == job


def test_a_whole_leak_is_moved_along_its_joint() -> None:
    """By 1 cm, with its worst point; by more than there is room it stops at the end, and there it is refused."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1.0, 2.5, worst_m=1.4)
    edit = shift_leak(job, leak=leak, by_m=0.01)
    moved = edit.job.leaks[leak]
    assert (moved.from_m, moved.to_m, moved.worst_m, edit.words) == (1.01, 2.51, 1.41, "move L-01")
    at_end = shift_leak(job, leak=leak, by_m=9.0).job
    assert (at_end.leaks[leak].from_m, at_end.leaks[leak].to_m, at_end.leaks[leak].worst_m) == (5.5, 7.0, 5.9)
    with pytest.raises(EditRefused, match=r"L-01 lies at the end of J-01 already\."):
        shift_leak(at_end, leak=leak, by_m=0.1)
    assert shift_leak(job, leak=leak, by_m=-9.0).job.leaks[leak].to_m == 1.5


def test_a_leak_of_a_ring_is_moved_past_its_start() -> None:
    """On a ring 10 m round, 9 to 9.8 moved by 0.5 runs from 9.5 to 0.3; all round there is nowhere to go."""
    job, joint = one_line(SQUARE, closed=True)
    job, leak = with_leak(job, joint, 9.0, 9.8)
    moved = shift_leak(job, leak=leak, by_m=0.5).job.leaks[leak]
    assert (moved.from_m, round(moved.to_m, 9)) == (9.5, 0.3)
    back = shift_leak(job, leak=leak, by_m=-9.5).job.leaks[leak]
    assert (back.from_m, round(back.to_m, 9)) == (9.5, 0.3)
    whole = add_leak_all_round(job, joint=joint, wetness=Wetness.DAMP)
    with pytest.raises(EditRefused, match="runs all round"):
        shift_leak(whole.job, leak=whole.made[0], by_m=0.1)


def test_what_was_seen_is_set_in_one_step_that_names_it() -> None:
    """Date, flow and note are one deed; its words name what differs."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1, 2, seen=date(2024, 5, 2))
    edit = describe_leak(job, leak=leak, seen=date(2024, 5, 3), flow_l_min=2.5, note="cold")
    found = edit.job.leaks[leak]
    assert (found.seen, found.flow_l_min, found.note) == (date(2024, 5, 3), 2.5, "cold")
    assert edit.words == "set date, flow and note of L-01"
    again = describe_leak(edit.job, leak=leak, seen=date(2024, 5, 3), flow_l_min=None, note="cold")
    assert again.words == "set flow of L-01"
    with pytest.raises(EditRefused, match="flow"):
        describe_leak(job, leak=leak, seen=None, flow_l_min=-1.0, note="")

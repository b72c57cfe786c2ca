"""Pieces with their reasons, and where slots stop, by hand."""

from __future__ import annotations

from leakmap.model.joint import Blind
from leakmap.model.rules import Rules, Suspects
from leakmap.model.words import Method, Wetness
from leakmap.repair.cover import covered
from tests.helpers.jobs import job_of, leak, leak_id, line
from tests.helpers.reading_cover import ends, pieces_on, reasons, spans

ALONG = line((0, 0), (5, 0))
STEM = line((2, 0), (2, 3))


def test_pieces_tell_leak_and_overrun() -> None:
    """A drip 2 to 3 m: 0.4 m of overrun each side, all on account of the leak."""
    found = covered(job_of([ALONG], [leak(1, 2, 3, 3)]))
    assert reasons(found, 1) == [(1.6, 2.0, "overrun"), (2.0, 3.0, "leak"), (3.0, 3.4, "overrun")]
    assert [piece.wetness for piece in pieces_on(found, 1)] == [None, Wetness.DRIP, None]
    assert {piece.leaks for piece in pieces_on(found, 1)} == {(leak_id(1),)}


def test_the_wettest_decides_where_leaks_lie_over_each_other() -> None:
    """Seep 1 to 3 m, run 2 to 2.5 m: the pieces change at both ends of the run and of its overruns."""
    found = covered(job_of([ALONG], [leak(1, 1, 3), leak(1, 2, 2.5, 4)]))
    wet = [(piece.from_m, piece.to_m, piece.wetness) for piece in pieces_on(found, 1) if piece.why.value == "leak"]
    assert [(low, high) for low, high, wetness in wet if wetness is Wetness.RUN] == [(2.0, 2.5)]
    assert wet[0][0] == 1.0
    assert wet[-1][1] == 3.0
    assert wet[1] == (1.55, 2.0, Wetness.SEEP)


def test_overruns_of_two_wet_stretches_over_each_other_are_merged() -> None:
    """Seeps end at 1.0 and start at 1.5: from 1.2 to 1.3 both overruns lie there."""
    found = covered(job_of([ALONG], [leak(1, 0.5, 1), leak(1, 1.5, 2)]))
    assert (1.2, 1.3, "merged") in reasons(found, 1)
    assert [piece.leaks for piece in pieces_on(found, 1) if piece.why.value == "merged"] == [(leak_id(1), leak_id(2))]


def test_overruns_of_one_wet_stretch_are_never_merged() -> None:
    """Two seeps that touch are one wet stretch; their overruns over each other stay overrun."""
    found = covered(job_of([ALONG], [leak(1, 1, 2), leak(1, 2, 3, 3), leak(1, 0.9, 1.5)]))
    assert {why for _, _, why in reasons(found, 1)} == {"leak", "overrun"}


def test_a_spot_splits_no_leak_piece() -> None:
    """A spot has no length: its two overruns are one piece."""
    assert reasons(covered(job_of([ALONG], [leak(1, 2.5)])), 1) == [(2.2, 2.8, "overrun")]


def test_hidden_cover_keeps_its_wetness_and_leaks() -> None:
    """Plant hides 2.5 to 3.5 m; the leak 2 to 3 m is told in there as well, and the slot stops on both sides."""
    joint = line((0, 0), (5, 0), blind=(Blind(from_m=2.5, to_m=3.5, what="plant"),))
    found = covered(job_of([joint], [leak(1, 2, 3), leak(1, 3.9, 4)]))
    assert [(p.from_m, p.to_m, p.wetness) for p in pieces_on(found, 1) if p.why.value == "blind"] == [
        (2.5, 3.0, Wetness.SEEP),
        (3.0, 3.3, None),
        (3.3, 3.5, None),
    ]
    assert spans(found) == {1: [(1.7, 4.3)]}
    assert ends(found) == [
        (1, 1.7, "down", "overrun", 1),
        (1, 2.5, "up", "blind", None),
        (1, 3.5, "down", "blind", None),
        (1, 4.3, "up", "overrun", 2),
    ]


def test_suspects_are_repaired_unless_the_rules_watch_them() -> None:
    """A suspect of 1 m: 1.6 m of cover, or none; a seep beside it is not touched by the rule."""
    leaks = [leak(1, 1, 2, 0), leak(1, 4, 4.2, 2)]
    assert spans(covered(job_of([ALONG], leaks)))[1][0] == (0.7, 2.3)
    watching = covered(job_of([ALONG], leaks, rules=Rules(suspects=Suspects.WATCH)))
    assert spans(watching) == {1: [(3.7, 4.5)]}


def test_a_leak_under_another_method_gets_no_cover() -> None:
    """It neither covers nor counts as wet here."""
    found = covered(job_of([ALONG], [leak(1, 1, 2, 5, method=Method.ANOTHER), leak(1, 1.5, 1.8)]))
    assert spans(found) == {1: [(1.2, 2.1)]}
    assert {piece.wetness for piece in pieces_on(found, 1)} == {None, Wetness.SEEP}

"""What stands below the ledger's tables."""

from __future__ import annotations

from dataclasses import replace

import pytest

from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import at_once
from leakmap.model.drawing import Layer, LayerState
from leakmap.model.job import Job
from leakmap.model.rules import Suspects
from leakmap.model.sheet import KnownLength, Source
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.repair.compared import old_repairs_of
from leakmap.repair.work_out import repairs
from leakmap.work.changes_since import Before, Changes, changes_steps
from leakmap.work.check_list import Check, Where
from leakmap.work.edits.leaks import move_leak_ends, remove_leak
from leakmap.work.edits.scales import add_known_length, scale_each_way
from leakmap.work.edits.sheets import show_layer
from leakmap.work.issuing import numbered
from leakmap.work.ledger_changes import changes_section
from leakmap.work.ledger_notes import (
    Section,
    Sign,
    apart_section,
    check_section,
    layer_section,
    noticed_section,
    scale_section,
    watched_section,
)
from leakmap.work.revisions import before_next
from tests.helpers.small_jobs import DRAWN, issued, one_line, one_sheet, with_leak


def _as_issued(job: Job) -> Job:
    """The job after an issue: its zones have their numbers for good."""
    return issued(numbered(job, repairs(job)))


def _found(old: Job, new: Job, last: Changes | None = None) -> Changes:
    """What changed from a job that was just issued to a later one."""
    return at_once(changes_steps(Before("C01", old, old_repairs_of(repairs(old))), new, repairs(new), last))


def _changes(old: Job, new: Job) -> list[str]:
    """What the ledger lists of that."""
    section = changes_section(repairs(new), next(iter(new.revisions.values())), _found(old, new))
    assert section.heading == "Changed since C01"
    return [note.words for note in section.notes]


def test_changes_are_told_from_what_was_issued() -> None:
    """After C01 zones of 1.60 m, 1.60 m and 1.10 m: one grows by 0.80 m, one goes, one moves, one comes."""
    job, joint = one_line(((0, 0), (30, 0)))
    job, grows = with_leak(job, joint, 2.0, 3.0)
    job, goes = with_leak(job, joint, 8.0, 9.0)
    job, moves = with_leak(job, joint, 14.0, 14.5)
    old = job = _as_issued(job)
    assert _changes(old, job) == ["Nothing changed"]
    job = move_leak_ends(job, leak=grows, to_m=3.8).job
    job = remove_leak(job, leak=goes).job
    job = move_leak_ends(job, leak=moves, from_m=14.2, to_m=14.7).job
    job, _ = with_leak(job, joint, 25.0, 25.0)
    told = ["Z-01 longer 0.80 m", "Z-02 is gone", "Z-03 longer 0.20 m, shorter 0.20 m", "Z-04 new 0.60 m"]
    assert _changes(old, job) == told


def test_of_very_many_changes_the_rest_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three zones grow where two are listed: the third is counted, and it is said where it is listed.

    What the next comparison finds alike is the very same value, so that only what differs is drawn anew. Until there is a
    comparison the ledger says that it comes, or that the revision is damaged.
    """
    job, joint = one_line(((0, 0), (30, 0)))
    for at in (2.0, 8.0, 14.0):
        job, _ = with_leak(job, joint, at, at + 1.0)
    old = job = _as_issued(job)
    for leak in old.leaks.values():
        job = move_leak_ends(job, leak=leak.id, to_m=leak.to_m + 0.5).job
    found = _found(old, job)
    monkeypatch.setattr("leakmap.work.ledger_changes.MOST_ZONES", 2)
    revision = next(iter(job.revisions.values()))
    notes = changes_section(repairs(job), revision, found).notes
    assert [note.words for note in notes] == ["Z-01 longer 0.50 m", "Z-02 longer 0.50 m", "1 more zone changed"]
    assert notes[-1].more == "listed by the paper of changes"
    again = _found(old, move_leak_ends(job, leak=leak.id, to_m=leak.to_m + 0.6).job, found)
    assert [again.groups[number] is found.groups[number] for number in (1, 2, 3)] == [True, True, False]
    for broken, words in ((False, "C01 is being compared with the job"), (True, "C01 is damaged, so nobody can tell")):
        (note,) = changes_section(repairs(job), revision, None, broken=broken).notes
        assert note.words.startswith(words)


def test_a_zone_that_was_taken_in_is_said_to_have_joined() -> None:
    """Zones from 1.70 to 6.30 and 7.70 to 9.30 become one of 7.60 m: the second joined the first."""
    job, joint = one_line(((0, 0), (30, 0)))
    job, first = with_leak(job, joint, 2.0, 6.0)
    job, _ = with_leak(job, joint, 8.0, 9.0)
    old = _as_issued(job)
    job = move_leak_ends(old, leak=first, to_m=8.0).job
    assert _changes(old, job) == ["Z-01 longer 1.40 m", "Z-02 joined Z-01"]


def test_a_shorter_zone_is_told() -> None:
    """An issued zone whose leak shrinks by 0.50 m is shorter by as much."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1.0, 3.0)
    old = _as_issued(job)
    assert _changes(old, move_leak_ends(old, leak=leak, to_m=2.5).job) == ["Z-01 shorter 0.50 m"]


def test_leaks_of_another_method_are_named_with_joint_and_reason() -> None:
    """A leak on a movement joint is listed with its joint, length and why; without one there is no section."""
    job, joint = one_line(kind=Kind.MOVEMENT)
    assert apart_section(job, repairs(job), None) is None
    job, leak = with_leak(job, joint, 1.0, 2.4)
    section = apart_section(job, repairs(job), job.joints[joint].sheet)
    assert section is not None
    (note,) = section.notes
    assert (note.words, note.where) == ("L-01 on J-01, 1.40 m, seep", Where("leak", leak))
    assert "movement joint" in note.more


def test_watched_suspects_are_told_in_one_sentence() -> None:
    """Two watched suspects: the sentence of the desk's text, and each by name."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 1.5, Wetness.SUSPECT)
    job, _ = with_leak(job, joint, 3.0, 3.5, Wetness.SUSPECT)
    assert watched_section(job, repairs(job), None) is None
    job = replace(job, rules=replace(job.rules, suspects=Suspects.WATCH))
    section = watched_section(job, repairs(job), None)
    assert section is not None
    assert section.heading == "2 suspect stretches are watched, not repaired."
    assert [note.words for note in section.notes] == ["L-01 on J-01", "L-02 on J-01"]


def test_a_known_length_says_what_the_drawing_reads() -> None:
    """31.20 m that reads 31.20 is ticked and the other way asked for; 21 m where it is 21.60 wants a look."""
    job, sheet = one_sheet(source=DRAWN)
    assert [note.words for note in scale_section(job, job.sheets[sheet]).notes] == ["No length is checked yet"]
    known = KnownLength(start=(0.0, 0.0), end=(31.2, 0.0), length_m=31.2)
    job = add_known_length(job, sheet=sheet, known=known).job
    first, asked = scale_section(job, job.sheets[sheet]).notes
    assert (first.words, first.more, first.sign) == ("31.20 m", "read 31.20, off by 0 mm", Sign.DONE)
    assert (asked.words, asked.sign) == ("The other way is not yet checked", Sign.LOOK)
    assert (asked.where, asked.shows) == (Where("sheet", sheet), True)
    known = KnownLength(start=(0.0, 0.0), end=(0.0, 21.6), length_m=21.0)
    job = add_known_length(job, sheet=sheet, known=known).job
    _, second, remedy = scale_section(job, job.sheets[sheet]).notes
    assert (second.words, second.sign) == ("21.00 m", Sign.LOOK)
    assert (remedy.words, remedy.each_way) == ("Give each way its own scale", True)
    job = scale_each_way(job, sheet=sheet, each_way=True).job
    assert not any(note.each_way for note in scale_section(job, job.sheets[sheet]).notes)


def test_hints_on_the_unit_stand_with_the_known_lengths() -> None:
    """What the content suggests is listed where the scale is checked, not among what was noticed, until it is checked."""
    job, sheet = one_sheet(source=DRAWN)
    hint = Finding("unit-guessed", "", "The content suggests millimetre: 3 doors.", Effect.LOOK)
    assert scale_section(job, job.sheets[sheet], [hint]).notes[-1].words == hint.text
    assert noticed_section(DRAWN, [hint]) is None
    asked = Finding("page-scale", "", "Give the scale.", Effect.LOOK)
    page = replace(DRAWN, on_paper=True)
    assert noticed_section(page, [asked]) is not None
    assert noticed_section(replace(page, unit=0.05), [asked]) is None  # it was given
    for end in ((31.2, 0.0), (0.0, 21.6)):
        known = KnownLength(start=(0.0, 0.0), end=end, length_m=max(end))
        job = add_known_length(job, sheet=sheet, known=known).job
    assert hint.text not in [note.words for note in scale_section(job, job.sheets[sheet], [hint]).notes]


def test_a_blank_sheet_needs_no_scale() -> None:
    """A sheet without a drawing is in order as it is."""
    job, sheet = one_sheet()
    assert [note.sign for note in scale_section(job, job.sheets[sheet]).notes] == [Sign.DONE]


def test_what_was_noticed_in_a_drawing_is_listed_worst_first() -> None:
    """What is missing comes before what is doubtful, and that before what was put right; nothing noticed, no heading."""
    source = Source(name="b2.dxf", sha256="0" * 64)
    found = [
        Finding(effect.value, "", f"{effect.value}.", effect) for effect in (Effect.FIXED, Effect.LOOK, Effect.LOST)
    ]
    section = noticed_section(source, found)
    assert section is not None
    assert section.heading == "Noticed in b2.dxf"
    assert [note.words for note in section.notes] == ["lost.", "look.", "fixed."]
    assert [note.sign for note in section.notes] == [Sign.LOOK, Sign.LOOK, Sign.DONE]
    assert noticed_section(source, ()) is None
    assert noticed_section(None, found) is None


def test_layers_show_as_the_file_the_user_and_the_window_say() -> None:
    """A layer is hidden by the file or the user, faint by the window, else full."""
    job, sheet = one_sheet(source=DRAWN)
    job = show_layer(job, sheet=sheet, layer="TEXT", shown=False).job
    job = show_layer(job, sheet=sheet, layer="PLANT", shown=True).job
    layers = [
        Layer("WALLS"),
        Layer("TEXT"),
        Layer("PLANT", LayerState.FROZEN),
        Layer("OLD", LayerState.OFF),
        Layer("GRID"),
    ]
    section = layer_section(job.sheets[sheet], layers, frozenset({"GRID", "TEXT"}))
    assert section.heading == "Layers of B2"
    assert [(note.layer, note.sign) for note in section.notes] == [
        ("WALLS", Sign.FULL),
        ("TEXT", Sign.HIDDEN),
        ("PLANT", Sign.FULL),
        ("OLD", Sign.HIDDEN),
        ("GRID", Sign.FAINT),
    ]


def test_checks_become_ticks_and_things_to_look_at() -> None:
    """What limits an issue says how, what has a place can be shown, what is in order is a tick."""
    checks = (
        Check(words="Z-01 is provisional", limits="for price only", where=Where("zone", 1)),
        Check(words="The room side of J-02 is not known", where=Where("zone", 1), at="C+1.20 / 4+0.35"),
        Check(words="All references are unique", done=True),
    )
    section = check_section(checks, "C02")
    assert isinstance(section, Section)
    assert section.heading == "Before C02 is issued"
    assert [(note.sign, note.more) for note in section.notes] == [
        (Sign.LOOK, "for price only · show on plan"),
        (Sign.LOOK, "at C+1.20 / 4+0.35 · show on plan"),
        (Sign.DONE, ""),
    ]


def test_an_issue_for_price_counts_as_an_issue() -> None:
    """Changes are told since the newest revision, whatever it was for."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0)
    job = _as_issued(job)
    key, revision = next(iter(job.revisions.items()))
    job = replace(job, revisions={key: replace(revision, purpose=Purpose.PRICE)})
    since = before_next(job, Purpose.WORK)
    assert since is not None
    assert changes_section(repairs(job), since, None).heading == "Changed since P01"

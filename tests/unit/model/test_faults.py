"""Faults: what makes a job inconsistent, each with one sentence."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from leakmap.model.faults import faults, faults_in
from leakmap.model.job import Job, Numbers, OtherItem
from leakmap.model.joint import Blind
from leakmap.model.leak import Cut, IssuedStretch, Parted, ReliefPoint
from leakmap.model.words import Kind
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak

GONE = UUID(int=99)


def sound_job() -> Job:
    """J-01, 7 m long, with the leak L-01 from 2 to 3 m: no faults."""
    job, joint = one_line()
    return with_leak(job, joint, 2, 3, worst_m=2.5)[0]


def with_joint(**facts: object) -> Job:
    """The sound job with some facts of J-01 changed behind the edits' back."""
    job = sound_job()
    joint = replace(joint_named(job, "J-01"), **facts)
    return replace(job, joints={joint.id: joint})


def with_leak_facts(**facts: object) -> Job:
    """The sound job with some facts of L-01 changed behind the edits' back."""
    job = sound_job()
    leak = replace(leak_named(job, "L-01"), **facts)
    return replace(job, leaks={leak.id: leak})


def with_item(name: str, kind: object, **facts: object) -> Job:
    """The sound job with one more item, on J-01 unless said otherwise."""
    job = sound_job()
    if name != "others":
        facts = {"joint": joint_named(job, "J-01").id, **facts}
    item = kind(id=GONE, **facts)
    return replace(job, **{name: {GONE: item}})


def codes(job: Job) -> list[str]:
    """Codes of a job's faults."""
    return [fault.code for fault in faults(job)]


def test_sound_job_has_no_faults() -> None:
    """A consistent job has no faults."""
    assert faults(sound_job()) == ()


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"sheet": GONE}, "unknown-sheet"),
        ({"kind": Kind.PIPE_COLLAR}, "open-collar"),
        ({"head_sheet": GONE}, "unknown-head-sheet"),
        ({"blind": (Blind(from_m=3, to_m=1, what="a tank"),)}, "runs-backwards"),
        ({"ref": "J-09"}, "number-behind"),
    ],
)
def test_faulty_joint_is_found(facts: dict[str, object], code: str) -> None:
    """Each way in which a joint does not fit the job has its own code."""
    assert code in codes(with_joint(**facts))


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"joint": GONE}, ["unknown-joint"]),
        ({"to_m": 7.5}, ["past-end"]),
        ({"from_m": 3.0, "to_m": 2.0, "worst_m": None}, ["runs-backwards"]),
        ({"worst_m": 3.5}, ["worst-outside"]),
        ({"ref": "L-07"}, ["number-behind"]),
        ({"to_m": 7.0000005}, []),
    ],
)
def test_faulty_leak_is_found(facts: dict[str, object], expected: list[str]) -> None:
    """A leak on nothing, past the end by more than 1 µm, backwards, or with a worst point elsewhere is a fault."""
    assert codes(with_leak_facts(**facts)) == expected


@pytest.mark.parametrize(
    ("name", "kind", "facts", "expected"),
    [
        ("cuts", Cut, {"at_m": 7.2}, ["past-end"]),
        ("cuts", Cut, {"at_m": 1.0, "joint": GONE}, ["unknown-joint"]),
        ("reliefs", ReliefPoint, {"at_m": 7.2}, ["past-end"]),
        ("parted", Parted, {"at_m": 1.0, "other": GONE, "other_at_m": 0.0}, ["unknown-joint"]),
        ("parted", Parted, {"at_m": 8.0, "other": GONE, "other_at_m": 0.0}, ["past-end", "unknown-joint"]),
        ("issued", IssuedStretch, {"zone": 1, "from_m": 0.0, "to_m": 8.0}, ["past-end", "number-behind"]),
        ("issued", IssuedStretch, {"zone": 0, "from_m": float("nan"), "to_m": 1.0}, ["bad-chainage"]),
        ("issued", IssuedStretch, {"zone": 0, "from_m": -1.0, "to_m": 1.0}, ["bad-chainage"]),
        ("issued", IssuedStretch, {"zone": 0, "from_m": 0.0, "to_m": 1.0, "joint": GONE}, ["unknown-joint"]),
        ("others", OtherItem, {"sheet": GONE, "what": "tie holes", "quantity": 3, "unit": ""}, ["unknown-sheet"]),
    ],
)
def test_faulty_mark_is_found(name: str, kind: object, facts: dict[str, object], expected: list[str]) -> None:
    """Cuts, relief points, parted junctions, issued stretches and other items must lie on something."""
    assert codes(with_item(name, kind, **facts)) == expected


def test_equal_references_are_found() -> None:
    """Two leaks with one reference are a fault, named once."""
    job = sound_job()
    twin = replace(leak_named(job, "L-01"), id=GONE)
    job = replace(job, leaks={**job.leaks, GONE: twin})
    assert [fault.text for fault in faults(job)] == ["Two leaks are called L-01; give one of them another name."]
    assert [fault.code for fault in faults_in(job, [("leaks", GONE)])] == ["equal-references"]


def test_wrong_key_is_found() -> None:
    """An item kept under another id than its own is a fault."""
    job = sound_job()
    leak = leak_named(job, "L-01")
    assert codes(replace(job, leaks={GONE: leak})) == ["wrong-key"]


def test_head_of_a_line_is_a_fault() -> None:
    """A line has no head, and the head of a joint never lies on the sheet of its foot."""
    job = sound_job()
    sheet = next(iter(job.sheets))
    joint = replace(joint_named(job, "J-01"), head_sheet=sheet)
    assert codes(replace(job, joints={joint.id: joint})) == ["own-head-sheet", "head-sheet"]


def test_counter_behind_is_a_fault() -> None:
    """A counter that is lower than a number in use would give that number again."""
    assert codes(replace(sound_job(), numbers=Numbers(joint=1))) == ["number-behind"]


def test_sentence_gives_printed_chainages() -> None:
    """Sentences add the joint's start value, as papers do: 4 + 7.5 = 11.5 and 4 + 7 = 11."""
    job = with_leak_facts(to_m=7.5)
    joint = replace(joint_named(job, "J-01"), start_m=4.0)
    (fault,) = faults(replace(job, joints={joint.id: joint}))
    assert fault.text == "L-01 reaches 11.500 m, past the end of J-01 at 11.000 m."


def test_only_named_rows_are_looked_at() -> None:
    """Faults of some rows leave the others out, and rows that are gone have none."""
    job = with_leak_facts(to_m=7.5)
    assert faults_in(job, [("joints", key) for key in job.joints]) == ()
    assert faults_in(job, [("leaks", GONE), ("job", job.id)]) == ()
    assert len(faults_in(job, [("leaks", key) for key in job.leaks])) == 1

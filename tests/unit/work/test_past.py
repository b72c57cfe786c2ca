"""What can be undone, read from the journal."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.model.job import Job
from leakmap.records.journal import Deed, Earlier, Entry
from leakmap.work.past import rows_of, steps_back

AT = datetime(2026, 11, 25, tzinfo=UTC)


def entry(sequence: int, deed: Deed, words: str) -> Earlier:
    """An entry, and a job before it that is called for its number."""
    return Earlier(
        job=Job(id=UUID(int=1), name=f"before {sequence}"),
        entry=Entry(
            sequence=sequence,
            at=AT,
            user="A. Rook",
            deed=deed,
            words=words,
            before={},
            after={"leaks": {str(UUID(int=sequence)): None}},
        ),
    )


def told(deeds: str) -> list[tuple[str, str]]:
    """Words and job of each step back after deeds: a letter is a deed, ``<`` an undo, ``>`` a redo of the same sitting."""
    entries: list[Earlier] = []
    past, future = [], []
    for sequence, each in enumerate(deeds):
        if each == "<":
            future.append(past.pop())
            entries.append(entry(sequence, Deed.UNDONE, f"Undo {future[-1]}"))
        elif each == ">":
            past.append(future.pop())
            entries.append(entry(sequence, Deed.REDONE, f"Redo {past[-1]}"))
        else:
            past.append(each)
            future.clear()
            entries.append(entry(sequence, Deed.EDITED, each))
    steps = [(step.words, step.job.name) for step in steps_back(reversed(entries))]
    assert [words for words, _ in steps] == past[::-1]
    return steps


@pytest.mark.parametrize(
    ("deeds", "steps"),
    [
        ("", []),
        ("ab", [("b", "before 1"), ("a", "before 0")]),
        ("ab<", [("a", "before 0")]),
        ("ab<<", []),
        ("ab<<>", [("a", "before 4")]),
        ("ab<c", [("c", "before 3"), ("a", "before 0")]),
        ("ab<>c", [("c", "before 4"), ("b", "before 3"), ("a", "before 0")]),
        ("ab<<>>", [("b", "before 5"), ("a", "before 4")]),
    ],
)
def test_undone_deeds_are_passed_over(deeds: str, steps: list[tuple[str, str]]) -> None:
    """Each undo takes away the deed before it that was not undone yet; a redo brings one back."""
    assert told(deeds) == steps


@settings(max_examples=200)
@given(st.lists(st.sampled_from("abc<<>>"), max_size=30))
def test_steps_are_those_of_a_stack(wishes: list[str]) -> None:
    """Over any sequence of deeds, undos and redos, what is left to undo is what a plain stack holds."""
    deeds, past, future = "", 0, 0
    for wish in wishes:
        if (wish == "<" and not past) or (wish == ">" and not future):
            continue
        past += -1 if wish == "<" else 1
        future = future + 1 if wish == "<" else future - 1 if wish == ">" else 0
        deeds += wish
    told(deeds)


def test_nothing_is_read_before_it_is_asked_for() -> None:
    """Reading stops at the first step, however long the journal is."""
    read: list[int] = []

    def journal() -> Iterator[Earlier]:
        for number in (9, 8, 7):
            read.append(number)
            yield entry(number, Deed.EDITED, "x")

    assert next(steps_back(journal())).words == "x"
    assert read == [9]


def test_rows_are_named_as_edits_name_them() -> None:
    """A row is its collection and its id."""
    assert rows_of(entry(4, Deed.EDITED, "x").entry) == {("leaks", UUID(int=4))}

"""References of new items: the next number that was never used, or a given one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Protocol
from uuid import UUID

from leakmap.model.job import Numbers
from leakmap.model.references import highest, lifted, number_of
from leakmap.model.revision import Revision
from leakmap.model.words import Series, reference
from leakmap.work.edits.edit import refused


class Referenced(Protocol):
    """An item that people call by a reference."""

    @property
    def ref(self) -> str:
        """Its reference."""
        ...


def next_ref(numbers: Numbers, series: Series) -> tuple[str, Numbers]:
    """The next reference of a series that was never used, and the numbers with it used up."""
    ref = reference(series, highest(numbers, series) + 1)
    return ref, lifted(numbers, ref)


def taken_ref(
    numbers: Numbers, series: Series, ref: str | None, items: Mapping[UUID, Referenced], issued: Iterable[Revision]
) -> tuple[str, Numbers]:
    """A reference for a new item: the given one, or the next of its series.

    A given reference that looks like ours lifts the counter. One that lies at or below the counter is
    taken when it is free now, because tables come in any order; once anything is issued, it is not: it may stand
    on a paper for something else.

    Raises:
        EditRefused: The given reference is in use, or may have been issued for something else.
    """
    if ref is None:
        return next_ref(numbers, series)
    if issued:
        return renamed_ref(numbers, ref, items.values(), issued)
    ref = ref.strip()
    found = number_of(ref)
    surely_new = found is not None and found[1] > highest(numbers, found[0])
    if not surely_new:
        refuse_used(ref, items.values())
    return ref, lifted(numbers, ref)


def renamed_ref(
    numbers: Numbers, ref: str, items: Iterable[Referenced], issued: Iterable[Revision], *, item: UUID | None = None
) -> tuple[str, Numbers]:
    """A new reference for an item that has one.

    Args:
        numbers: Numbers used up.
        ref: The reference.
        items: Joints, or leaks.
        issued: What was issued.
        item: The item; None: it is being made.

    Raises:
        EditRefused: It is empty or in use, its number lies below the counter, so that it may have been used before, or
            it was issued for something else.
    """
    ref = ref.strip()
    if not ref:
        raise refused("A reference must not be empty.")
    refuse_used(ref, items)
    _refuse_issued(ref, issued, item)
    found = number_of(ref)
    if found is not None and found[1] <= highest(numbers, found[0]):
        raise refused(f"The number of {ref} may have been used before, and no number is used twice.", where=ref)
    return ref, lifted(numbers, ref)


def refuse_used(ref: str, items: Iterable[Referenced]) -> None:
    """Refuse a reference that is in use.

    Raises:
        EditRefused: It is.
    """
    if ref.casefold() in [item.ref.casefold() for item in items]:
        raise refused(f"{ref} is in use; give another reference.", where=ref)


def _refuse_issued(ref: str, issued: Iterable[Revision], item: UUID | None) -> None:
    """Refuse a name that papers of a revision give to something else."""
    for revision in issued:
        if any(own.ref.casefold() == ref.casefold() and own.item != item for own in revision.names):
            raise refused(f"{ref} was issued for something else in {revision.name}; give another reference.", where=ref)

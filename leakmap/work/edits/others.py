"""Deeds on other items: what is counted and listed under another method."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from uuid import UUID, uuid4

from leakmap.base.numbers import positive
from leakmap.model.job import Job, OtherItem
from leakmap.work.edits.edit import Changes, Edit, deed, edited, item_of, refused, sheet_of


@deed
def add_tie_holes(job: Job, *, sheet: UUID, number: int, note: str = "", new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Count tie holes on a sheet.

    Raises:
        EditRefused: The number is not a whole number greater than zero.
    """
    if not float(number).is_integer():
        raise refused("Tie holes are counted in whole numbers.")
    return add_other(job, sheet=sheet, what="tie holes", quantity=number, unit="", note=note, new_id=new_id)


@deed
def add_honeycomb(job: Job, *, sheet: UUID, area_m2: float, note: str = "", new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Measure honeycombed concrete on a sheet, in square metres.

    Raises:
        EditRefused: The area is not greater than zero.
    """
    return add_other(job, sheet=sheet, what="honeycomb", quantity=area_m2, unit="m²", note=note, new_id=new_id)


@deed
def add_other(
    job: Job,
    *,
    sheet: UUID,
    what: str,
    quantity: float,
    unit: str,
    note: str = "",
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """List anything else that needs another method.

    Raises:
        EditRefused: Nobody says what it is, or the quantity is not greater than zero.
    """
    if not what.strip():
        raise refused("Say what is to be listed.")
    item = OtherItem(
        id=new_id(),
        sheet=sheet_of(job, sheet).id,
        what=what.strip(),
        quantity=positive(quantity, f"quantity of {what.strip()}"),
        unit=unit,
        note=note,
    )
    return edited(job, Changes(others={item.id: item}), words=f"add {item.what}", made=(item.id,))


@deed
def set_quantity(job: Job, *, other: UUID, quantity: float) -> Edit:
    """Set the quantity of another item.

    Raises:
        EditRefused: It is not greater than zero.
    """
    old = item_of(job.others, other, "item")
    new = replace(old, quantity=positive(quantity, f"quantity of {old.what}"))
    return edited(job, Changes(others={other: new}), words=f"set quantity of {old.what}")


@deed
def remove_other(job: Job, *, other: UUID) -> Edit:
    """Take another item off the list."""
    return edited(job, Changes(others={other: None}), words=f"remove {item_of(job.others, other, 'item').what}")

"""Other items, such as tie holes and honeycomb, as papers count and measure them."""

from __future__ import annotations

from leakmap.base.measures import AREA, Units
from leakmap.model.job import OtherItem


def quantity_words(units: Units, item: OtherItem) -> tuple[str, str]:
    """How much of an item there is, and its unit: areas are kept in square metres, and read as the job is.

    Whatever else is counted stands as it was given.
    """
    if item.unit == AREA.metric.symbol and not units.metric:
        return AREA[units].shown(item.quantity), AREA[units].symbol
    return units.plain(item.quantity), item.unit

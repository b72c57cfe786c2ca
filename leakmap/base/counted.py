"""Counts with their nouns, as sentences give them."""

from __future__ import annotations


def many(count: int, one: str, more: str = "") -> str:
    """A count with its noun.

    >>> many(1, "zone"), many(2, "zone"), many(0, "stretch", "stretches")
    ('1 zone', '2 zones', '0 stretches')
    """
    return f"{count} {one if count == 1 else more or one + 's'}"

"""Paper of the office printer: what sheets that are no plans are printed on, small and large.

A4 and A3 (ISO 216), or letter and tabloid (ANSI/ASME Y14.1 A and B, from memory) where the job's own paper is of a US series.
"""

from __future__ import annotations

from typing import Final

from leakmap.issue.schedule_pdf.paper import series_of
from leakmap.model.rules import Rules

_INCH_MM: Final = 25.4
OFFICE_MM: Final = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (8.5 * _INCH_MM, 11 * _INCH_MM),
    "Tabloid": (11 * _INCH_MM, 17 * _INCH_MM),
}
"""Short and long side."""


def office_papers(rules: Rules) -> tuple[str, str]:
    """The small and the large paper of the office that works by these rules.

    >>> office_papers(Rules()), office_papers(Rules(largest_paper="ARCH D"))
    (('A4', 'A3'), ('Letter', 'Tabloid'))
    """
    return ("A4", "A3") if "A4" in series_of(rules.largest_paper) else ("Letter", "Tabloid")

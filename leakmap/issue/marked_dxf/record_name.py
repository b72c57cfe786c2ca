"""The name under which a marked drawing keeps our record, apart from what reads it: that needs a large library."""

from __future__ import annotations

from typing import Final

DICTIONARY: Final = "LEAKMAP_RECORDS"

"""Starts the console when Python is asked for ``leakmap.console``."""

from __future__ import annotations

import sys

from leakmap.console.main import main

if __name__ == "__main__":
    sys.exit(main())

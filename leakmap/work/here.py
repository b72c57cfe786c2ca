"""Who works here, on which computer, and what time it is: read in one place, and passed on from there."""

from __future__ import annotations

import getpass
import os
from datetime import datetime

from leakmap.work.kept_settings import kept_settings


def user() -> str:
    """Name of the user as the settings say it, else as the system knows it."""
    named = kept_settings().user_name
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # a system without users
        return "unknown"


def host() -> str:
    """Name of this computer."""
    name = os.uname().nodename if hasattr(os, "uname") else os.environ.get("COMPUTERNAME", "")
    return name or "unknown"


def now() -> datetime:
    """The time, with the time zone of this computer."""
    return datetime.now().astimezone()

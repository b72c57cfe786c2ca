"""Who works here, on which computer, in what it measures, and what time it is: read in one place, and passed on."""

from __future__ import annotations

import getpass
import os
import re
import sys
from collections.abc import Mapping
from datetime import datetime
from typing import Final

from leakmap.base.measures import Units
from leakmap.work.kept_settings import kept_settings

_VARIABLES: Final = ("LC_ALL", "LC_MEASUREMENT", "LANG")
_TERRITORY: Final = re.compile(r"[_-]([A-Z]{2})(?=[_.@-]|$)")
_IN_FEET: Final = frozenset({"US", "UM"})
"""Territories that measure as the US does, by Qt's copy of the Unicode CLDR; the British system counts as metric, for it
is miles on roads and metres in building."""

_LONGEST_LOCALE: Final = 85  # LOCALE_NAME_MAX_LENGTH


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


def system_units() -> Units:
    """The units that the system of this computer measures in, by its locale."""
    return units_of_locale(measuring_locale(os.environ) or _windows_locale())


def measuring_locale(environment: Mapping[str, str]) -> str:
    """The locale that measures: the first of three variables that says one (POSIX.1, 8.2).

    >>> measuring_locale({"LANG": "en_US.UTF-8", "LC_MEASUREMENT": "de_AT.UTF-8", "LC_ALL": ""})
    'de_AT.UTF-8'
    """
    return next((name for each in _VARIABLES if (name := environment.get(each))), "")


def units_of_locale(name: str) -> Units:
    """Feet and inches where its territory measures so; metric elsewhere, and where it names none.

    >>> [units_of_locale(name).system.value for name in ("en_US.UTF-8", "es-US", "en_GB", "C.UTF-8", "")]
    ['imperial', 'imperial', 'metric', 'metric', 'metric']
    """
    territory = _TERRITORY.search(name)
    return Units.IMPERIAL if territory is not None and territory[1] in _IN_FEET else Units.METRIC


def _windows_locale() -> str:
    """The name of the user's locale on a system that keeps it in no variable; empty elsewhere."""
    if sys.platform == "win32":
        import ctypes  # noqa: PLC0415 - needed there alone

        name = ctypes.create_unicode_buffer(_LONGEST_LOCALE)
        return name.value if ctypes.windll.kernel32.GetUserDefaultLocaleName(name, _LONGEST_LOCALE) else ""
    return ""


def now() -> datetime:
    """The time, with the time zone of this computer."""
    return datetime.now().astimezone()

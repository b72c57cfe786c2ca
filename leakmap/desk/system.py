"""What the system of this computer says that the window follows, apart from its colours."""

from __future__ import annotations

from PySide6.QtCore import QLocale

from leakmap.base.measures import Units


def system_units() -> Units:
    """The units that the system measures in; a program started without a shell is told them by the system alone."""
    us = QLocale.system().measurementSystem() is QLocale.MeasurementSystem.ImperialUSSystem
    return Units.IMPERIAL if us else Units.METRIC

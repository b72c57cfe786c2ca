"""The type of the window: its own faces, loaded once, never hinted.

Medium and SemiBold are families of their own: asked by weight of the base family, Qt gave Regular.
Default hinting merged the dot of "i" with its stem at 13 to 15 px, so faces are not hinted.
"""

from __future__ import annotations

from functools import cache
from typing import Final, Literal

from PySide6.QtGui import QFont, QFontDatabase

from leakmap.base.resources import resource

MEDIUM: Final = "Barlow Semi Condensed Medium"
SEMIBOLD: Final = "Barlow Semi Condensed SemiBold"
DRAFTING: Final = "Routed Gothic"
FALLBACK: Final = "DejaVu Sans"
_FILES: Final = (
    "BarlowSemiCondensed-Medium",
    "BarlowSemiCondensed-SemiBold",
    "routed-gothic",
    "routed-gothic-wide",
    "routed-gothic-narrow",
    "DejaVuSans",
)


@cache
def load_faces() -> None:
    """Make the shipped faces known to Qt; needs a running application.

    Raises:
        FileNotFoundError: The installation is incomplete.
    """
    for name in _FILES:
        QFontDatabase.addApplicationFont(str(resource("resources", "fonts", f"{name}.ttf")))


@cache
def text(px: float, *, strong: bool = False) -> QFont:
    """Window text, references, levels and grid letters; figures of equal width. ``strong`` is weight 600.

    The value is shared: copy it before changing it.
    """
    font = _face(SEMIBOLD if strong else MEDIUM, px)
    font.setFeature(QFont.Tag("tnum"), 1)
    return font


@cache
def drafting(px: float, width: Literal["", " Wide", " Narrow"] = "") -> QFont:
    """Drafting letters: tape metres, level values, room names, values of the title block."""
    return _face(DRAFTING + width, px)


def _face(family: str, px: float) -> QFont:
    load_faces()
    font = QFont()
    font.setFamilies([family, FALLBACK])
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setStyleStrategy(QFont.StyleStrategy.PreferAntialias)
    font.setPixelSize(round(px))  # Qt draws whole pixels alone
    return font

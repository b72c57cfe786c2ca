"""The type of the window: its own faces, loaded once, never hinted.

Medium and SemiBold are families of their own: asked by weight of the base family, Qt gave Regular.
Default hinting merged the dot of "i" with its stem at 13 to 15 px, so faces are not hinted.
"""

from __future__ import annotations

from functools import cache
from typing import Final, Literal

from PySide6.QtGui import QFont, QFontDatabase

from leakmap.base.resources import resource
from leakmap.desk.larger import scaled

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


def text(px: float, *, strong: bool = False, exact: bool = False) -> QFont:
    """Window text, references, levels and grid letters; figures of equal width. ``strong`` is weight 600.

    It is as much larger as the text size that is in force, unless exactly ``px`` is meant. The value is shared: copy it before changing it.
    """
    return _text(px if exact else scaled(px), strong)


@cache
def _text(px: float, strong: bool) -> QFont:  # noqa: FBT001 - a key of the cache
    font = _face(SEMIBOLD if strong else MEDIUM, px)
    font.setFeature(QFont.Tag("tnum"), 1)
    return font


def drafting(px: float, width: Literal["", " Wide", " Narrow"] = "", *, exact: bool = False) -> QFont:
    """Drafting letters: tape metres, level values, room names, values of the title block.

    Letters of a drawing are as large as they are there, whatever the text size.
    """
    return _drafting(px if exact else scaled(px), width)


@cache
def _drafting(px: float, width: str) -> QFont:
    return _face(DRAFTING + width, px)


def _face(family: str, px: float) -> QFont:
    load_faces()
    font = QFont()
    font.setFamilies([family, FALLBACK])
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setStyleStrategy(QFont.StyleStrategy.PreferAntialias)
    font.setPixelSize(round(px))  # Qt draws whole pixels alone
    return font

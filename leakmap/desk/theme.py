"""The tokens in force: light or dark, at the usual or at high contrast, as the system has it or a person chose.

Whatever is painted asks for ``tokens()`` while it paints. When others come into force, the palette of the application
changes with them, so that Qt paints every widget anew; what keeps painted things, a film or a picture, listens to
``theme().changed``. Whatever is for paper asks for ``LIGHT`` by name.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QPalette, QStyleHints
from PySide6.QtWidgets import QApplication, QToolTip

from leakmap.desk.tokens import BY_NAME, LIGHT, Tokens
from leakmap.work.settings import Contrast, Theme

if TYPE_CHECKING:
    from PySide6.QtGui import QAccessibilityHints

_STYLE: Final = "Fusion"
"""The style that takes all its colours from the palette, on every system."""

_Role = QPalette.ColorRole
_Group = QPalette.ColorGroup


class InForce(QObject):
    """What is in force.

    Signals: ``changed`` when other tokens are.

    Attributes:
        theme: What was chosen.
        contrast: The same.
        tokens: What has come of it.
    """

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.theme, self.contrast = Theme.SYSTEM, Contrast.SYSTEM
        self.tokens: Tokens = LIGHT
        self._app: QApplication | None = None
        self._access: QAccessibilityHints | None = None

    def dress(self, app: QApplication, hints: QStyleHints | None = None) -> None:
        """Give the application its style and colours, and follow the system from now on.

        Args:
            app: The application.
            hints: What the system asks for; of the application unless said otherwise.
        """
        self._app = app
        app.setStyle(_STYLE)
        self._hints = hints or app.styleHints()
        self._hints.colorSchemeChanged.connect(self._follow)
        if hasattr(self._hints, "accessibility"):  # from Qt 6.10 on
            self._access = self._hints.accessibility()  # held: asked for twice, Qt's would be gone
            self._access.contrastPreferenceChanged.connect(self._follow)
        self._follow()
        self._put_on(self.tokens)

    def choose(self, theme: Theme, contrast: Contrast) -> None:
        """Take a choice, at once; title bars and dialogs of the system go with it."""
        self.theme, self.contrast = theme, contrast
        if self._app is not None:
            wish = {Theme.LIGHT: Qt.ColorScheme.Light, Theme.DARK: Qt.ColorScheme.Dark}
            self._hints.setColorScheme(wish.get(theme, Qt.ColorScheme.Unknown))
        self._follow()

    def _follow(self) -> None:
        """Bring what the choice and the system ask for into force."""
        wanted = BY_NAME[self._is_dark(), self._is_high()]
        if wanted is not self.tokens:
            self.tokens = wanted
            self._put_on(wanted)
            self.changed.emit()

    def _is_dark(self) -> bool:
        if self.theme is not Theme.SYSTEM or self._app is None:
            return self.theme is Theme.DARK
        scheme = self._hints.colorScheme()
        if scheme is Qt.ColorScheme.Unknown:  # as where the system has high contrast in colours of its own
            self._app.setPalette(QPalette())
            system = self._app.palette()
            self._put_on(self.tokens)
            return system.color(_Role.Window).lightness() < system.color(_Role.WindowText).lightness()
        return scheme is Qt.ColorScheme.Dark

    def _is_high(self) -> bool:
        if self.contrast is not Contrast.SYSTEM or self._access is None:
            return self.contrast is Contrast.HIGH
        return self._access.contrastPreference() is Qt.ContrastPreference.HighContrast

    def _put_on(self, tokens: Tokens) -> None:
        if self._app is not None:
            palette = palette_of(tokens)
            self._app.setPalette(palette)
            QToolTip.setPalette(palette)


@cache
def theme() -> InForce:
    """The one theme of the program."""
    return InForce()


def tokens() -> Tokens:
    """The tokens in force; light ones until an application is dressed."""
    return theme().tokens


def palette_of(tokens: Tokens) -> QPalette:
    """The colours of Qt's own widgets."""
    palette = QPalette()
    roles = {
        _Role.Window: tokens.panel,
        _Role.WindowText: tokens.ink,
        _Role.Base: tokens.sheet,
        _Role.AlternateBase: tokens.panel,
        _Role.Text: tokens.ink,
        _Role.PlaceholderText: tokens.ink3,
        _Role.Button: tokens.sheet,
        _Role.ButtonText: tokens.ink,
        _Role.BrightText: tokens.repair,
        _Role.ToolTipBase: tokens.sheet,
        _Role.ToolTipText: tokens.ink,
        _Role.Highlight: tokens.mark,
        _Role.HighlightedText: tokens.on_mark,
        _Role.Accent: tokens.focus,
        _Role.Link: tokens.focus,
        _Role.LinkVisited: tokens.focus,
        _Role.Light: tokens.sheet,
        _Role.Midlight: tokens.panel,
        _Role.Mid: tokens.rule,
        _Role.Dark: tokens.edge,
        _Role.Shadow: tokens.rule_strong,
    }
    for role, token in roles.items():
        palette.setColor(role, QColor(token))
    for role in (_Role.WindowText, _Role.Text, _Role.ButtonText):
        palette.setColor(_Group.Disabled, role, QColor(tokens.ink3))
    return palette

"""Which tokens are in force, and that everything painted goes with them."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest
from PySide6.QtCore import QObject, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPalette, QStyleHints
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

import leakmap.desk
from leakmap.desk.pens import draw_paper
from leakmap.desk.plan.look import Inks, dimmed, laid_over, strong, under_new
from leakmap.desk.theme import palette_of, theme, tokens
from leakmap.desk.things import Stage
from leakmap.desk.tokens import BY_NAME, DARK, HIGH_DARK, HIGH_LIGHT, LIGHT, contrast
from leakmap.desk.window import MainWindow
from leakmap.model.words import Wetness
from leakmap.work.kept_settings import kept_settings
from leakmap.work.settings import Contrast, Theme
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import all_painted, window_with

DESK = Path(leakmap.desk.__path__[0])
SCHEME, PREFERENCE = Qt.ColorScheme, Qt.ContrastPreference


class System(QObject):
    """A system in whose settings a person chooses colours; stands for Qt's hints of style and of access."""

    colorSchemeChanged = Signal()  # noqa: N815 - Qt's name
    contrastPreferenceChanged = Signal()  # noqa: N815 - Qt's name

    def __init__(self) -> None:
        super().__init__()
        self.scheme, self.preference = SCHEME.Light, PREFERENCE.NoPreference

    def accessibility(self) -> System:
        """Its own hints of access."""
        return self

    def colorScheme(self) -> Qt.ColorScheme:  # noqa: N802 - Qt's name
        """Light or dark."""
        return self.scheme

    def contrastPreference(self) -> Qt.ContrastPreference:  # noqa: N802 - Qt's name
        """Whether at high contrast."""
        return self.preference

    def setColorScheme(self, scheme: Qt.ColorScheme) -> None:  # noqa: N802 - Qt's name
        """What a program asks for itself, as for its title bars; tells of it at once, as Qt does."""
        self.asked = scheme
        self.scheme = SCHEME.Light if scheme is SCHEME.Unknown else scheme
        self.colorSchemeChanged.emit()

    def turn(self, scheme: Qt.ColorScheme, preference: Qt.ContrastPreference = PREFERENCE.NoPreference) -> None:
        """Change both settings of the system."""
        self.scheme, self.preference = scheme, preference
        self.colorSchemeChanged.emit()
        self.contrastPreferenceChanged.emit()


@pytest.fixture
def system(qapp: QApplication) -> Iterator[System]:
    """The system that the application, dressed anew, follows."""
    found = System()
    theme.cache_clear()
    theme().dress(qapp, cast(QStyleHints, found))
    yield found
    theme.cache_clear()
    qapp.setPalette(QPalette())


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, system: System) -> Iterator[MainWindow]:
    """A window on a job with a leak, when the system is light."""
    assert system.scheme is SCHEME.Light
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    with window_with(job, tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        yield window


def settled(window: MainWindow) -> QImage:
    """The window as it looks when nothing more is being painted."""
    all_painted(window.plan)
    return window.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)


def test_the_system_is_followed_until_somebody_chooses(system: System) -> None:
    """Light or dark and high contrast come from the system at once, each until it is chosen by hand, and again after."""
    told: list[str] = []
    theme().changed.connect(lambda: told.append(tokens().sheet))
    assert tokens() is LIGHT
    system.turn(SCHEME.Dark)
    assert tokens() is DARK
    system.turn(SCHEME.Dark, PREFERENCE.HighContrast)
    assert tokens() is HIGH_DARK
    theme().choose(Theme.LIGHT, Contrast.SYSTEM)
    assert tokens() is HIGH_LIGHT
    assert system.asked is SCHEME.Light, "title bars and dialogs of the system go with it"
    theme().choose(Theme.LIGHT, Contrast.NORMAL)
    system.turn(SCHEME.Dark, PREFERENCE.HighContrast)
    assert tokens() is LIGHT
    theme().choose(Theme.SYSTEM, Contrast.NORMAL)
    assert system.asked is SCHEME.Unknown
    system.turn(SCHEME.Dark)
    assert tokens() is DARK
    assert told == [each.sheet for each in (DARK, HIGH_DARK, HIGH_LIGHT, LIGHT, DARK)], "once for each"


def test_a_system_that_does_not_say_is_told_by_its_paper(
    system: System, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where Qt knows neither light nor dark, as with high contrast of some systems, it is dark if paper is under ink."""
    own = QPalette(Qt.GlobalColor.white)
    monkeypatch.setattr(qapp, "palette", lambda: own)
    for paper, ink, wanted in (("black", "white", DARK), ("white", "black", LIGHT)):
        own.setColor(QPalette.ColorRole.Window, QColor(paper))
        own.setColor(QPalette.ColorRole.WindowText, QColor(ink))
        system.turn(SCHEME.Unknown)
        assert tokens() is wanted


def test_a_choice_is_in_force_at_once_and_kept(window: MainWindow) -> None:
    """Every pane is painted in the colours of a theme chosen in the settings; light again, all is as it was."""
    desk = window.desk
    for stage in (Stage.REPAIR, Stage.JOINTS):
        desk.go_to(stage)
        light = settled(window)
        assert desk.change_setting("theme", Theme.DARK)
        assert kept_settings().theme is Theme.DARK
        dark = settled(window)
        for before, after in ((LIGHT.sheet, DARK.sheet), (LIGHT.panel, DARK.panel)):
            ground = QColor(before).rgb()
            places = [(x, y) for x in range(0, 1280, 8) for y in range(100, 800, 8) if light.pixel(x, y) == ground]
            assert len(places) > 1000
            found = Counter(dark.pixel(*place) for place in places)
            assert found.most_common(1)[0][0] == QColor(after).rgb()
            assert QColor(before).rgb() not in found
        desk.change_setting("theme", Theme.LIGHT)
        assert settled(window) == light
    assert window.palette().color(QPalette.ColorRole.Window).name().upper() == LIGHT.panel


def test_a_window_begun_in_the_dark_looks_like_one_turned_dark(
    window: MainWindow, system: System, qtbot: QtBot, tmp_path: Path
) -> None:
    """Nothing that was painted or laid out in one theme stays in the next: marks, drawing, rails, ledger, fields."""
    settled(window)
    system.turn(SCHEME.Dark)
    turned = settled(window)
    (tmp_path / "other").mkdir()
    job = window.desk.job
    with window_with(job, tmp_path / "other", size=(1280, 800)) as begun:
        qtbot.waitExposed(begun)
        assert settled(begun) == turned


def test_paper_is_shown_as_printed(system: System) -> None:
    """In the light a page is painted as it is; in the dark white is the paper's tone and black stays black."""
    page = QImage(2, 1, QImage.Format.Format_RGB32)
    page.fill(Qt.GlobalColor.white)
    page.setPixelColor(1, 0, Qt.GlobalColor.black)
    for scheme, white in ((SCHEME.Light, "#FFFFFF"), (SCHEME.Dark, "#E6E3DA")):
        system.turn(scheme)
        canvas = QImage(2, 1, QImage.Format.Format_RGB32)
        painter = QPainter(canvas)
        draw_paper(painter, QRectF(0, 0, 2, 1), page)
        painter.end()
        assert [canvas.pixelColor(x, 0).name().upper() for x in (0, 1)] == [white, "#000000"]


@pytest.mark.parametrize("named", BY_NAME.values())
def test_inks_of_the_drawing_are_the_themes(monkeypatch: pytest.MonkeyPatch, system: System, named: object) -> None:
    """Whatever the drawing is painted with stands out from the sheet, most where it counts, and faint layers least.

    A scan of black on white is painted in such an ink on a dark sheet, not in its own black.
    """
    assert system.scheme is SCHEME.Light
    monkeypatch.setattr(theme(), "tokens", named)
    sheet = tokens().sheet
    looks: list[Inks] = [dimmed(), strong(), under_new(), laid_over()]
    for inks in looks:
        assert contrast(inks.line, sheet) >= contrast(inks.faint_line, sheet) > 1.3
        assert not (inks.own_colours and tokens().dark)
    assert contrast(strong().line, sheet) >= max(contrast(dimmed().line, sheet), 4.5)


def test_words_of_qts_own_widgets_can_be_read(qapp: QApplication) -> None:
    """In every theme: words, words on buttons, in fields, tips and selections (WCAG 2.1: 4.5)."""
    role = QPalette.ColorRole
    pairs = ((role.WindowText, role.Window), (role.Text, role.Base), (role.ButtonText, role.Button),
             (role.ToolTipText, role.ToolTipBase), (role.HighlightedText, role.Highlight), (role.PlaceholderText, role.Base))  # fmt: skip
    for each in BY_NAME.values():
        palette = palette_of(each)
        for ink, paper in pairs:
            assert contrast(palette.color(ink).name(), palette.color(paper).name()) >= 4.5
    assert qapp is not None


def test_nothing_on_the_desk_keeps_a_colour() -> None:
    """Tokens are asked for while painting: never in a constant, a class or a default; and no pane knows one theme alone."""
    for path in sorted(DESK.rglob("*.py")):
        if path.name in ("tokens.py", "theme.py"):
            continue
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"import .*\b(LIGHT|DARK)\b", text), path
        nodes = list(ast.walk(ast.parse(text))) if "tokens" in text else []
        bodies = [node.body for node in nodes if isinstance(node, ast.FunctionDef | ast.Lambda)]
        inside = {
            id(each)
            for body in bodies
            for part in (body if isinstance(body, list) else [body])
            for each in ast.walk(part)
        }
        assert all(id(node) in inside for node in nodes if isinstance(node, ast.Name) and node.id == "tokens"), path

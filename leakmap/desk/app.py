"""Starts the window: alone for the start sheet, with a file for a job or a drawing."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Final

from PySide6.QtWidgets import QApplication

from leakmap.base.errors import LeakmapError
from leakmap.desk.faces import load_faces, text
from leakmap.desk.state import Desk
from leakmap.desk.theme import theme
from leakmap.desk.tidying import Tidying
from leakmap.desk.tokens import BODY_TYPE
from leakmap.desk.trouble import Trouble, trouble_of
from leakmap.desk.window import MainWindow
from leakmap.work.log import write_log

NO_SCREEN: Final = (
    "leakmap found no screen to open its window on; on a computer without one, use the commands: leakmap --help"
)
_UNUSABLE: Final = 3


def has_screen() -> bool:
    """Whether there is a screen to open a window on. Qt itself would end the program where there is none."""
    if os.environ.get("QT_QPA_PLATFORM") or sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def main(words: Sequence[str] = (), *, sample_in: Path | None = None) -> int:
    """Open the window and stay until it is closed.

    Args:
        words: Nothing, or a job or drawing to open.
        sample_in: A folder for a copy of the sample job, which is opened then.

    Returns:
        The exit code.
    """
    if not has_screen():
        print(NO_SCREEN, file=sys.stderr)  # noqa: T201 - there is no window to say it in
        return _UNUSABLE
    app = QApplication.instance() or QApplication(["leakmap"])
    assert isinstance(app, QApplication)
    app.setApplicationName("leakmap")
    Tidying(app)
    load_faces()
    theme().dress(app)
    app.setFont(text(BODY_TYPE))
    desk = Desk()
    window = MainWindow(desk)
    _speak_of_mistakes(desk)
    window.show()
    if words:
        window.sitting.open_file(Path(words[0]))
    elif sample_in is not None:
        window.sitting.look_round(sample_in)
    return app.exec()


def _speak_of_mistakes(desk: Desk) -> None:
    """Tell the user of what nobody caught, in the band, and write how it came about to the log."""

    def hook(kind: type[BaseException], problem: BaseException, _trace: TracebackType | None) -> None:
        if isinstance(problem, LeakmapError):
            desk.troubled.emit(trouble_of(problem))
            return
        log = write_log(problem)
        where = f"How it came about is written in {log}." if log else "No log could be written."
        words = f"leakmap made a mistake ({kind.__name__}). What the foot says is on disk is safe. {where}"
        desk.troubled.emit(Trouble(sentence=words, lasts=True))

    sys.excepthook = hook

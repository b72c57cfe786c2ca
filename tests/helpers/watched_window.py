"""leakmap as a user starts it, which also tells a test what there is to see: one line of JSON for each change.

Run as a program, with the words of the command line. Nothing is steered from here: a test moves the
mouse and presses keys on the screen, and reads where things stand and what became of them.
"""

from __future__ import annotations

import json
import sys
from hashlib import sha256
from typing import Any

from PySide6.QtCore import QPoint, QTimer
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from leakmap.console.main import main
from leakmap.desk.button import Button
from leakmap.desk.window import MainWindow
from leakmap.model.sheet import scale_is_checked
from leakmap.records.frozen import frozen_text

EVERY_MS = 40


def seen(window: MainWindow) -> dict[str, Any]:
    """What there is to see."""
    desk, kept = window.desk, window.desk.open_job
    focus = QApplication.focusWidget()
    found: dict[str, Any] = {
        "stage": int(desk.stage),
        "tool": desk.tool.name if desk.tool is not None else "",
        "sentence": window.strip.sentence,
        "band": window.centre.band.sentence,
        "active": window.isActiveWindow(),
        "focus": type(focus).__name__ if focus is not None else "",
        "typed": focus.text() if isinstance(focus, QLineEdit) else "",
        "buttons": {
            button.text(): middle(button)
            for button in window.findChildren(Button)
            if button.isVisible() and button.isEnabled()
        },
        "open": kept is not None,
        "window": int(window.winId()),
    }
    if kept is None:
        return found
    job = kept.job  # as kept, not as a tool in hand shows it
    camera = window.plan.camera
    origin = window.plan.mapToGlobal(QPoint(0, 0))
    x, y = camera.to_screen((0.0, 0.0))
    return found | {
        "origin": [origin.x() + x, origin.y() + y],
        "px_per_m": camera.px_per_m,
        "job": sha256(frozen_text(job).encode()).hexdigest(),
        "file": str(kept.file.path),
        "undo": kept.undo_words,
        "redo": kept.redo_words,
        "lengths": sum(len(sheet.lengths) for sheet in job.sheets.values()),
        "checked": [scale_is_checked(sheet) for sheet in job.sheets.values()],
        "joints": {joint.ref: round(joint.length_m, 3) for joint in job.joints.values()},
        "leaks": {leak.ref: int(leak.wetness) for leak in job.leaks.values()},
        "zones": [
            sorted({job.joints[piece.joint].ref for piece in zone.pieces}) for zone in kept.repairs.zones
        ],
        "revisions": [revision.name for revision in job.revisions.values()],
    }  # fmt: skip


def middle(widget: QWidget) -> list[int]:
    """Where a widget's middle lies on the screen."""
    at = widget.mapToGlobal(widget.rect().center())
    return [at.x(), at.y()]


class Watch:
    """Tells what there is to see whenever it has changed."""

    def __init__(self) -> None:
        self.last = ""
        self.timer = QTimer(interval=EVERY_MS)
        self.timer.timeout.connect(self.look)
        self.timer.start()

    def look(self) -> None:
        """Look, and tell."""
        for window in QApplication.topLevelWidgets():
            if isinstance(window, MainWindow) and window.isVisible():
                line = json.dumps(seen(window))
                if line != self.last:
                    self.last = line
                    sys.stdout.write(f"{line}\n")
                    sys.stdout.flush()


if __name__ == "__main__":
    app = QApplication(["leakmap"])
    watch = Watch()
    sys.exit(main(sys.argv[1:]))

"""Pictures to choose from, each with words, as one list holds them: pages of a file, photos of a leak."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSizeF, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyledItemDelegate, QWidget

_THING: Final = Qt.ItemDataRole.UserRole
_PICTURE: Final = Qt.ItemDataRole.UserRole + 1
Place = QModelIndex | QPersistentModelIndex


class PictureList(QListWidget):
    """Cells of one size from left to right.

    Args:
        cell: Paints a cell; it asks ``thing_of`` and ``picture_of`` what stands in it.
        parent: Its pane.
    """

    def __init__(self, cell: type[QStyledItemDelegate], parent: QWidget) -> None:
        super().__init__(parent)
        self.setViewMode(QListWidget.ViewMode.IconMode)
        self.setFlow(QListWidget.Flow.LeftToRight)
        self.setMovement(QListWidget.Movement.Static)
        self.setUniformItemSizes(True)
        self.setFrameShape(QListWidget.Shape.NoFrame)
        self.setItemDelegate(cell(self))
        self.viewport().setAutoFillBackground(False)  # the cells lie on the ground of the pane

    def add(self, words: str, thing: object, picture: bytes | None) -> QListWidgetItem:
        """Add a cell.

        Args:
            words: What a screen reader says of it.
            thing: What it stands for.
            picture: A picture file; None, empty or broken: there is none of it.
        """
        item = QListWidgetItem(words, self)
        image = QImage.fromData(picture) if picture else QImage()
        item.setData(_THING, thing)
        item.setData(_PICTURE, None if image.isNull() else image)
        return item


def thing_of(place: Place) -> object:
    """What a cell stands for."""
    return place.data(_THING)


def picture_of(place: Place) -> QImage | None:
    """The picture of a cell; None where there is none of it."""
    image: QImage | None = place.data(_PICTURE)
    return image


def as_large_as(room: QRectF, picture: QImage) -> QRectF:
    """Where a picture stands as large as a room takes it whole: in the room's upper left corner."""
    return QRectF(room.topLeft(), QSizeF(picture.size()).scaled(room.size(), Qt.AspectRatioMode.KeepAspectRatio))

"""Tiles of pictures, unpacked aside and kept ready to be painted, as many as a limit of memory allows.

Whoever paints says what it wants, the most wanted first, and is told when some of it is there. Only a few tiles are
in hand at a time: what is no longer wanted is never begun.
"""

from __future__ import annotations

import logging
import os
from collections import Counter, OrderedDict
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from queue import Empty, SimpleQueue
from typing import Final, NamedTuple

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QPixmap

from leakmap.desk.plan.toned import Ink, toned
from leakmap.model.drawing import TILE_PX, Picture, TilePlace

LIMIT_BYTES: Final = 128 * 1024**2
"""Unpacked tiles that are kept, all together."""

SAY_EVERY_MS: Final = 30
_TILE_BYTES: Final = 4 * TILE_PX**2
_MOST_THREADS: Final = 3
_IN_HAND: Final = 6
_log: Final = logging.getLogger(__name__)


class Plate(NamedTuple):
    """A tile of a picture in an ink."""

    picture: Picture
    place: TilePlace
    ink: Ink


class _Bell(QObject):
    """Rung by the threads; of its own, so that it outlives the darkroom."""

    rung = Signal()


class Darkroom(QObject):
    """Makes tiles ready aside.

    Signals: ``ready`` gives the plates that can be painted since it was last told.
    """

    ready = Signal(object)

    def __init__(self, parent: QObject | None = None, *, limit_bytes: int = LIMIT_BYTES) -> None:
        super().__init__(parent)
        self._limit = limit_bytes
        self._kept: OrderedDict[Plate, QPixmap] = OrderedDict()  # the one not used for longest first
        self._bytes = 0
        self._used: Counter[Picture] = Counter()
        self._wanted: dict[object, Sequence[Plate]] = {}
        self._in_hand: set[Plate] = set()
        self._done: SimpleQueue[tuple[Plate, QImage | None]] = SimpleQueue()
        self._untold: list[Plate] = []
        self._threads: ThreadPoolExecutor | None = None  # while something is in hand
        self._bell = _Bell()
        self._bell.rung.connect(self._take_in, Qt.ConnectionType.QueuedConnection)
        self._saying = QTimer(self, singleShot=True, interval=SAY_EVERY_MS)
        self._saying.timeout.connect(self._tell)

    @property
    def busy(self) -> bool:
        """Whether something that is wanted is not there yet."""
        return next(self._missing(), None) is not None

    @property
    def kept_bytes(self) -> int:
        """Memory of the tiles that are kept."""
        return self._bytes

    def plate(self, plate: Plate) -> QPixmap | None:
        """A tile as it is painted; None where it is not there. One that could not be unpacked is a null pixmap."""
        found = self._kept.get(plate)
        if found is not None:
            self._kept.move_to_end(plate)
        return found

    def want(self, whom: object, plates: Sequence[Plate]) -> None:
        """Say what somebody wants from now on, the most wanted first; it takes the place of what they wanted before."""
        self._wanted[whom] = plates
        self._begin()

    def take_up(self, pictures: Iterable[Picture]) -> None:
        """Somebody begins to paint some pictures; only tiles of such are kept."""
        self._used.update(pictures)

    def let_go(self, whom: object, pictures: Iterable[Picture]) -> None:
        """Somebody paints some pictures no more; tiles of those that nobody else paints go."""
        self._wanted.pop(whom, None)
        self._used.subtract(pictures)
        self._used = +self._used
        for plate in [plate for plate in self._kept if plate.picture not in self._used]:
            self._bytes -= _bytes_of(self._kept.pop(plate))
        if not self._used:
            self._rest()

    def settle(self) -> None:
        """Make all that is wanted, at once; for pictures and tests."""
        for plate in list(self._missing()):
            self._keep(plate, _made(plate))
        self._tell()

    def _missing(self) -> Iterator[Plate]:
        """What is wanted and not there, as far as there is room for it: each who wants something has the same."""
        most = max(self._limit // _TILE_BYTES // max(len(self._wanted), 1), 1)
        for plates in self._wanted.values():
            yield from (plate for plate in plates[:most] if plate not in self._kept)

    def _begin(self) -> None:
        """Give more to the threads, as far as they have a hand free."""
        for plate in self._missing():
            if len(self._in_hand) >= _IN_HAND:
                return
            if plate not in self._in_hand:
                self._in_hand.add(plate)
                if self._threads is None:
                    self._threads = ThreadPoolExecutor(_threads(), thread_name_prefix="leakmap-darkroom")
                self._threads.submit(_work, plate, self._done, self._bell)
        if not self._in_hand:
            self._rest()

    def _rest(self) -> None:
        """End the threads, which takes no longer than the tiles in hand."""
        threads, self._threads = self._threads, None
        if threads is not None:
            threads.shutdown(cancel_futures=True)
            self._in_hand.clear()
            self._take_in()

    def _take_in(self) -> None:
        try:
            while True:
                plate, image = self._done.get_nowait()
                self._in_hand.discard(plate)
                self._keep(plate, image)
        except Empty:
            self._begin()
        if self._untold and not self._saying.isActive():
            self._saying.start()

    def _keep(self, plate: Plate, image: QImage | None) -> None:
        if plate in self._kept or plate.picture not in self._used:
            return
        pixmap = QPixmap() if image is None else QPixmap.fromImage(image)
        self._kept[plate] = pixmap
        self._bytes += _bytes_of(pixmap)
        self._untold.append(plate)
        while self._bytes > self._limit and len(self._kept) > 1:
            self._bytes -= _bytes_of(self._kept.popitem(last=False)[1])

    def _tell(self) -> None:
        told, self._untold = tuple(self._untold), []
        if told:
            self.ready.emit(told)


def _threads() -> int:
    return min(max((os.cpu_count() or 2) - 1, 1), _MOST_THREADS)


def _made(plate: Plate) -> QImage | None:
    data = plate.picture.tiles[plate.place]
    image = toned(data, plate.picture.tile_px(plate.place), plate.ink)
    if image is None:
        _log.warning("a tile of a picture could not be unpacked: %s", plate.place)
    return image


def _work(plate: Plate, done: SimpleQueue[tuple[Plate, QImage | None]], bell: _Bell) -> None:
    done.put((plate, _made(plate)))
    bell.rung.emit()


def _bytes_of(pixmap: QPixmap) -> int:
    return pixmap.width() * pixmap.height() * 4

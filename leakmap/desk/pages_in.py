"""What of a file is brought in: its pages are leafed through where there may be several, and a password is asked for.

A file that cannot have several pages, or has but one, goes straight on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Signal

from leakmap.desk.long_work import Errand
from leakmap.desk.reading import Leafing
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Answer, Trouble, Typing
from leakmap.drawings.leafing import Leaf, may_have_pages

LOCKED: Final = "{name} could not be read: it is protected by a password."
TYPE_IT: Final = "Type the password"
ANOTHER: Final = "Choose another"

_HEAD: Final = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What of a file is brought in.

    Attributes:
        file: The drawing.
        pages: Its pages, 0 first, each for a level of its own; the next one first.
        of: How many pages the file has.
        password: What opens it; kept nowhere, and forgotten with the last page.
    """

    file: Path
    pages: tuple[int, ...] = (0,)
    of: int = 1
    password: str | None = field(default=None, repr=False)

    @property
    def words(self) -> str:
        """The file, and the page that comes next where it has several."""
        return self.file.name if self.of == 1 else f"Page {self.pages[0] + 1} of {self.file.name}"

    @property
    def rest(self) -> Wanted:
        """What is left after the next page."""
        return replace(self, pages=self.pages[1:])


class PageChoice(QObject):
    """The pages of a file, as far as they are known, to choose from.

    Attributes:
        file: Name of the file.
        leaves: What is known of each page, first to last.
        pictures: The thumbnail of each, a PNG file; empty where it has none.
    """

    grown = Signal()

    def __init__(self, file: str, take: Callable[[tuple[int, ...]], object], leave: Callable[[], object]) -> None:
        super().__init__()
        self.file = file
        self.leaves: list[Leaf] = []
        self.pictures: list[bytes] = []
        self._take, self._leave = take, leave

    @property
    def of(self) -> int:
        """How many pages there are."""
        return self.leaves[0].of

    def add(self, leaf: Leaf, picture: bytes) -> None:
        """Another page is known."""
        self.leaves.append(leaf)
        self.pictures.append(picture)
        self.grown.emit()

    def take(self, pages: tuple[int, ...]) -> None:
        """Choose pages, 0 first."""
        self._take(pages)

    def leave(self) -> None:
        """Choose none."""
        self._leave()


class PagesIn(QObject):
    """One file that is being looked at before it is read.

    Args:
        desk: Shows the work, the pages to choose from, and whatever goes wrong.
        file: The file.
        then: Is given what of it was chosen.
        other: Lets the user choose another file; offered where this one cannot be used. None: it is not offered.
        left: What follows when nothing was chosen, or the work was stopped.
    """

    def __init__(
        self,
        desk: Desk,
        file: Path,
        then: Callable[[Wanted], object],
        *,
        other: Callable[[], object] | None,
        left: Callable[[], object],
    ) -> None:
        super().__init__(desk)
        self._desk, self._file, self._then = desk, file, then
        self._other, self._left = other, left
        self._password: str | None = None
        self._choice: PageChoice | None = None
        self._leafing: Leafing | None = None

    def start(self) -> Errand:
        """Leaf through the file."""
        leafing = self._leafing = Leafing(self)
        leafing.seen.connect(self._see)
        leafing.finished.connect(self._counted)
        leafing.failed.connect(lambda sentence: self._failed(sentence, locked=leafing.locked))
        leafing.stopped.connect(self._give_up)
        leafing.when_ended(leafing.deleteLater)
        leafing.start(self._file, password=self._password)
        self._desk.working.emit(leafing)
        return leafing

    def _see(self, leaf: Leaf, picture: bytes) -> None:
        if self._choice is None:
            self._choice = PageChoice(self._file.name, self._chosen, self._give_up)
            self._choice.add(leaf, picture)
            self._desk.offer_pages(self._choice)
            self._desk.pages_offered.connect(self._replaced)
        else:
            self._choice.add(leaf, picture)

    def _counted(self, count: object) -> None:
        self._leafing = None
        if self._choice is None and count == 1:
            self._go(Wanted(file=self._file, password=self._password))

    def _chosen(self, pages: tuple[int, ...]) -> None:
        assert self._choice is not None
        of = self._choice.of
        self._put_away()
        self._go(Wanted(file=self._file, pages=pages, of=of, password=self._password))

    def _go(self, wanted: Wanted) -> None:
        self._password = None
        self.deleteLater()
        self._then(wanted)

    def _failed(self, sentence: str, *, locked: bool) -> None:
        self._leafing = None
        if self._choice is not None:  # the pages that were seen can still be chosen
            self._desk.troubled.emit(Trouble(sentence=sentence))
        elif locked and self._password is None:
            answers = (Answer(words=TYPE_IT, give=lambda: self._ask_password("")), *self._another())
            words = LOCKED.format(name=self._file.name)
            self._desk.troubled.emit(Trouble(sentence=words, answers=answers, left=self._give_up))
        elif locked:
            self._ask_password(sentence)
        else:
            self._desk.troubled.emit(Trouble(sentence=sentence, answers=self._another()))
            self._give_up()

    def _ask_password(self, wrong: str) -> None:
        asked = password_asked(self._file.name, self._open_with, left=self._give_up, wrong=wrong)
        self._desk.troubled.emit(replace(asked, answers=self._another()))

    def _open_with(self, password: str) -> None:
        self._password = password
        self.start()

    def _another(self) -> tuple[Answer, ...]:
        other = self._other
        if other is None:
            return ()

        def give() -> None:
            self._give_up()
            other()

        return (Answer(words=ANOTHER, give=give),)

    def _put_away(self) -> None:
        """No page is chosen any more."""
        choice, self._choice = self._choice, None
        if self._leafing is not None:
            self._leafing.enough(0)
        if choice is not None and self._desk.page_choice is choice:
            self._desk.offer_pages(None)

    def _replaced(self) -> None:
        """Another job, or another choice, took the place of this one."""
        if self._choice is not None and self._desk.page_choice is not self._choice:
            self._give_up()

    def _give_up(self) -> None:
        self._put_away()
        self._password = None
        self.deleteLater()
        self._left()


def password_asked(
    name: str, enter: Callable[[str], object], *, left: Callable[[], object], why: str = "", wrong: str = ""
) -> Trouble:
    """The question for the password of a file.

    Args:
        name: Name of the file.
        enter: Is given the password.
        left: What follows when it is left without an answer.
        why: Why it is asked for, as a sentence; empty where that is plain.
        wrong: What was wrong with the one before, as a sentence; empty when none was given.
    """
    typing = Typing(name="Password", enter=enter, button="Open it", secret=True)
    sentence = wrong or f"{why} Type the password of {name}. It is kept nowhere.".lstrip()
    return Trouble(sentence=sentence, grave=bool(wrong), left=left, typing=typing)


def ask_what(
    desk: Desk,
    file: Path,
    then: Callable[[Wanted], object],
    *,
    other: Callable[[], object] | None = None,
    left: Callable[[], object] = lambda: None,
) -> Errand | None:
    """Ask what of a file is brought in, where that is a question.

    Args:
        desk: Shows the work, the pages to choose from, and whatever goes wrong.
        file: The file.
        then: Is given what of it was chosen; at once where the file cannot have several pages.
        other: Lets the user choose another file; offered where this one cannot be used. None: it is not offered.
        left: What follows when nothing was chosen, or the work was stopped.

    Returns:
        The work of leafing through it; None where there is none.
    """
    if not may_have_pages(_head(file)):
        then(Wanted(file=file))
        return None
    return PagesIn(desk, file, then, other=other, left=left).start()


def _head(file: Path) -> bytes:
    """The first bytes of a file; none where it cannot be read, which its reading says."""
    try:
        with file.open("rb") as stream:
            return stream.read(_HEAD)
    except OSError:
        return b""

"""A PDF file opened twice: by pdfium for what its pages draw, by pikepdf for what pdfium does not tell.

pdfium may only ever be used by one thread of a process, and a hostile file may break the process that
uses it: a window reads PDF files in a process of its own.
"""

from __future__ import annotations

import io
import logging
from contextlib import suppress
from math import isfinite
from types import TracebackType
from typing import Any, Final, Self

import pikepdf
import pypdfium2  # type: ignore[import-untyped]
from pypdfium2 import raw

from leakmap.base.counted import many
from leakmap.base.errors import LockedDrawing, UnusableDrawing
from leakmap.drawings.pdf.frame import Frame

TROUBLE: Final = (
    pikepdf.PdfError,  # what pikepdf raises on purpose
    pikepdf.PasswordError,
    ArithmeticError,  # numbers beyond the range
    AttributeError,  # a missing entry, or one of another kind
    LookupError,
    RuntimeError,  # nesting beyond the stack
    TypeError,
    ValueError,
)
"""Everything that pikepdf was seen to raise on damaged files; never a bare ``Exception``."""

MOST_USER_UNIT: Final = 10_000.0
"""A larger unit of a page makes no paper; it is taken for 1 (ours)."""

logging.getLogger("pikepdf").addHandler(logging.NullHandler())


class PdfFile:
    """A PDF file that is open; close it after use.

    Args:
        data: The file.
        name: Its name, for messages.
        password: What opens it; None for none.

    Attributes:
        name: Its name, for messages.
        pdf: The file as pdfium sees it.
        facts: The file as pikepdf sees it; None where pikepdf cannot make sense of it.
        mended: Whether pikepdf had to mend it before pdfium took it.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: It is no PDF, damaged, or without pages.
    """

    def __init__(self, data: bytes, *, name: str = "", password: str | None = None) -> None:
        self.name = name or "the file"
        self.facts = _facts(data, password)
        self.mended = False
        try:
            self.pdf = pypdfium2.PdfDocument(data, password=password)
        except pypdfium2.PdfiumError as problem:
            code = _own_fault(problem.err_code, self.facts)
            self.pdf = None if code == raw.FPDF_ERR_PASSWORD else _mended(self.facts)
            if self.pdf is None:
                self.close()
                raise _unusable(name, code, given=bool(password)) from problem
            self.mended = True

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def __len__(self) -> int:
        """Number of pages, at least 1."""
        return len(self.pdf)

    def close(self) -> None:
        """Let go of the file."""
        if self.facts is not None:
            self.facts.close()
        if self.pdf is not None:
            self.pdf.close()

    def checked(self, page: int) -> int:
        """A page, 0 first, that the file has.

        Raises:
            UnusableDrawing: There is no such page.
        """
        if not 0 <= page < len(self):
            text = f"There is no page {page + 1} in {self.name}, which has {many(len(self), 'page')}."
            raise UnusableDrawing(text, where=self.name)
        return page

    def page(self, index: int) -> Any:  # noqa: ANN401 - pypdfium2 has no types
        """A page as pdfium sees it.

        Raises:
            UnusableDrawing: It is damaged.
        """
        try:
            return self.pdf[index]
        except pypdfium2.PdfiumError as problem:
            text = f"Page {index + 1} of {self.name} is too damaged to be read; export the PDF again."
            raise UnusableDrawing(text, where=self.name) from problem

    def page_facts(self, index: int) -> Any | None:  # noqa: ANN401 - pikepdf's objects have any kind
        """A page as pikepdf sees it; None where it does not."""
        if self.facts is None:
            return None
        try:
            return self.facts.pages[index].obj
        except TROUBLE:
            return None

    def user_unit(self, index: int) -> float:
        """Points (1/72 inch) of one unit of a page (ISO 32000-1, 14.11.7); 1 where the file says nothing usable."""
        facts = self.page_facts(index)
        try:
            unit = float(facts.get("/UserUnit", 1)) if facts is not None else 1.0
        except TROUBLE:
            return 1.0
        return unit if isfinite(unit) and 0 < unit <= MOST_USER_UNIT else 1.0

    def frame(self, page: Any, index: int) -> Frame:  # noqa: ANN401 - pypdfium2 has no types
        """How a page of this file lies on paper.

        Raises:
            UnusableDrawing: The page has no extent.
        """
        box = raw.FS_RECTF()
        usable = raw.FPDF_GetPageBoundingBox(page, box)
        sides = (box.left, box.bottom, box.right, box.top)
        if not usable or not all(map(isfinite, sides)) or box.left >= box.right or box.bottom >= box.top:
            text = f"Page {index + 1} of {self.name} has no usable size; export the PDF again."
            raise UnusableDrawing(text, where=self.name)
        return Frame(sides, raw.FPDFPage_GetRotation(page) % 4, self.user_unit(index))


def _facts(data: bytes, password: str | None) -> pikepdf.Pdf | None:
    try:
        return pikepdf.open(io.BytesIO(data), suppress_warnings=True)
    except pikepdf.PasswordError:  # a password that is not needed would be warned of
        pass
    except TROUBLE:
        return None
    try:
        return pikepdf.open(io.BytesIO(data), password=password or "", suppress_warnings=True)
    except TROUBLE:
        return None


def _own_fault(code: int | None, facts: pikepdf.Pdf | None) -> int | None:
    """Why pdfium does not open a file: where it finds no pages it still names the fault of the file before it."""
    if code != raw.FPDF_ERR_PASSWORD or facts is None:  # what pikepdf opens is not locked
        return code
    with suppress(*TROUBLE):
        if not len(facts.pages):
            return int(raw.FPDF_ERR_SUCCESS)
    return int(raw.FPDF_ERR_FORMAT)


def _mended(facts: pikepdf.Pdf | None) -> Any:  # noqa: ANN401 - pypdfium2 has no types
    """A damaged file as pikepdf writes it anew; None where that is no help."""
    if facts is None:
        return None
    stream = io.BytesIO()
    try:
        facts.save(stream)
        return pypdfium2.PdfDocument(stream.getvalue())
    except (*TROUBLE, pypdfium2.PdfiumError):
        return None


def _unusable(name: str, code: int | None, *, given: bool) -> UnusableDrawing:
    """The one sentence for a file that pdfium does not open."""
    if code == raw.FPDF_ERR_PASSWORD:
        text = (
            f"The password does not open {name or 'the file'}; type it again, with capitals and small letters as they are."
            if given
            else f"{name or 'The file'} is locked; give the password that opens it."
        )
        return LockedDrawing(text, where=name)
    reasons = {
        raw.FPDF_ERR_SECURITY: "is locked in a way that leakmap does not know; ask for a copy without a lock.",
        raw.FPDF_ERR_SUCCESS: "holds no pages; export the PDF again.",
    }
    text = f"{name or 'The file'} {reasons.get(code, 'is too damaged to be read as a PDF; export it again.')}"
    return UnusableDrawing(text, where=name)

"""What the pages of a PDF say, as a library reads them that had no part in writing it.

It reads in compiled code: a page full of signs is read a hundred times quicker than by the libraries that
``tests/outside`` looks into lines and letters with.
"""

from __future__ import annotations

from pathlib import Path

import pypdfium2


def page_texts(paper: bytes | Path) -> list[str]:
    """The text of each page, its lines parted by line feeds."""
    with pypdfium2.PdfDocument(paper) as pdf:
        return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in pdf]

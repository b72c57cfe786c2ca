"""Make the pictures of the README from the sample job: window, marked plan, repair schedule.

    python resources/make_pictures.py        needs the tools of the tests (pypdfium2, pillow)

They are what the program gives, scaled and cropped; nothing is drawn by hand.
"""
# ruff: noqa: INP001 - a script beside the pictures

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image

FOLDER = Path(__file__).resolve().parent / "pictures"
ROOT = FOLDER.parent.parent
MOST_BYTES = 300_000
PLAN_WIDTH, PAGE_WIDTH = 2100, 1000
PLAN_PART = (0.155, 0.14, 0.80, 0.79)  # the plan itself, by shares of its page: left, top, right, bottom
COLOURS = 128  # of the palette; the papers and the window have few


def main() -> None:
    """Write the three pictures."""
    FOLDER.mkdir(exist_ok=True)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run("leakmap.console", "demo", "--out", name)
        (job,) = folder.glob("*.gpkg")
        (schedule,) = folder.glob("*repair schedule.pdf")
        run("leakmap.desk.pictures", str(job), name)
        keep(Image.open(folder / "desk 1600 4 Repair.png"), "desk.png")
        pages = pypdfium2.PdfDocument(schedule)
        plan, cards = plan_page(pages), card_page(pages)
        keep(part(page_image(pages, plan, PLAN_WIDTH), PLAN_PART), "plan.png")
        keep(page_image(pages, cards, PAGE_WIDTH), "schedule.png")
        pages.close()


def run(module: str, *words: str) -> None:
    """Run a module of the program, for somebody invented."""
    invented = {**os.environ, "LOGNAME": "ann"}
    command = [sys.executable, "-m", module, *words]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL, env=invented)  # noqa: S603 - this program


def plan_page(pages: pypdfium2.PdfDocument) -> int:
    """Number of the first marked plan: the largest page."""
    return max(range(len(pages)), key=lambda number: (pages[number].get_width(), -number))


def card_page(pages: pypdfium2.PdfDocument) -> int:
    """Number of the first page of the repair schedule with zones and a relief point to close."""
    words = ("Size measured", "Relief closed", "Deep slot")
    return next(
        number
        for number in range(len(pages))
        if number != plan_page(pages) and all(word in pages[number].get_textpage().get_text_bounded() for word in words)
    )


def page_image(pages: pypdfium2.PdfDocument, number: int, width: int) -> Image.Image:
    """A page as a picture so many px wide."""
    page = pages[number]
    return page.render(scale=width / page.get_width()).to_pil()


def part(picture: Image.Image, shares: tuple[float, float, float, float]) -> Image.Image:
    """A part of a picture by shares of its width and height: left, top, right, bottom."""
    width, height = picture.size
    left, top, right, bottom = shares
    return picture.crop((int(left * width), int(top * height), int(right * width), int(bottom * height)))


def keep(picture: Image.Image, name: str) -> None:
    """Write a picture with a palette, and refuse one that is too large."""
    path = FOLDER / name
    picture.convert("RGB").quantize(COLOURS).save(path, optimize=True)
    if path.stat().st_size > MOST_BYTES:
        raise SystemExit(f"{path.name} has {path.stat().st_size} bytes, more than {MOST_BYTES}.")


if __name__ == "__main__":
    main()

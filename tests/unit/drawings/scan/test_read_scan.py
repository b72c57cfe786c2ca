"""Scans and photos as drawings: what their tiles show, against Pillow's own reading."""

from __future__ import annotations

import io
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image

from leakmap.base.errors import BadValue, Stopped, UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.base.progress import StopAfter
from leakmap.drawings.scan.header import scan_info
from leakmap.drawings.scan.read import read_scan
from leakmap.model.drawing import Drawing, Picture, TilePlace

WIDE, HIGH = 1300, 700
ORIENTATION = 0x0112


def plan(width: int = WIDE, height: int = HIGH) -> Image.Image:
    """A drawing of black lines on white paper, different in each corner."""
    dots = np.full((height, width), 255, np.uint8)
    dots[10:13, 10 : width // 2] = 0
    dots[height // 2 : height - 20, 40:44] = 0
    dots[height - 90 : height - 60, width - 200 : width - 120] = 0
    return Image.fromarray(dots)


def file_of(picture: Image.Image, kind: str, **options: object) -> bytes:
    """A picture as the bytes of a file."""
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()


def dots(drawing: Drawing, level: int = 0) -> npt.NDArray[np.uint8]:
    """A level of the only picture of a drawing, put together from its tiles, grey."""
    (picture,) = drawing.pictures
    width, height = picture.level_px(level)
    whole = Image.new("L", (width, height), 77)
    for place in picture.places(level):
        tile = Image.open(io.BytesIO(picture.tiles[place]))
        assert tile.size == picture.tile_px(place)
        whole.paste(tile.convert("L"), (512 * place.column, 512 * place.row))
    return np.asarray(whole)


@pytest.mark.parametrize(
    ("kind", "mode", "options"),
    [
        ("PNG", "1", {}),
        ("PNG", "L", {}),
        ("PNG", "P", {}),
        ("PNG", "RGB", {}),
        ("PNG", "RGBA", {}),
        ("PNG", "I;16", {}),
        ("TIFF", "1", {"compression": "group4"}),
        ("TIFF", "L", {"compression": "tiff_lzw"}),
        ("TIFF", "RGB", {"compression": "tiff_adobe_deflate"}),
        ("TIFF", "CMYK", {}),
    ],
)
def test_tiles_show_the_picture(kind: str, mode: str, options: Mapping[str, object]) -> None:
    """Every kind of pixel comes out as Pillow reads it, within the rounding of a colour space."""
    grey = plan()
    picture = Image.fromarray(np.asarray(grey).astype(np.uint16) * 257) if mode == "I;16" else grey.convert(mode)
    drawing = read_scan(file_of(picture, kind, **options), name="plan")
    assert np.abs(dots(drawing).astype(int) - np.asarray(grey).astype(int)).max() <= (40 if mode == "CMYK" else 1)
    assert drawing.pictures[0].size_px == (WIDE, HIGH)
    assert drawing.shown == drawing.pictures[0].box == (0, 0, WIDE, HIGH)
    assert drawing.findings == ()


def test_photo_is_near_the_original() -> None:
    """A photo is kept as JPEG: a dot differs by little on average."""
    rng = np.random.default_rng(4)
    smooth = Image.fromarray(rng.integers(0, 255, (30, 40, 3), dtype=np.uint8)).resize(
        (900, 700), Image.Resampling.BICUBIC
    )
    data = file_of(smooth, "JPEG", quality=95)
    seen = np.asarray(Image.open(io.BytesIO(data)).convert("L")).astype(int)
    assert np.abs(dots(read_scan(data)).astype(int) - seen).mean() < 2


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "TIFF"])
def test_turns_of_the_camera_are_honoured(kind: str, turn: int) -> None:
    """All eight orientations of EXIF stand upright as Pillow's own transposing makes them."""
    from PIL import ImageOps  # noqa: PLC0415 - the outside reference of this test alone

    exif = Image.Exif()
    exif[ORIENTATION] = turn
    data = file_of(plan(), kind, exif=exif)
    upright = ImageOps.exif_transpose(Image.open(io.BytesIO(data))).convert("L")
    drawing = read_scan(data)
    assert drawing.pictures[0].size_px == upright.size
    assert np.abs(dots(drawing).astype(int) - np.asarray(upright).astype(int)).mean() < 1


def test_coarser_levels_are_the_mean_of_what_they_cover() -> None:
    """A pixel of a coarser level is the mean of four, so that thin lines fade and never vanish."""
    even = plan(1200, 1800)
    drawing = read_scan(file_of(even, "PNG"))
    fine = np.asarray(even).astype(float)
    assert drawing.pictures[0].levels == 3
    for level in (1, 2):
        fine = (fine[::2, ::2] + fine[1::2, ::2] + fine[::2, 1::2] + fine[1::2, 1::2]) / 4
        assert np.abs(dots(drawing, level) - fine).max() <= 2 * level


def test_every_tile_of_every_level_is_there() -> None:
    """The tiles are those that the picture's own arithmetic asks for, and no more."""
    picture = read_scan(file_of(plan(1537, 513), "PNG")).pictures[0]
    wanted = {place for level in range(picture.levels) for place in picture.places(level)}
    assert set(picture.tiles) == wanted
    assert picture.levels == 3
    assert TilePlace(2, 0, 0) in wanted


def test_small_picture_is_one_tile() -> None:
    """A picture of one pixel has one tile, one pixel wide and high."""
    picture = read_scan(file_of(Image.new("L", (1, 1), 9), "PNG")).pictures[0]
    assert (picture.size_px, picture.levels, len(picture.tiles)) == ((1, 1), 1, 1)


def test_each_page_of_a_tiff_can_be_read() -> None:
    """A TIFF of two pages says so, and gives either."""
    data = file_of(plan(600, 400), "TIFF", save_all=True, append_images=[plan(400, 600)])
    assert scan_info(data).pages == 2
    assert [read_scan(data, page=page).pictures[0].size_px for page in (0, 1)] == [(600, 400), (400, 600)]
    with pytest.raises(UnusableDrawing):
        read_scan(data, page=2)


@pytest.mark.parametrize(
    ("dpi", "codes"), [(72, ["coarse-scan"]), (149, ["coarse-scan"]), (150, []), (400, []), (None, [])]
)
def test_coarse_scans_are_said(dpi: int | None, codes: list[str]) -> None:
    """Below 150 dots per inch a finding says what a length can be out by: 1 pixel, 2.54 cm / 72 × 100 at 72."""
    data = file_of(plan(), "PNG") if dpi is None else file_of(plan(), "PNG", dpi=(dpi, dpi))
    drawing = read_scan(data)
    assert [found.code for found in drawing.findings] == codes
    if dpi == 72:
        assert drawing.findings[0].text.endswith("lengths can be out by about 4 cm.")
    assert drawing.unit.m_per_unit is None
    assert ("dots per inch" in drawing.unit.reason) == (dpi is not None)


def test_file_that_stops_too_early_shows_what_is_there() -> None:
    """The upper part of half a photo is seen, and the loss is said."""
    data = file_of(plan(1600, 1200), "JPEG", dpi=(300, 300))
    drawing = read_scan(data[: len(data) // 2], name="photo.jpg")
    assert [(found.code, found.effect) for found in drawing.findings] == [("picture-damaged", Effect.LOST)]
    assert dots(drawing)[11, 100] < 60


@pytest.mark.parametrize(
    "data", [b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0junk", b"II*\x00\x08\x00\x00\x00", b"GIF89a", b"BM123"]
)
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    """Foreign or headless files give one sentence with the file's name."""
    with pytest.raises(UnusableDrawing, match=r"^odd\.bin .*\.$"):
        read_scan(data, name="odd.bin")


def test_giant_picture_is_refused_by_its_head() -> None:
    """A file that claims 2.5 thousand million pixels is refused before any memory is taken."""
    head = bytearray(file_of(Image.new("1", (8, 8)), "PNG"))
    head[16:24] = (50_000).to_bytes(4, "big") * 2
    from zlib import crc32  # noqa: PLC0415 - for this forged head alone

    head[29:33] = crc32(bytes(head[12:29])).to_bytes(4, "big")
    with pytest.raises(UnusableDrawing, match="50,000 × 50,000 pixels"):
        read_scan(bytes(head))


def test_stop_is_obeyed() -> None:
    """The word to stop ends the reading and reaches the caller."""
    with pytest.raises(Stopped):
        read_scan(file_of(plan(4000, 4000), "PNG"), progress=StopAfter(2))


def test_sheet_is_laid_flat() -> None:
    """A photo of a sheet, made by Pillow's perspective, becomes the sheet again within two pixels of its marks."""
    sheet = plan(800, 600).convert("RGB")
    seen = [(120, 80), (900, 130), (850, 700), (60, 640)]  # upper left, upper right, lower right, lower left; y down
    photo = sheet.transform(
        (1000, 760), Image.Transform.PERSPECTIVE, _map_to_sheet(seen, sheet.size), Image.Resampling.BICUBIC
    )
    corners = tuple((float(x), 760.0 - y) for x, y in seen)
    drawing = read_scan(file_of(photo, "PNG"), corners=corners)
    width, height = drawing.pictures[0].size_px
    flat = np.asarray(Image.fromarray(dots(drawing)).resize(sheet.size, Image.Resampling.BICUBIC)).astype(int)
    mark = np.argwhere(flat[500:560, 560:700] < 100)
    assert np.abs(mark.min(axis=0) - [510 - 500, 600 - 560]).max() <= 2
    assert np.abs(mark.max(axis=0) - [539 - 500, 679 - 560]).max() <= 2
    assert (width, height) == (792, 572)  # √(790² + 60²) and √(50² + 570²), the longer of each two sides


def _map_to_sheet(seen: list[tuple[int, int]], size: tuple[int, int]) -> list[float]:
    """Pillow's eight numbers from photo to sheet, solved here on their own."""
    width, height = size
    rows, sides = [], []
    for (x, y), (u, v) in zip(seen, [(0, 0), (width, 0), (width, height), (0, height)], strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        sides += [u, v]
    return list(np.linalg.lstsq(np.array(rows, float), np.array(sides, float), rcond=None)[0])


@pytest.mark.parametrize(
    "corners",
    [
        ((0, 0), (100, 0), (100, 100), (0, 100)),  # the wrong way round
        ((0, 100), (100, 0), (100, 100), (0, 0)),  # crossed
        ((0, 100), (100, 100), (100, 0), (80, 80)),  # bent inwards
        ((0, 100), (50, 100), (100, 100), (0, 0)),  # three in a row
        ((0, 5), (5, 5), (5, 0), (0, 0)),  # next to nothing
    ],
)
def test_what_is_no_sheet_is_refused(corners: tuple[tuple[float, float], ...]) -> None:
    """Corners in a wrong order, or of next to nothing, are refused with a sentence."""
    with pytest.raises(BadValue, match="corner"):
        read_scan(file_of(plan(), "PNG"), corners=corners)


def test_picture_arithmetic_reaches_beyond_the_box() -> None:
    """Tiles of an odd-sized level reach over the box by less than one of its pixels."""
    picture = Picture((0, 0, 513, 513), (513, 513), {})
    (place,) = picture.places(1)
    assert picture.tile_box(place) == (0, -1, 514, 513)

"""Photos of leaks on their way into a job: small pictures against another library, and what is no photo."""

from __future__ import annotations

import io
from hashlib import sha256
from pathlib import Path

import pytest
from PIL import Image

from leakmap.base.errors import Stopped, UnusableFile
from leakmap.base.progress import StopAfter
from leakmap.model.leak import Photo
from leakmap.work import photos
from leakmap.work.photos import read_photos, small_key
from tests.helpers.made_scans import photo_file


def test_a_photo_is_kept_as_it_is_with_a_small_upright_picture(tmp_path: Path) -> None:
    """Of 1600 by 400 pixels held on its side (EXIF 6: the top is at the right, CIPA DC-008) 60 by 240 are left, red above."""
    path = photo_file(tmp_path / "a.JPG", (1600, 400), left=(200, 30, 30), right=(30, 30, 200), turned=6)
    (new,) = read_photos((path,))
    content = path.read_bytes()
    assert new.content == content
    assert new.photo == Photo(name="a.JPG", sha256=sha256(content).hexdigest())
    assert new.parsed == {small_key(new.photo): new.small}
    small = Image.open(io.BytesIO(new.small))
    assert small.size == (60, 240)
    upper, lower = (small.convert("RGB").getpixel((30, y)) for y in (40, 200))
    assert isinstance(upper, tuple)
    assert isinstance(lower, tuple)
    assert upper[0] > 150
    assert upper[2] < 80
    assert lower[2] > 150
    assert lower[0] < 80


@pytest.mark.parametrize("content", [b"", b"words", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0 cut"])
def test_a_file_that_is_no_picture_is_one_sentence(tmp_path: Path, content: bytes) -> None:
    """Nothing, words, and the mere heads of a PNG and a JPEG are no photo, and a good one beside it is not taken either."""
    good = photo_file(tmp_path / "good.png", (40, 30))
    bad = tmp_path / "bad.png"
    bad.write_bytes(content)
    with pytest.raises(UnusableFile, match=r"^bad\.png is no photo that can be read: [^\n]*Nothing was added[^\n]*\.$"):
        read_photos((good, bad))


def test_a_file_that_is_gone_or_too_large_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither is added, and the sentence says why."""
    with pytest.raises(UnusableFile, match=r"gone\.jpg could not be read: No such file"):
        read_photos((tmp_path / "gone.jpg",))
    monkeypatch.setattr(photos, "LARGEST_BYTES", 10)
    with pytest.raises(UnusableFile, match=r"a\.png is larger than 0 MB, so it was not added"):
        read_photos((photo_file(tmp_path / "a.png", (40, 30)),))


def test_reading_stops_when_asked(tmp_path: Path) -> None:
    """A stop before the second photo leaves both."""
    path = photo_file(tmp_path / "a.png", (40, 30))
    with pytest.raises(Stopped):
        read_photos((path, path), progress=StopAfter(2))

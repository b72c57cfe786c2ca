"""Whole files: versions, damage, what is read, the origin, progress and stopping."""

from __future__ import annotations

import gc
import logging
import random
import re
from pathlib import Path

import pytest

from leakmap.base.errors import BadValue, Stopped, UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.base.progress import StopAfter
from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import absolute, all_points, as_bytes, codes, document, finding, read, reread, seen

VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]


class Reports:
    """Progress that keeps what it is told."""

    def __init__(self) -> None:
        self.words: list[str] = []
        self.shares: list[float] = []

    def report(self, words: str, done: int, total: int | None) -> None:
        """Keep the words, and the share where the whole is known."""
        self.words.append(words)
        if total:
            self.shares.append(done / total)


def plan(lines: int = 4) -> bytes:
    """A file with a few lines and a circle."""
    made = document(lambda msp: msp.add_circle((0, 0), 5))
    for y in range(lines):
        made.modelspace().add_line((0, y), (9, y))
    return as_bytes(made)


@pytest.mark.parametrize("binary", [False, True])
@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_reads_alike(version: str, binary: bool) -> None:  # noqa: FBT001 - a table of cases
    """A polyline and a text are the same from R12 to R2018, as text and as binary file."""
    made = document(version=version)
    made.modelspace().add_polyline2d([(1, 2), (30, 2), (30, 40)])
    made.modelspace().add_text("SUMP", height=2).set_placement((3, 4))
    drawing = read_dxf(as_bytes(made, binary=binary), m_per_unit=1.0)
    assert all_points(drawing) == [[(1.0, 2.0), (30.0, 2.0), (30.0, 40.0)]]
    assert [(text.words, text.at) for text in drawing.texts] == [("SUMP", (3.0, 4.0))]
    assert drawing.findings == ()


def test_a_file_is_read_from_its_path(tmp_path: Path) -> None:
    """The path and the bytes give the same drawing; the ending of the name does not matter."""
    path = tmp_path / "plan.txt"
    path.write_bytes(plan())
    assert all_points(read_dxf(path)) == all_points(read_dxf(plan()))


@pytest.mark.parametrize(("before", "ends"), [(b"\xef\xbb\xbf", b"\n"), (b"", b"\r\n"), (b"", b"\r")])
def test_line_ends_and_a_byte_order_mark_do_not_matter(before: bytes, ends: bytes) -> None:
    """Files from any system, with or without the mark that some editors put in front."""
    data = before + plan().replace(b"\r\n", b"\n").replace(b"\n", ends)
    drawing = read_dxf(data)
    assert all_points(drawing) == all_points(read_dxf(plan()))
    assert "file-repaired" not in codes(drawing)


def test_a_survey_plan_gets_a_local_origin_and_stays_exact() -> None:
    """Around (10,000,000, 5,500,000), ends are exact to 0.1 mm, and the numbers kept are small."""
    corners = [(10_000_000.1234, 5_500_000.4321), (10_000_031.5678, 5_500_020.8765)]
    drawing = read(lambda msp: msp.add_line(*corners))
    assert abs(drawing.strokes.xy).max() < 1000
    assert drawing.origin == (10_000_000, 5_500_000)
    for point, corner in zip(absolute(drawing).tolist(), corners, strict=True):
        assert point == pytest.approx(corner, rel=0, abs=1e-4)


def test_a_block_from_a_survey_stays_exact() -> None:
    """A block drawn and inserted at survey coordinates, turned by 90° about its base point, loses no tenth of a mm."""
    made = document()
    made.blocks.new("B", base_point=(10_000_000, 5_500_000)).add_line(
        (10_000_000, 5_500_000), (10_000_031.5678, 5_500_000)
    )
    made.modelspace().add_blockref("B", (10_000_000, 5_500_000), dxfattribs={"rotation": 90})
    end = absolute(reread(made))[1].tolist()
    assert end == pytest.approx([10_000_000, 5_500_031.5678], rel=0, abs=1e-4)


def test_a_plan_near_zero_keeps_its_numbers() -> None:
    """The origin stays at zero, so that drawing units are those of the file."""
    assert read(lambda msp: msp.add_line((40, 30), (90, 60))).origin == (0, 0)


def test_header_extents_are_not_asked() -> None:
    """Extents of 10^20 in the header, as writers leave them, change nothing."""
    made = document(lambda msp: msp.add_line((0, 0), (30, 20)))
    made.header["$EXTMIN"], made.header["$EXTMAX"] = (1e20, 1e20, 0), (-1e20, -1e20, 0)
    assert seen(reread(made)) == (0, 0, 30, 20)


def test_a_stray_insert_does_not_decide_the_view() -> None:
    """A block 80 km away is kept, left out of the view, and told."""
    made = document()
    for x in range(40):
        made.modelspace().add_line((x, 0), (x, 20))
    made.blocks.new("B").add_line((0, 0), (1, 1))
    made.modelspace().add_blockref("B", (80_000, 80_000))
    drawing = reread(made)
    assert seen(drawing) == (0, 0, 39, 20)
    assert len(drawing.strokes) == 41
    assert finding(drawing, "far-away").text.endswith(": 1.")


def test_an_empty_model_space_gives_way_to_the_paper() -> None:
    """The layout with most on it is read, its name is said, and its unit is not believed."""
    made = document()
    made.layout("Layout1").add_line((0, 0), (420, 297))
    notes = made.layouts.new("Notes")
    for y in range(5):
        notes.add_line((0, y), (100, y))
    drawing = reread(made)
    assert len(drawing.strokes) == 5
    assert "Notes" in finding(drawing, "paper-layout").text
    assert drawing.unit.m_per_unit is None


@pytest.mark.parametrize("ends", [b"\n", b"\r\n"])
def test_a_file_that_stops_is_read_up_to_there(ends: bytes) -> None:
    """Cut in the third of four lines, the circle and two lines are read and the finding says in which line of the file it stops."""
    data = plan().replace(b"\r\n", b"\n")
    third = [found.start() for found in re.finditer(rb"\bLINE\n", data)][2]
    stops = data.index(b"\n 20\n", third) + 5  # its y is there but for the value
    assert data[:stops].endswith(b" 20\n")
    drawing = read_dxf(data[:stops].replace(b"\n", ends), name="b2.dxf")
    assert len(drawing.strokes) == len(read_dxf(plan()).strokes) - 2
    found, line = finding(drawing, "file-cut"), data[:stops].count(b"\n")
    assert (found.effect, found.where) == (Effect.LOST, f"in the middle of line {line:,}")


def test_a_file_that_stops_before_its_plan_says_so() -> None:
    """Cut before any line of the plan, it is refused with the line in which it stops; nothing else is blamed."""
    data = plan().replace(b"\r\n", b"\n")
    stops = data.index(b"$ACADVER") + 3
    line = data[:stops].count(b"\n") + 1
    with pytest.raises(UnusableDrawing, match=rf"^b2.dxf stops in the middle of line {line}, before any line"):
        read_dxf(data[:stops], name="b2.dxf")


def test_a_file_without_its_last_record_is_whole() -> None:
    """Some writers leave the end out: what closes its last section misses nothing."""
    data = plan().replace(b"\r\n", b"\n")
    drawing = read_dxf(data[: data.rindex(b"  0\nEOF")])
    assert "file-cut" not in codes(drawing)
    assert all_points(drawing) == all_points(read_dxf(plan()))


def test_a_damaged_file_is_read_as_far_as_it_goes() -> None:
    """A handle that is no number: the recovering reader takes the file, and a finding asks to compare."""
    data = plan()
    at = data.index(b"AcDbLine")
    cut = data.rindex(b"\n  5\n", 0, at) + 5
    damaged = data[:cut] + b"xyz" + data[data.index(b"\n", cut) :]
    drawing = read_dxf(damaged)
    assert len(drawing.strokes) >= 4
    assert finding(drawing, "file-repaired").effect is Effect.FIXED


def test_a_badly_damaged_file_is_said_to_miss_parts() -> None:
    """A line break lost in the middle shifts every code and value; what follows is found again, and the loss is told."""
    data = plan(lines=60)
    at = data.index(b"AcDbLine", len(data) // 3)
    drawing = read_dxf(data[:at] + b"broken\nwords\nhere\n" + data[at:])
    assert len(drawing.strokes) > 30
    assert finding(drawing, "file-damaged").effect is Effect.LOST


def test_warnings_of_the_library_become_findings(caplog: pytest.LogCaptureFixture) -> None:
    """A handle used twice is told as a finding and never reaches the log, which is as it was afterwards."""
    made = document()
    first, second = (made.modelspace().add_line((0, y), (9, y)) for y in range(2))
    handle = f"\n{second.dxf.handle}\n".encode()
    data = as_bytes(made).replace(handle, f"\n{first.dxf.handle}\n".encode())
    drawing = read_dxf(data)
    assert "file-warning" in codes(drawing)
    assert not caplog.records
    assert not logging.getLogger("ezdxf").handlers
    assert logging.getLogger("ezdxf").propagate


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda _: None, "holds no lines that can be drawn; export"),
        (lambda msp: msp.add_point((0, 0)), "holds no lines that can be drawn"),
        (lambda msp: msp.add_shape("BOX", (0, 0)), "SHAPE"),
    ],
)
def test_a_drawing_without_lines_is_refused_in_one_sentence(build: object, words: str) -> None:
    """It says why, and what to do."""
    with pytest.raises(UnusableDrawing, match=words) as refused:
        read_dxf(as_bytes(document(build)), name="b2.dxf")  # type: ignore[arg-type]  # a builder of the table
    assert str(refused.value).startswith("b2.dxf ")
    assert str(refused.value).endswith(".")


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    """Each in one sentence with the name."""
    with pytest.raises(UnusableDrawing, match="is a folder"):
        read_dxf(tmp_path)
    with pytest.raises(UnusableDrawing, match=r"gone\.dxf could not be opened"):
        read_dxf(tmp_path / "gone.dxf")


def test_a_unit_must_be_greater_than_zero() -> None:
    """A wrong unit is the caller's mistake, not the file's."""
    with pytest.raises(BadValue):
        read_dxf(plan(), m_per_unit=0.0)


@pytest.mark.parametrize("binary", [False, True])
def test_progress_tells_reading_building_and_drawing(binary: bool) -> None:  # noqa: FBT001 - a table of cases
    """All three are told in this order, and shares stay between 0 and 1."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0)))
    reports = Reports()
    read_dxf(as_bytes(made, binary=binary), progress=reports)
    first = [reports.words.index(words) for words in ("Reading the file", "Building the drawing", "Drawing the lines")]
    assert first == sorted(first)
    assert all(0 <= share <= 1 for share in reports.shares)


@pytest.mark.slow
def test_reading_stops_at_any_report() -> None:
    """Whichever report asks to stop, reading ends with Stopped; nothing else gets out, and memory search is on again."""
    data = plan(lines=40)
    reports = Reports()
    whole = read_dxf(data, progress=reports)
    for number in range(1, len(reports.words) + 1):
        with pytest.raises(Stopped):
            read_dxf(data, progress=StopAfter(number))
        assert gc.isenabled()
    again = read_dxf(data, progress=StopAfter(len(reports.words) + 1))
    assert all_points(again) == all_points(whole)


def test_reading_twice_gives_the_same() -> None:
    """The same bytes give the same strokes in the same order, and the same findings."""
    made = document()
    block = made.blocks.new("B")
    block.add_circle((0, 0), 2)
    for x in range(20):
        made.modelspace().add_blockref("B", (x, 0), dxfattribs={"layer": f"L{x % 3}", "xscale": 1 + x % 4})
    first, second = reread(made), reread(made)
    assert first.strokes.xy.tobytes() == second.strokes.xy.tobytes()
    assert first.strokes.layer.tolist() == second.strokes.layer.tolist()
    assert first.findings == second.findings


def busy_file() -> bytes:
    """A small file with something of every kind that damage may hit."""
    made = document()
    msp = made.modelspace()
    block = made.blocks.new("B")
    block.add_lwpolyline([(0, 0, 0.5), (4, 0, 0), (4, 4, 0)], format="xyb", close=True)
    msp.add_blockref("B", (9, 9), dxfattribs={"row_count": 2, "row_spacing": 9}).add_attrib("REF", "P1", (9, 9))
    hatch = msp.add_hatch()
    hatch.paths.add_edge_path().add_arc((0, 0), 3)
    hatch.paths.add_polyline_path([(0, 0), (6, 0, 1), (6, 6)])
    msp.add_spline([(0, 0), (4, 5), (9, 1)])
    msp.add_ellipse((0, 0), (5, 0), ratio=0.5)
    msp.add_mtext("wet\\Pwell")
    msp.add_linear_dim((0, 2), (0, 0), (8, 0)).render()
    return as_bytes(made)


def damaged(data: bytes, chance: random.Random) -> bytes:
    """The file with a few bytes turned, cut, doubled, or lines exchanged for others."""
    kind = chance.choice(("turn", "cut", "drop", "double", "lines"))
    at = chance.randrange(len(data))
    if kind == "turn":
        return data[:at] + bytes([chance.randrange(256)]) * chance.randint(1, 3) + data[at + 2 :]
    if kind == "cut":
        return data[:at]
    if kind == "drop":
        return data[:at] + data[at + chance.randint(1, 300) :]
    if kind == "double":
        return data[:at] + data[at : at + 900] + data[at:]
    lines = data.split(b"\n")
    for _ in range(6):
        odd = (b"nan", b"1e308", b"-1", b"0", b"", b"HATCH", b"\xff\xfe", chance.choice(lines))
        lines[chance.randrange(len(lines))] = chance.choice(odd)
    return b"\n".join(lines)


@pytest.mark.slow
def test_damage_never_gets_out_as_anything_but_one_sentence() -> None:
    """Sixty damaged copies of a busy file, by a fixed seed: each is read with findings or refused in a sentence."""
    chance = random.Random(20)  # noqa: S311 - damage, no secret
    data = busy_file()
    read_again = 0
    for _ in range(60):
        try:
            drawing = read_dxf(damaged(data, chance), name="b2.dxf")
        except UnusableDrawing as refused:
            assert str(refused).endswith(".")  # noqa: PT017 - either outcome is right
            str(refused).encode("utf-8")
        else:
            read_again += 1
            _check_sound(drawing)
    assert read_again > 20


def _check_sound(drawing: Drawing) -> None:
    """What is read can be drawn, packed and printed."""
    strokes = drawing.strokes
    assert strokes.starts[0] == 0
    assert strokes.starts[-1] == len(strokes.xy)
    assert (strokes.xy < 1e16).all()
    assert all(0 <= layer < len(drawing.layers) for layer in strokes.layer.tolist())
    for text in drawing.texts:
        text.words.encode("utf-8")
    for found in drawing.findings:
        (found.text + found.where).encode("utf-8")


def test_a_model_space_that_the_list_of_layouts_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """Damage can take the model space out of the list of layouts; its lines are still in its block, and a finding tells."""
    data = plan()

    def lost(_: object) -> None:
        raise KeyError("MODEL")

    monkeypatch.setattr("ezdxf.document.Drawing.modelspace", lost)
    drawing = read_dxf(data)
    assert len(drawing.strokes) == 5
    assert "LAYOUT" in finding(drawing, "entity-failed").text

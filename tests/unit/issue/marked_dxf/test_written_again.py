"""What writing a drawing again did to its entities."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import pytest

from leakmap.base.findings import Effect, to_look_at
from leakmap.issue.marked_dxf.document import as_text, encoding_of
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.issue.marked_dxf.written_again import Rewritten, rewritten, told
from tests.helpers.marked_files import MILLIMETRES, NAME, ONE, small_job
from tests.helpers.marked_job import HEADING, plan_bytes, sheet_b2

NOTHING = Rewritten(entities=1, silent=0, numbered=0, changed=0, gone=0)
LINE = "0 LINE|5 2A|8 WALL|10 1.5|20 2|11 3|21 4"


def drawing(*entities: str) -> bytes:
    """A drawing of entities, each as its tags parted by strokes."""
    tags = "|".join(("0 SECTION|2 ENTITIES", *entities, "0 ENDSEC|0 EOF"))
    return "".join(f"{code}\n{value}\n" for code, value in (tag.split(" ", 1) for tag in tags.split("|"))).encode()


@pytest.mark.parametrize(
    ("after", "wanted"),
    [
        (LINE, {}),
        ("0 LINE|5 2A|330 1F|100 AcDbLine|8 wall|10 1.50|20 2.0|11 3.0|21 4.0", {}),
        (f"{LINE}|62 256|210 0|220 0|230 1", {"silent": 1}),
        (LINE.replace("3", "3.0000001"), {"changed": 1}),
        (LINE.replace("|21 4", ""), {"changed": 1}),
        (LINE.replace("2A", "3B"), {"numbered": 1}),
        (LINE.replace("2A", "3B").replace("1.5", "1.6"), {"gone": 1}),
    ],
    ids=["same", "order and owner", "defaults", "moved", "cut", "numbered", "gone"],
)
def test_a_line_that_was_written_again(after: str, wanted: dict[str, int]) -> None:
    """A line by its handle: only what says nothing may come or go; a number that differs in its seventh decimal is told."""
    assert rewritten(drawing(LINE), drawing(after), encoding="utf-8") == replace(NOTHING, **wanted)


def test_entities_without_a_handle_of_their_own_are_found_by_what_they_say() -> None:
    """Two with one handle and one with none are all there under numbers of their own; a third of that handle is gone."""
    twice = LINE.replace("1.5", "7")
    bare = LINE.replace("5 2A|", "").replace("1.5", "9")
    lost = LINE.replace("1.5", "11")
    found = rewritten(
        drawing(LINE, twice, bare, lost), drawing(LINE, twice.replace("2A", "2B"), bare + "|5 2C"), encoding="utf-8"
    )
    assert found == Rewritten(entities=4, silent=0, numbered=3, changed=0, gone=1)


def test_letters_of_a_code_page_are_the_same_letters_in_utf_8() -> None:
    """A text in cp1251, one with a code point, and one in two pieces say what they said."""
    before = drawing("0 TEXT|5 2A|1 СКЛАД", "0 TEXT|5 2B|1 \\U+0441", "0 MTEXT|5 2C|3 one|1 two").decode()
    after = drawing("0 TEXT|5 2A|1 СКЛАД", "0 TEXT|5 2B|1 с", "0 MTEXT|5 2C|1 onetwo")
    assert rewritten(before.encode("cp1251"), after, encoding="cp1251") == replace(NOTHING, entities=3)


def test_the_sentence_counts_and_says_whether_geometry_stayed() -> None:
    """What was lost is a loss; what merely says nothing is told, for nobody to look at; nothing at all is not told."""
    assert told(NOTHING, "plan.dxf") == ()
    (quiet,) = told(replace(NOTHING, entities=9, silent=3), "plan.dxf")
    assert quiet.effect is Effect.TOLD
    assert not to_look_at((quiet,))
    assert quiet.text == (
        "plan.dxf was written again: of its 9 entities 3 had values that say nothing left out or filled in."
        " Their geometry is what it was, number by number."
    )
    (loud,) = told(replace(NOTHING, entities=9, changed=2, gone=1), "plan.dxf")
    assert loud.effect is Effect.LOST
    assert to_look_at((loud, quiet)) == (loud,)
    assert "2 have other numbers and 1 could not be kept. Compare those with the drawing." in loud.text


@pytest.mark.parametrize(("version", "binary"), [("R12", False), ("R2007", False), ("R2010", True)])
def test_every_version_keeps_its_geometry(version: str, *, binary: bool) -> None:
    """The invented plan without and with handles, in a code page and in UTF-8, text and binary: no number of any entity differs, and none is gone."""
    source = plan_bytes(version=version, binary=binary)
    sheet = sheet_b2(source, MILLIMETRES)
    made = marked_dxf(small_job(sheet), ONE, sources={hashlib.sha256(source).hexdigest(): source}, heading=HEADING)
    found = rewritten(as_text(source), made.files[NAME], encoding=encoding_of(source))
    assert found.entities > 25
    assert (found.changed, found.gone) == (0, 0)

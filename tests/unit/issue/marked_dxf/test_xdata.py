"""Extended data of the marks."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from io import StringIO
from uuid import UUID

import ezdxf
import ezdxf.document
from ezdxf.entities import DXFEntity

from leakmap.issue.marked_dxf.facts import FactBook
from leakmap.issue.marked_dxf.xdata import APP_ID, MOST, Said, add_app_id, put_xdata
from leakmap.issue.marks.primitives import Coat, Mark, What
from tests.helpers.marked_files import blocks_of, document_of, sample, small_job
from tests.helpers.marked_job import joints, key, leaks, repairs, sheet_b2


def tags_of(entity: DXFEntity) -> list[tuple[int, object]]:
    """Extended data under our name, without the name."""
    return [(tag.code, tag.value) for tag in entity.get_xdata(APP_ID) if tag.code != 1001]


def test_a_leak_says_its_joint_and_its_chainages_in_metres() -> None:
    """L-02 on J-02 from 3.6 to 4.6 m: version, kind, reference, its id, one stretch with the id of the joint."""
    assert tags_of(blocks_of(sample(), "LEAK")["L-02"]) == [
        (1070, 1), (1000, "leak"), (1000, "L-02"), (1000, str(key("L-02"))), (1071, 1),
        (1000, str(key("J-02"))), (1040, 3.6), (1040, 4.6),
    ]  # fmt: skip


def test_every_mark_says_what_it_is() -> None:
    """All that lies on our layers of joints, leaks, zones and relief points has it; each thing is named by some of it."""
    named: Counter[tuple[str, str]] = Counter()
    beside = max(x for joint in joints() if joint.path for x, _ in joint.path.points) * 1000 + 1000
    for entity in sample().modelspace():
        layer = entity.dxf.layer
        if layer.startswith(("WP-JOINT", "WP-LEAK", "WP-ZONE", "WP-RELIEF")) and _left(entity) < beside:
            (_, kind), (_, ref) = tags_of(entity)[1:3]
            named[str(kind), str(ref)] += 1
    assert {("leak", leak.ref) for leak in leaks()} <= set(named)
    assert {("zone", zone.ref) for zone in repairs().zones} <= set(named)
    assert {"joint", "vertical joint", "relief point", "blind stretch", "cut"} <= {kind for kind, _ in named}


def _left(entity: DXFEntity) -> float:
    if entity.dxf.hasattr("insert"):
        return float(entity.dxf.insert.x)
    if entity.dxftype() == "LWPOLYLINE":
        return min(x for x, *_ in entity.get_points())
    if entity.dxftype() == "HATCH":
        return min(x for x, *_ in entity.paths[0].vertices)
    return float(entity.dxf.center.x)


def test_relief_point_and_cut_stand_at_one_chainage() -> None:
    """The relief point of Z-02 at 11.7 m of J-02, the cut at 4.85 m: from and to are the same."""
    relief, cut = blocks_of(sample(), "RELIEF")["Z-02"], blocks_of(sample(), "CUT")["J-02"]
    assert tags_of(relief)[4:] == [(1071, 1), (1000, str(key("J-02"))), (1040, 11.7), (1040, 11.7)]
    assert tags_of(cut)[5:] == [(1000, str(key("J-02"))), (1040, 4.85), (1040, 4.85)]


def test_a_line_end_in_a_reference_becomes_a_blank_and_the_file_is_read_again() -> None:
    """Of 300 stretches the first hundred are written, their number is said, and the whole stays below 16 kB."""
    doc = ezdxf.new("R2018")
    add_app_id(doc)
    line = doc.modelspace().add_line((0, 0), (1, 1))
    put_xdata([line], Said(kind="zone", ref="Z-\n1\r2", stretches=tuple((UUID(int=k), 0.5, 1.5) for k in range(300))))
    (again,) = document_of(doc.encode(_written(doc))).modelspace()
    tags = tags_of(again)
    assert tags[2] == (1000, "Z- 1 2")
    assert tags[4] == (1071, 300)
    assert len(tags) == 5 + 3 * MOST
    assert sum(len(str(value)) + 3 if code == 1000 else 10 for code, value in tags) < 16_000


def _written(doc: ezdxf.document.Drawing) -> str:
    stream = StringIO()
    doc.write(stream)
    return stream.getvalue()


def test_a_split_joint_keeps_its_printed_chainages() -> None:
    """A joint that starts at 20 m: leaks on it say 20 m more, as papers print them."""
    sheet = sheet_b2()
    moved = [replace(joint, start_m=20.0) for joint in joints() if joint.ref == "J-02"]
    book = FactBook(small_job(sheet, few=moved), repairs(), sheet, "C02")
    mark = Mark(what=What.LEAK, ref="L-02", item=key("L-02"), coat=Coat.SLEEVE, primitives=())
    assert book.said(mark).stretches == ((key("J-02"), 23.6, 24.6),)

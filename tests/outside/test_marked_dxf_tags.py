"""Each entity of the sample's drawings is in its marked file under the same handle with the same tags.

The reader here is this module: pairs of lines, as the published DXF reference describes the text form
(from memory); it shares no code with the library that writes.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.model.sheet import Source
from tests.helpers.marked_files import MILLIMETRES, ONE, small_job
from tests.helpers.marked_job import HEADING, sheet_b2

PLANS = Path(__file__).parents[2] / "sample_plans"
OWNED_BY_INSERT = {"ATTRIB", "SEQEND"}
Tag = tuple[int, object]


def entities_of(data: bytes) -> dict[str, list[Tag]]:
    """Tags of what lies in the sections ENTITIES and BLOCKS, by handle."""
    lines = data.decode("utf-8").replace("\r\n", "\n").split("\n")
    pairs = [(int(lines[at]), lines[at + 1]) for at in range(0, len(lines) - 1, 2)]
    held: list[list[Tag]] = []
    inside = False
    for at, (code, value) in enumerate(pairs):
        if code == 0:
            section = pairs[at + 1][1].strip() if value.strip() == "SECTION" else ""
            inside = section in {"ENTITIES", "BLOCKS"} if section else inside and value.strip() != "ENDSEC"
            held.append([])
        if inside:
            held[-1].append((code, value_of(code, value)))
    return {str(dict(tags)[5]): tags for tags in held if any(code == 5 for code, _ in tags)}


def value_of(code: int, value: str) -> object:
    """A number as a number, however it is written; all else as it stands."""
    if 10 <= code < 60 or 140 <= code < 150 or 210 <= code < 240:
        return float(value)
    return value.strip() if code < 1 or 60 <= code < 100 or 170 <= code < 180 else value


@pytest.mark.parametrize("name", ["tern_quay_b1.dxf", "tern_quay_b2.dxf"])
def test_every_entity_keeps_its_handle_and_its_tags(name: str) -> None:
    """Tag by tag and in order; only the pointer from attributes and the end of their row to its owner is written anew."""
    data = (PLANS / name).read_bytes()
    held = Source(name=name, sha256=hashlib.sha256(data).hexdigest())
    job = small_job(replace(sheet_b2(None, MILLIMETRES), source=held))
    made = marked_dxf(job, ONE, sources={held.sha256: data}, heading=HEADING)
    before, after = entities_of(data), entities_of(next(iter(made.files.values())))
    assert len(before) > 200
    for handle, tags in before.items():
        free = {330} if tags[0][1] in OWNED_BY_INSERT else set()
        kept = [tag for tag in after[handle] if tag[0] not in free]
        assert kept == [tag for tag in tags if tag[0] not in free]

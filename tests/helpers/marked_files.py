"""A marked sample, read back, for tests of the marked drawing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from hashlib import sha256

import ezdxf
import ezdxf.document
from ezdxf.entities import Insert, LWPolyline

from leakmap.geometry.placement import Placement
from leakmap.issue.marked_dxf.document import fixed_metadata, read_document
from leakmap.issue.marked_dxf.write import MarkedDrawings, marked_dxf
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.records.frozen import frozen_text
from tests.helpers.marked_job import HEADING, job_on, joints, leaks, plan_bytes, repairs, sheet_b1, sheet_b2

MILLIMETRES = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
NAME = "Tern Quay C02 marked plan quay b2.dxf"


WET = [leak for leak in leaks() if leak.ref in {"L-01", "L-02"}]
FEW = [joint for joint in joints() if joint.ref in {"J-01", "J-02"}]
ONE = replace(repairs(), zones=repairs().zones[:1], another_method=())


def small_job(sheet: Sheet, *, name: str = "Tern Quay", wet: Iterable[Leak] = WET, few: Iterable[Joint] = FEW) -> Job:
    """A job with two joints, two leaks and one zone, which is quick to mark."""
    return job_on([sheet], name=name, with_joints=few, with_leaks=wet)


@cache
def marked_sample(placement: Placement = MILLIMETRES) -> MarkedDrawings:
    """The whole job, its level B2 marked inside the plan at a placement."""
    unit = 1 / placement.x_m_per_unit
    source = plan_bytes(unit=unit, origin=placement.origin)
    sheet = sheet_b2(source, placement)
    assert sheet.source is not None
    job = job_on([sheet, sheet_b1()])
    return marked_dxf(job, repairs(), sources={sheet.source.sha256: source}, heading=HEADING)


@cache
def marked_with_record() -> bytes:
    """A small job of its level B2 marked inside the plan, with its record."""
    source = plan_bytes()
    job = small_job(sheet_b2(source, MILLIMETRES))
    digest = sha256(source).hexdigest()
    made = marked_dxf(job, ONE, sources={digest: source}, heading=HEADING, frozen=frozen_text(job))
    return made.files[NAME]


def document_of(data: bytes) -> ezdxf.document.Drawing:
    """A written file, read back."""
    with fixed_metadata():
        return read_document(data, "marked.dxf")[0]


@cache
def sample() -> ezdxf.document.Drawing:
    """Level B2 of the whole job, read back."""
    return document_of(marked_sample().files[NAME])


def blocks_of(doc: ezdxf.document.Drawing, name: str) -> dict[str, Insert]:
    """Our blocks of one kind, by their reference."""
    found = doc.modelspace().query(f'INSERT[name=="WP-{name}"]')
    return {insert.get_attrib_text("REF"): insert for insert in found if isinstance(insert, Insert)}


def shapes_of(doc: ezdxf.document.Drawing, content: str) -> list[LWPolyline]:
    """Polylines on one of our layers."""
    return [e for e in doc.modelspace().query(f'LWPOLYLINE[layer=="WP-{content}"]') if isinstance(e, LWPolyline)]

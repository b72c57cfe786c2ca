"""What every entity of ours says of itself to programs: extended data under an application name of ours.

After the name (1001) come a version (1070), the kind, the reference and the id of what is marked (1000 each; a zone has
no id besides its reference), the number of its stretches (1071), and for each stretch the id of its joint (1000) and the
printed chainages of its ends in metres (1040, 1040), equal for a point. Metric in every job. Of a zone of more than
``MOST`` stretches the first are written: extended data of one entity must stay below 16 kB (from memory of the DXF
reference).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity

from leakmap.issue.marked_dxf.text import cut_to, one_line

APP_ID: Final = "LEAKMAP"
VERSION: Final = 1
MOST: Final = 100

Stretch = tuple[UUID, float, float]
"""A joint, and chainages as printed, metres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What an entity says of itself.

    Attributes:
        kind: What it marks.
        ref: Its reference.
        item: Id of the joint, leak or cut; None for a zone.
        stretches: Where it lies along joints.
    """

    kind: str
    ref: str
    item: UUID | None = None
    stretches: tuple[Stretch, ...] = ()


def add_app_id(doc: Drawing) -> None:
    """Make our application name known to a drawing."""
    if APP_ID not in doc.appids:
        doc.appids.add(APP_ID)


def put_xdata(entities: Iterable[DXFEntity], said: Said) -> None:
    """Let entities say what they mark; none of it holds a line end, which nothing could read again."""
    tags: list[tuple[int, object]] = [
        (1070, VERSION),
        (1000, said.kind),
        (1000, cut_to(one_line(said.ref))),
        (1000, "" if said.item is None else str(said.item)),
        (1071, len(said.stretches)),
    ]
    for joint, from_m, to_m in said.stretches[:MOST]:
        tags += [(1000, str(joint)), (1040, from_m), (1040, to_m)]
    for entity in entities:
        entity.set_xdata(APP_ID, tags)

"""Cover as short tables that a test can state by hand: joints by number, metres to the micrometre."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from leakmap.repair.parts import Covered, Part
from leakmap.repair.results import Piece
from tests.helpers.jobs import joint_id, leak_id

Spans = dict[int, list[tuple[float, float]]]


def number_of(identity: UUID) -> int:
    """Number of a joint or leak: 1 for J-01 or L-01."""
    for first in (joint_id(0), leak_id(0)):
        if 0 <= identity.int - first.int < 0x1000_0000:
            return identity.int - first.int
    raise ValueError(identity)


def spans(found: Covered | Part) -> Spans:
    """Covered stretches of each joint, pieces that follow one another joined."""
    pieces = found.pieces if isinstance(found, Part) else [piece for part in found.parts for piece in part.pieces]
    table: Spans = {}
    for piece in sorted(pieces, key=lambda piece: (number_of(piece.joint), piece.from_m)):
        own = table.setdefault(number_of(piece.joint), [])
        if own and own[-1][1] == piece.from_m:
            own[-1] = (own[-1][0], piece.to_m)
        else:
            own.append((piece.from_m, piece.to_m))
    return table


def reasons(found: Covered, joint: int) -> list[tuple[float, float, str]]:
    """Pieces of one joint as (from, to, reason), rising."""
    return [(piece.from_m, piece.to_m, piece.why.value) for piece in pieces_on(found, joint)]


def pieces_on(found: Covered, joint: int) -> list[Piece]:
    """Pieces of one joint, rising."""
    pieces = (piece for part in found.parts for piece in part.pieces if number_of(piece.joint) == joint)
    return sorted(pieces, key=lambda piece: piece.from_m)


def length(found: Covered) -> float:
    """Metres of all pieces, bridges included."""
    return round(sum(piece.to_m - piece.from_m for part in found.parts for piece in part.pieces), 9)


def ends(found: Covered | Part) -> list[tuple[int, float, str, str, int | None]]:
    """Ends as (joint, chainage, "up" or "down", why, leak that owns it)."""
    own = found.ends if isinstance(found, Part) else [end for part in found.parts for end in part.ends]
    return [
        (number_of(end.joint), end.at_m, "up" if end.up else "down", end.why, end.owner and number_of(end.owner))
        for end in own
    ]


def codes(found: Covered) -> list[str]:
    """Codes of the findings, in order."""
    return [finding.code for finding in found.findings]


def joints_of(parts: Iterable[Part]) -> list[list[int]]:
    """Joints that each part lies on."""
    return [sorted({number_of(piece.joint) for piece in part.pieces}) for part in parts]

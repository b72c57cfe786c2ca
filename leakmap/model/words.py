"""The closed lists of the trade: kinds, faces, wetness and the like, one word per idea."""

from __future__ import annotations

from enum import IntEnum, StrEnum


class Kind(StrEnum):
    """What sort of joint it is; the values are those of ``joints.csv``."""

    CONSTRUCTION = "construction"
    CONTRACTION = "contraction"  # control joint
    MOVEMENT = "movement"  # expansion joint: rigid filling fails there
    WALL_BASE = "wall-base"  # kicker, cove
    CRACK = "crack"
    PIPE_COLLAR = "pipe collar"


class Face(StrEnum):
    """The concrete face that the joint is repaired on."""

    FLOOR = "floor"
    WALL = "wall"
    SOFFIT = "soffit"  # underside
    CORNER = "corner"  # wall-base: half of the band on the floor, half on the wall


class Side(StrEnum):
    """A side of a joint, looking along rising chainage."""

    LEFT = "left"
    RIGHT = "right"


class Wetness(IntEnum):
    """How wet a leak is; each adds to the one before."""

    SUSPECT = 0  # dry today but stained, honeycombed or reported
    DAMP = 1  # dark, dry to the hand
    SEEP = 2  # wets the hand, stands still
    DRIP = 3  # countable drops; on a floor it wells up slowly
    RUN = 4  # continuous flow
    JET = 5  # leaves the face

    @property
    def word(self) -> str:
        """The word that people read: suspect, damp, seep, drip, run, jet."""
        return self.name.lower()


class Waterstop(StrEnum):
    """What is known of a waterstop in the joint."""

    NONE = "none"
    UNKNOWN = "unknown"
    AT_DEPTH = "at depth"


class Method(StrEnum):
    """What is done on a zone; each is heavier than the one before, another method is none of ours."""

    SLOT = "slot, no plug"
    SLOT_PLUG = "slot + plug"
    DEEP_PLUG = "deep slot + plug"
    DEEP_PLUG_RELIEF = "deep slot + plug + relief"
    ANOTHER = "another method"


class Purpose(StrEnum):
    """What a revision is issued for."""

    PRICE = "price"  # P01, P02 …
    WORK = "work"  # C01, C02 …

    @property
    def letter(self) -> str:
        """P or C, the letter of the revision number."""
        return "P" if self is Purpose.PRICE else "C"


class Series(StrEnum):
    """Series of references, of which no number is ever used twice."""

    JOINT = "J"
    VERTICAL = "V"
    LEAK = "L"
    ZONE = "Z"


def reference(series: Series, number: int) -> str:
    """A reference as people write it.

    >>> reference(Series.ZONE, 7), reference(Series.JOINT, 112)
    ('Z-07', 'J-112')
    """
    return f"{series.value}-{number:02d}"

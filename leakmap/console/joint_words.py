"""What joints become that are made of a drawing's lines: words that several commands share."""

from __future__ import annotations

from argparse import ArgumentTypeError, Namespace

from leakmap.base.errors import BadValue
from leakmap.console.parser import Parser, a_measure, given
from leakmap.model.words import Face, Kind, Side
from leakmap.work.edits.joints import usual_face
from leakmap.work.proposals import LEAST_M, AsJoint


def add_joint_words(parser: Parser) -> None:
    """Let a command ask for kind, face, height, room side and least length."""
    parser.add_argument(
        "--kind",
        type=Kind,
        choices=list(Kind),
        metavar="KIND",
        help="their kind, such as wall-base (else construction)",
    )
    parser.add_argument(
        "--face",
        type=Face,
        choices=list(Face),
        metavar="FACE",
        help="floor, wall, soffit or corner (else as the kind usually)",
    )
    parser.add_argument("--height", type=a_measure, metavar="LENGTH", help="height over the floor, on a wall only")
    parser.add_argument(
        "--room-side", type=Side, choices=list(Side), metavar="SIDE", help="left or right, in a corner only"
    )
    parser.add_argument(
        "--least", type=a_length, metavar="LENGTH", help=f"leave shorter lines out (else shorter than {LEAST_M:.2f} m)"
    )
    parser.add_argument("--twice", action="store_true", help="take lines too that lie on joints already")


def a_length(text: str) -> float:
    """A length of zero or more, from the command line."""
    length = a_measure(text)
    if length < 0:
        raise ArgumentTypeError(f'"{text}" is no length; give metres, such as 0.10')
    return length


def joint_words_given(words: Namespace) -> list[str]:
    """Those of the shared words that were given, as they are written."""
    names = ("kind", "face", "height", "room-side", "least", "twice")
    return given(words, names)


def as_joint_of(words: Namespace) -> AsJoint:
    """What the lines become.

    Raises:
        BadValue: A height is given that is no wall's, or a room side that is no corner's.
    """
    kind = words.kind or Kind.CONSTRUCTION
    face = words.face or usual_face(kind)
    if words.height is not None and face is not Face.WALL:
        raise BadValue(
            f"--height is for joints on a wall, and these lie on the {face}; leave it out, or give --face wall."
        )
    if words.room_side is not None and face is not Face.CORNER:
        raise BadValue(f"--room-side is for corner joints, and these lie on the {face}; leave it out.")
    return AsJoint(kind=kind, face=face, height_m=words.height or 0.0, room_side=words.room_side)


def least_of(words: Namespace) -> float:
    """The least length of a line that becomes a joint, in metres."""
    return LEAST_M if words.least is None else float(words.least)

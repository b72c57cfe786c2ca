"""What the next joint becomes: its kind and face, kept on the desk, and the side of the room of a corner joint."""

from __future__ import annotations

from collections.abc import Callable

from leakmap.desk.state import Desk
from leakmap.desk.tools.kinds import KINDS, face_choice, kind_choices, side_choice, side_choices
from leakmap.desk.tools.tool import Choice
from leakmap.model.words import Face, Kind, Side
from leakmap.work.edits.joints import usual_face


class NextJoint:
    """Kind, face and room side of the next joint, with the choices that change them.

    Attributes:
        side: On which the room of a corner joint lies; None: not known.

    Args:
        desk: Keeps kind and face for every tool.
        changed: Is called when another kind or face was taken.
        side_changed: Is called when another room side was taken.
    """

    def __init__(self, desk: Desk, changed: Callable[[], None], side_changed: Callable[[], None]) -> None:
        self._desk, self._changed, self._side_changed = desk, changed, side_changed
        self.side: Side | None = None

    @property
    def kind(self) -> Kind:
        """Its kind."""
        return self._desk.kind

    @property
    def face(self) -> Face:
        """Its face."""
        return self._desk.face or usual_face(self._desk.kind)

    @property
    def collar(self) -> bool:
        """Whether it is a pipe collar."""
        return self.kind is Kind.PIPE_COLLAR

    @property
    def corner(self) -> bool:
        """Whether it is a joint in a corner, which has a room side."""
        return self.face is Face.CORNER and not self.collar

    def choices(self, kinds: tuple[Kind, ...] = KINDS) -> tuple[Choice, ...]:
        """Kind, face and, in a corner, room side: a cell for each kind, and one that goes to the next of the others."""
        sides = (side_choice(self.side, self._take_side),) if self.corner else ()
        units = self._desk.units
        face = face_choice(self.face, self._take_face, units)
        return (*kind_choices(kinds, self.kind, self._take_kind, units), face, *sides)

    def side_choices(self) -> tuple[Choice, ...]:
        """A cell for each room side, in a corner only."""
        return side_choices(self.side, self._take_side) if self.corner else ()

    def _take_kind(self, kind: Kind) -> None:
        self._desk.kind, self._desk.face = kind, None
        self._changed()

    def _take_face(self, face: Face) -> None:
        self._desk.face = None if face is usual_face(self.kind) else face
        self._changed()

    def _take_side(self, side: Side | None) -> None:
        self.side = side
        self._side_changed()

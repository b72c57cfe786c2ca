"""What F2 asks about a joint: its name, where its chainage starts, and the heights that it has of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from leakmap.base.length_text import metres_of
from leakmap.base.trade_words import in_trade_words
from leakmap.desk.state import Desk
from leakmap.desk.tools.asking import Asking, Held
from leakmap.desk.tools.fields import Part
from leakmap.desk.tools.places import point_of
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Face
from leakmap.work.edits.edit import Edit, refused, together
from leakmap.work.edits.facts import set_height, set_rise, set_start
from leakmap.work.edits.joints import rename_joint
from leakmap.work.typed import Entry


@dataclass(frozen=True, slots=True)
class _Figure:
    """A length that a joint has.

    Attributes:
        behind: What stands behind its unit in the field.
        asked: What it is called in a sentence.
        deed: Sets it, metres.
    """

    behind: str
    asked: str
    value_m: float
    deed: Callable[[Job, float], Edit]


class JointFacts(Asking):
    """The name and the figures of a joint; what is not touched stays as it is, to the last micrometre."""

    def __init__(self, desk: Desk, joint: Joint) -> None:
        self._joint, self._ref = joint.id, joint.ref
        self._figures = _figures_of(joint)
        figures = (Part(Entry.LEVEL, each.behind) for each in self._figures)
        self._before = (joint.ref, *(desk.units.shown(each.value_m) for each in self._figures))
        super().__init__(
            desk,
            Held(desk, Part(Entry.NAME), *figures, texts=self._before),
            empty=("name", *("none" for _ in self._figures)),
            at=point_of(joint, joint.length_m / 2),
        )

    def sentence(self) -> str:
        """What the next key does."""
        asked = [in_trade_words(self.desk.units, each.asked) for each in self._figures]
        if self.fields.active == 0:
            rest = ", ".join(asked)
            return f"Type another name for {self._ref}; Tab goes on: {rest}; Enter takes all, Esc leaves them."
        return f"Type {asked[self.fields.active - 1]} of {self._ref}; Tab goes on, Enter takes all."

    def take(self) -> bool:
        """Set what differs, as one step; what is the same changes nothing."""
        texts = tuple(text.strip() for text in self.fields.texts)
        return texts == self._before or self.keep(lambda: self._deed(self.kept, texts)) is not None

    def _deed(self, job: Job, texts: tuple[str, ...]) -> Edit:
        edits: list[Edit] = []
        if texts[0] != self._ref:
            edits.append(rename_joint(job, joint=self._joint, ref=texts[0]))
        for each, text, before in zip(self._figures, texts[1:], self._before[1:], strict=True):
            if text == before:
                continue
            if not text:
                raise refused(f"{self._ref} needs {each.asked}; type it again.")
            on = edits[-1].job if edits else job
            edits.append(each.deed(on, float(metres_of(text, self.desk.units))))
        return edits[0] if len(edits) == 1 else together(edits, words=f"set facts of {self._ref}")


def _figures_of(joint: Joint) -> tuple[_Figure, ...]:
    """The chainage of its start; the height of a joint on a wall or of an upright foot; how high an upright one rises."""

    def start(job: Job, value_m: float) -> Edit:
        return set_start(job, joint=joint.id, start_m=value_m)

    def height(job: Job, value_m: float) -> Edit:
        return set_height(job, joint=joint.id, height_m=value_m)

    def rise(job: Job, value_m: float) -> Edit:
        return set_rise(job, joint=joint.id, rise_m=value_m)

    found = [_Figure("at its start", "the chainage at the start", joint.start_m, start)]
    if joint.vertical or joint.face is Face.WALL:
        found.append(_Figure("over the floor", "the height over the floor", joint.height_m, height))
    if joint.rise_m is not None:
        found.append(_Figure("rise", "the rise", joint.rise_m, rise))
    return tuple(found)

"""The method of a zone: what the rules gave, and what a person decides instead.

A method set by hand is set on every leak of the zone, because the heaviest of them decides.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from leakmap.base.trade_words import in_trade_words
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.places import zone_at
from leakmap.desk.tools.tool import Choice, Pointer
from leakmap.desk.tools.zone_handles import zone_of_leak, zone_of_number
from leakmap.model.leak import Leak
from leakmap.model.words import Method
from leakmap.repair.results import Zone
from leakmap.repair.wet import WEIGHT, method_of
from leakmap.work.edits.edit import Edit
from leakmap.work.hits import Target
from leakmap.work.zone_deeds import leaks_of_zone, set_zone_method

METHODS: Final = tuple(Method)
"""The methods in the order of their cells."""


class ZoneMethod(Gesture):
    """Chooses the method of the picked zone."""

    name = "Method"
    key = "M"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._aimed: int | None = None  # the cell that the arrow keys are on; 0 is "by the rules"

    def sentence(self) -> str:
        """What the next step does."""
        zone = self._zone()
        if zone is None:
            return "Pick a zone, then choose its method."
        if self._aimed is not None:
            return f"Press Enter for {self._words(self._aimed)} on {zone.ref}, Esc to leave it as it is."
        by_hand = "by hand" if self._by_hand(zone) else "by the rules"
        return f"{zone.ref} has {in_trade_words(self.desk.units, zone.method)}, {by_hand}; click another, or arrow keys and Enter."

    def choices(self) -> tuple[Choice, ...]:
        """The rules' own choice, then every method."""
        zone = self._zone()
        if zone is None:
            return ()
        shown = self._aimed if self._aimed is not None else self._present(zone)
        return tuple(
            Choice(
                key=str(number),
                words=f"{number} {self._words(number)}",
                chosen=number == shown,
                take=lambda number=number: self._take(number),  # type: ignore[misc] # a default keeps the value of each turn
            )
            for number in range(len(METHODS) + 1)
        )

    def points_at(self) -> tuple[Target, ...]:
        """The zone that would be picked."""
        return (Target.ZONE,)

    def pressed(self, pointer: Pointer) -> None:
        """Pick the zone under the hand."""
        zone = zone_at(self.desk, pointer)
        self._aimed = None
        self.desk.show(None)
        self.desk.pick(*(() if zone is None else (Thing(Sort.ZONE, zone.number),)))
        self.refresh()

    def typed(self, text: str) -> bool:
        """A digit chooses."""
        if self._zone() is None or len(text) != 1 or text not in "012345":
            return False
        self._take(int(text))
        return True

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Arrow keys go along the cells, and show what each would do."""
        zone = self._zone()
        step = across_m or -up_m
        if zone is None or not step:
            return False
        at = self._aimed if self._aimed is not None else self._present(zone)
        self._aimed = (at + (1 if step > 0 else -1)) % (len(METHODS) + 1)
        aimed = self._aimed
        self.preview(lambda: self._set(zone, aimed))
        self.refresh()
        return True

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Set the method that the arrow keys are on."""
        if self._aimed is None or self._zone() is None:
            return False
        self._take(self._aimed)
        return True

    def escaped(self) -> bool:
        """Leave the method as it is."""
        if self._aimed is None:
            return False
        self._aimed = None
        self.desk.show(None)
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._aimed = None
        super().let_go()

    def _zone(self) -> Zone | None:
        numbers = [thing.key for thing in self.desk.picked if thing.sort is Sort.ZONE]
        return zone_of_number(self.kept_repairs, numbers[-1]) if numbers else None

    def _leaks(self, zone: Zone) -> tuple[Leak, ...]:
        return leaks_of_zone(self.kept, zone)

    def _by_hand(self, zone: Zone) -> bool:
        return any(leak.method is not None for leak in self._leaks(zone))

    def _present(self, zone: Zone) -> int:
        return METHODS.index(zone.method) + 1 if self._by_hand(zone) else 0

    def _words(self, number: int) -> str:
        zone = self._zone()
        words = f"by the rules: {_by_rules(self._leaks(zone))}" if zone is not None else "by the rules"
        return in_trade_words(self.desk.units, words if number == 0 else METHODS[number - 1].value)

    def _set(self, zone: Zone, number: int) -> Edit:
        return set_zone_method(self.kept, zone, None if number == 0 else METHODS[number - 1])

    def _take(self, number: int) -> None:
        zone = self._zone()
        if zone is None:
            return
        leaks = self._leaks(zone)
        self._aimed = None
        if self.keep(lambda: self._set(zone, number)) is not None:
            self._tell(leaks, zone)
        self.refresh()

    def _tell(self, leaks: tuple[Leak, ...], before: Zone) -> None:
        """Pick the zone again, or say where its leaks went."""
        after = next((zone for leak in leaks if (zone := zone_of_leak(self.kept_repairs, leak.id))), None)
        if after is not None:
            self.desk.pick(Thing(Sort.ZONE, after.number))
        elif all(self.kept.leaks[leak.id].method is Method.ANOTHER for leak in leaks):
            refs = " and ".join(leak.ref for leak in leaks)
            self.desk.said.emit(
                f"{before.ref} is no zone any more: {refs} {'needs' if len(leaks) == 1 else 'need'} another method."
            )


def _by_rules(leaks: tuple[Leak, ...]) -> Method:
    """What the rules alone give some leaks: the heaviest."""
    return max((method_of(replace(leak, method=None)) for leak in leaks), key=lambda method: WEIGHT[method])

"""Since: which revision the plan tells changes since, in stages Repair and Issue; a switch that stays on as other tools are used."""

from __future__ import annotations

from typing import Final

from leakmap.base.counted import many
from leakmap.desk.things import Sort
from leakmap.desk.tools.kinds import taken_by_key
from leakmap.desk.tools.tool import Choice, Tool
from leakmap.model.revision import Revision
from leakmap.repair.compared import Change
from leakmap.work.catch import NOTHING, Aim

_MOST: Final = 5
"""How many revisions are offered, the latest first; an older one is picked in the ledger of stage Issue."""

_OFF: Final = "0"


class SinceRevision(Tool):
    """Chooses the revision since which the plan shows changes."""

    name = "Since"
    key = "E"
    by_cross = False

    def taken(self) -> None:
        """Show changes since the revision that is picked in the ledger, else as before, else since the one compared with next."""
        since = self.desk.since
        picked = self._picked() or since.chosen or since.listed
        since.choose(None if picked is None else picked.id)
        self.desk.picked_changed.connect(self._follow_pick)
        since.changed.connect(self.refresh)

    def dropped(self) -> None:
        """The changes stay on the plan."""
        self.desk.picked_changed.disconnect(self._follow_pick)
        self.desk.since.changed.disconnect(self.refresh)

    def sentence(self) -> str:
        """What is shown, and how to show something else."""
        since = self.desk.since
        if not self._revisions():
            return "Nothing is issued yet, so nothing changed since."
        if since.chosen is None:
            return "The plan shows no changes. Choose the revision since which it should."
        found = since.on_plan
        if found is None:
            return f"{since.chosen.name} is being compared with the job."
        told = [
            f"{many(count, 'zone')} {words}"
            for change, words in ((Change.ADDED, "new"), (Change.GONE, "gone"))
            if (count := sum(change in of for of in found.groups.values()))
        ]
        partly = sum(not {Change.ADDED, Change.GONE} & of.keys() for of in found.groups.values())
        told += [f"{many(partly, 'zone')} changed"] if partly else []
        return f"Since {found.since}: {', '.join(told) or 'nothing changed'}. 0 shows the plan as usual."

    def choices(self) -> tuple[Choice, ...]:
        """The latest revisions, and none."""
        if not self._revisions():
            return ()
        chosen = self.desk.since.chosen
        latest = list(reversed(self._revisions()))[:_MOST]
        if chosen is not None and chosen not in latest:
            latest[-1:] = [chosen]
        each = [
            Choice(
                key=str(number),
                words=f"{number} {revision.name}",
                chosen=revision is chosen,
                take=lambda revision=revision: self._choose(revision),  # type: ignore[misc] # a default keeps the value of each turn
            )
            for number, revision in enumerate(latest, 1)
        ]
        off = Choice(key=_OFF, words="0 off", chosen=chosen is None, take=lambda: self._choose(None))
        return (*each, off)

    def aim(self) -> Aim:
        """A click on the plan means no place."""
        return NOTHING

    def typed(self, text: str) -> bool:
        """The digit of a choice."""
        return taken_by_key(self.choices(), text)

    def _choose(self, revision: Revision | None) -> None:
        self.desk.since.choose(None if revision is None else revision.id)
        self.refresh()

    def _revisions(self) -> tuple[Revision, ...]:
        return () if self.desk.job is None else tuple(self.desk.job.revisions.values())

    def _picked(self) -> Revision | None:
        picked = [thing.key for thing in self.desk.picked if thing.sort is Sort.REVISION]
        return next((revision for revision in self._revisions() if picked and revision.id == picked[-1]), None)

    def _follow_pick(self) -> None:
        picked = self._picked()
        if picked is not None:
            self._choose(picked)

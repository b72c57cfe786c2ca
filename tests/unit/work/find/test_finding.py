"""What a query finds in the sample job, and in what order: tables of queries and answers."""

from __future__ import annotations

from uuid import UUID

import numpy as np
import pytest

from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing, Layer, LayerState, Strokes, Text, UnitHint
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.find.finding import Found, find
from leakmap.work.find.folding import asked, folded
from leakmap.work.find.index import Index, Putting, understood
from leakmap.work.find.places import Place, Places, places_of, what_it_is
from leakmap.work.sample_job import DRAWINGS, sample_job

MOST = 5
ACTIONS = ("Set scale", "Undo", "Letter keys off", "Draw joint", "Relief point", "Level above")


def actions() -> Index:
    """Some things that can be done."""
    put = Putting()
    for words in ACTIONS:
        put.put(folded(words), folded("known length") if words == "Set scale" else ())
    return Index(put)


def drawing_of(job: Job) -> dict[UUID, Drawing]:
    """A drawing of B2 that names rooms, an axis and a size, one room twice and one on a layer that is off."""
    words = ("PUMP\nROOM 1", "SUMP", "SUMP", "C", "6.00", "SECRET")
    texts = tuple(
        Text((float(at), 2.0), 0.2, 0.0, 0.0, 0.0, said, int(said == "SECRET")) for at, said in enumerate(words)
    )
    layers = (Layer("ROOMS"), Layer("OFF", LayerState.OFF))
    drawing = Drawing(
        origin=(0.0, 0.0), layers=layers, strokes=Strokes.none(), texts=texts, unit=UnitHint(None, ""), shown=None
    )
    return {key: drawing for key, sheet in job.sheets.items() if sheet.name == "B2"}


class Sample:
    """The sample job and what is found in it."""

    def __init__(self) -> None:
        sources = {name: Source(name=file, sha256="0" * 64) for name, file in DRAWINGS.items()}
        self.job: Job = sample_job(sources=sources)
        self.repairs: Repairs = repairs(self.job)
        self.places: Places = places_of(self.job, self.repairs, drawing_of(self.job))
        self.level = next(key for key, sheet in self.job.sheets.items() if sheet.name == "B2")

    def found(self, query: str) -> Found:
        """What a query finds with B2 on the plan."""
        return find(query, self.job, self.places, actions(), level=self.level, most=MOST)

    def first(self, query: str) -> Place:
        """The best place."""
        return self.found(query).places[0]

    def titles(self, query: str) -> list[str]:
        """Titles of the best places."""
        return [place.title for place in self.found(query).places]


@pytest.fixture(scope="module")
def sample() -> Sample:
    """The sample job, worked out once."""
    return Sample()


@pytest.mark.parametrize(
    ("query", "title"),
    [
        ("Z-07", "Z-07"),
        ("z7", "Z-07"),
        ("z 7", "Z-07"),
        ("Z–07", "Z-07"),
        ("z07", "Z-07"),
        ("l8", "L-08"),
        ("v-3", "V-03"),
        ("b1", "B1"),
        ("level b1", "B1"),
        ("c4", "C / 4"),
        ("c / 4", "C / 4"),
        ("C+1.20 4+0.35", "C+1.20 / 4+0.35"),
        ("J-05 12.4", "J-05 12.40"),
        ("j5 12,4 m", "J-05 12.40"),
        ("j5 99", "J-05 22.51"),
        ("sump", "SUMP"),
        ("smup", "SUMP"),
        ("room pump", "PUMP ROOM 1"),
        ("expansion joint", "J-08"),
        ("expantion", "J-08"),
        ("movement", "J-08"),
    ],
)
def test_the_best_place_of_a_query(sample: Sample, query: str, title: str) -> None:
    """References in any spelling, levels, grid spots, chainages, rooms, US words and slips of typing find their place."""
    assert sample.first(query).title == title


@pytest.mark.parametrize(
    ("query", "action"),
    [("scale", "Set scale"), ("scael", "Set scale"), ("unod", "Undo"), ("letter off", "Letter keys off")],
)
def test_the_best_action_of_a_query(sample: Sample, query: str, action: str) -> None:
    """Words of an action find it, in any order and with a slip."""
    assert ACTIONS[sample.found(query).actions[0]] == action


def test_what_is_called_so_comes_before_what_it_is_said_of(sample: Sample) -> None:
    """z7 lists the zone, then its leaks; z-0 lists zones by number; nothing is listed twice."""
    titles = sample.titles("z7")
    assert titles[0] == "Z-07"
    zone = next(zone for zone in sample.repairs.zones if zone.number == 7)
    leaks = {sample.job.leaks[leak].ref for stretch in zone.stretches for leak in stretch.leaks}
    assert set(titles[1:]) <= leaks
    assert sample.titles("z-0") == ["Z-01", "Z-02", "Z-03", "Z-04", "Z-05"]


def test_a_wetness_lists_its_leaks_those_of_the_level_first(sample: Sample) -> None:
    """Drip finds every leak that drips; those on B2 come before those on B1, each group along its joints."""
    drips = [leak for leak in sample.job.leaks.values() if leak.wetness.word == "drip"]
    found = find("drip", sample.job, sample.places, actions(), level=sample.level, most=99)
    refs = [place.title for place in found.places]
    assert (set(refs), found.in_all) == ({leak.ref for leak in drips}, len(drips))
    here = [sample.job.joints[leak.joint].sheet == sample.level for ref in refs for leak in drips if leak.ref == ref]
    assert here == sorted(here, reverse=True)


def test_every_word_must_fit(sample: Sample) -> None:
    """Drip b1 is fewer than drip; a word that nothing has finds nothing; no words find nothing."""
    assert 0 < sample.found("drip b1").in_all < sample.found("drip").in_all
    assert sample.found("drip xyzzyx") == Found()
    assert sample.found("") == sample.found(" - ") == Found()


def test_figures_are_never_mended(sample: Sample) -> None:
    """Z-99 is no slip for Z-09, and 6.00 of the drawing is no room."""
    assert sample.found("z-99") == Found()
    assert "6.00" not in sample.titles("600")


def test_rooms_are_words_on_layers_that_show(sample: Sample) -> None:
    """Each name is listed once with where it stands; axis names, sizes and hidden layers are none."""
    rooms = [place for place in sample.places.each if place.where is None]
    assert [place.title for place in rooms] == ["PUMP ROOM 1", "SUMP"]
    placement = sample.job.sheets[sample.level].placement
    assert rooms[1].at == pytest.approx(placement.to_site((1.0, 2.0)))


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("j5", "construction joint, 22.51 m, B2"),
        ("b1", "level, 6 leaks"),
        ("sump", "words on B2"),
        ("c4", "on the grid, B2"),
        ("z1", "repair zone on J-01, 1.80 m"),
    ],
)
def test_a_place_says_what_it_is(sample: Sample, query: str, words: str) -> None:
    """A few words stand beside each name."""
    assert what_it_is(sample.job, sample.repairs, sample.places, sample.first(query)) == words


def test_a_chainage_is_the_printed_one(sample: Sample) -> None:
    """12.4 on J-05 lies 12.4 m along its line from the printed zero."""
    joint = next(joint for joint in sample.job.joints.values() if joint.ref == "J-05")
    assert joint.path is not None
    expected: Point = joint.path.point_at(12.4 - joint.start_m)
    assert sample.first("J-05 12.4").at == pytest.approx(expected)


def test_order_of_putting_in_settles_equal_ones() -> None:
    """Of things that fit alike the first that was put in comes first, whatever their number."""
    put = Putting()
    for number in range(50):
        put.put(folded(f"N-{number:02d}"), folded("room"))
    index = Index(put)
    numbers, count = index.found(understood("room", [index]), most=3)
    assert (numbers, count) == ([0, 1, 2], 50)
    later = np.zeros(50, np.bool_)
    later[:2] = True
    assert index.found(understood("room", [index]), most=3, later=later)[0] == [2, 3, 4]


def test_small_words_count_only_alone() -> None:
    """The words of a sentence that say nothing are left out, but a query of them alone keeps them."""
    assert asked("the leak in Z-07") == ("leak", "z07")
    assert asked("on") == ("on",)

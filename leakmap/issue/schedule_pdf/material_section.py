"""Materials of the paper: what every zone takes, how it is mixed, what is ordered, and the table that it follows from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from decimal import Decimal
from typing import Final

from reportlab.platypus import Flowable, Spacer

from leakmap.base.counted import many
from leakmap.base.measures import VOLUME
from leakmap.base.sentences import capital
from leakmap.issue.need_words import UNKNOWN, batch_words, figure_words, kilograms, litres
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.styles import BOLD, TEXT, Bookmark, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, marked, section
from leakmap.model.job import Job
from leakmap.model.materials import MATERIAL_WORDS, Figure, Material
from leakmap.repair.batches import most_l
from leakmap.repair.needs import Mix, Need, Ordered, mix_of, mixes_of, needs_of, order_of, sum_where_known
from leakmap.repair.results import Repairs, Zone

HEADING: Final = "Materials and batches"
_USES: Final = (
    ("Plug", frozenset({"plugging_mortar"})),
    ("Filling", frozenset({"dry_pack", "repair_mortar"})),
    ("Coats", frozenset({"slurry_coat"})),
)
MOST_ZONES: Final = 300
"""Of more zones the paper prints the sums alone."""

_ELSEWHERE: Final = "Each zone's own figures stand in the workbook and in materials.csv."
_METHOD: Final = (
    "Powder by absolute volumes (ACI 211.1); figures are net, and sums are of the rows. A batch is at most what the crew "
    "places while it can be worked, and at most what is mixed at once: 2 + {rest} is two full batches and one of {rest}; "
    "coats say it for each."
)


def material_sections(setting: Setting, job: Job, repairs: Repairs) -> list[Flowable]:
    """The part of the paper; nothing where the job knows no material or has no zone."""
    if not job.materials.known or not repairs.zones:
        return []
    mixes = mixes_of(job)
    needs = [(zone, needs_of(job, zone, mixes)) for zone in repairs.zones]
    order = order_of(job, (need for _, each in needs for need in each))
    return marked(
        Bookmark("materials", HEADING, 0),
        [
            *section(setting, HEADING, _zones(setting, needs), before=_before(setting, order, len(needs))),
            *section(setting, "How it is mixed", _mixes(setting, job, order)),
            *section(setting, "To order", _order(setting, job, order)),
            *section(setting, "Material table", _table(setting, job, order)),
        ],
    )


def _before(setting: Setting, order: tuple[Ordered, ...], zones: int) -> list[Flowable]:
    """How the figures are meant, and what is not known."""
    missing = " ".join(f"{capital(each.words)}: {each.why}." for each in order if each.why)
    method = _METHOD.format(rest=setting.units.fixed(0.35, VOLUME[setting.units].places))
    elsewhere = _ELSEWHERE if zones > MOST_ZONES else ""
    words = setting.trade(" ".join(words for words in (elsewhere, method, missing) if words))
    return [setting.words(words, TEXT), Spacer(1, 2 * MM)]


def _zones(setting: Setting, needs: list[tuple[Zone, tuple[Need, ...]]]) -> Grid:
    columns = [Column("Zone", 0)]
    for use, _ in _USES:
        columns += [
            Column(f"{use} kg", 17.0, right=True),
            Column("Water L", 16.0, right=True),
            Column("Batches L", 22.0, right=True),
        ]
    grid = Grid(setting, columns, dense=True)
    for zone, own in needs if len(needs) <= MOST_ZONES else ():
        cells = [
            cell for _, names in _USES for cell in _cells(setting, [need for need in own if need.material in names])
        ]
        grid.row(setting.link(zone.ref, f"zone-{zone.ref}", BOLD), *cells)
    every = [need for _, own in needs for need in own]
    sums = (_sums(setting, [need for need in every if need.material in names]) for _, names in _USES)
    grid.total("All zones", *(cell for cells in sums for cell in cells))
    return grid


def _sums(setting: Setting, needs: list[Need]) -> tuple[str, str, str]:
    """Powder and water of one use, and how many batches."""
    kilos, water = sum_where_known(need.powder_kg for need in needs), sum_where_known(need.water_l for need in needs)
    known = all(need.batches is not None for need in needs)
    number = sum(need.batches.number for need in needs if need.batches is not None)
    return (
        kilograms(setting.units, kilos),
        litres(setting.units, water),
        many(number, "batch", "batches") if known else UNKNOWN,
    )


def _cells(setting: Setting, needs: list[Need]) -> Iterator[str]:
    """Powder, water and batches of one use; both coats together."""
    units = setting.units
    if not needs:
        yield from ("", "", "")
        return
    yield kilograms(units, sum_where_known(need.powder_kg for need in needs))
    yield litres(units, sum_where_known(need.water_l for need in needs))
    yield "; ".join(dict.fromkeys(batch_words(units, need.batches) for need in needs))


def _mixes(setting: Setting, job: Job, order: tuple[Ordered, ...]) -> Grid:
    columns = [
        Column("Material", 0),
        Column("Parts powder : water", 32.0, right=True),
        Column("Place within min", 22.0, right=True),
        Column("Wet", 24.0),
        Column("Powder kg", 20.0, right=True),
        Column("Powder L", 20.0, right=True),
        Column("Water L", 20.0, right=True),
    ]
    grid, units = Grid(setting, columns), setting.units
    for each in order:
        material: Material = getattr(job.materials, each.material)
        mix, most = mix_of(material), most_l(material, VOLUME[units].step)
        parts = f"{_value(setting, material.parts_powder)} : {_value(setting, material.parts_water)}"
        within = UNKNOWN if material.working_min is None else units.plain(material.working_min)
        one_l = Decimal(1) if units.metric else VOLUME[units].step * 10_000
        first = True
        grid.begin_block()
        for words, volume in (
            (f"{litres(units, most)} {VOLUME[units].symbol}", most),
            (f"1 {VOLUME[units].symbol}", one_l),
        ):
            if volume is not None and (first or volume != most):
                shown = _mixed(setting, mix, volume)
                head = (setting.words(capital(each.words), BOLD), parts, within) if first else ("", "", "")
                grid.row(*head, words, *shown, rule=first)
                first = False
        grid.end_block()
    return grid


def _mixed(setting: Setting, mix: Mix | None, volume_l: Decimal) -> tuple[str, str, str]:
    if mix is None:
        return UNKNOWN, UNKNOWN, UNKNOWN
    of, units = float(volume_l), setting.units
    powder, loose, water = (Decimal(repr(of * each)) for each in (mix.powder_kg, mix.loose_l, mix.water_l))
    return kilograms(units, powder), litres(units, loose), litres(units, water)


def _order(setting: Setting, job: Job, order: tuple[Ordered, ...]) -> Grid:
    share = job.rules.waste_share
    waste = [Column(f"With {setting.units.plain(share * 100)} % waste kg", 30.0, right=True)] if share else []
    columns = [
        Column("Material", 0),
        Column("Placed L", 20.0, right=True),
        Column("Powder kg", 22.0, right=True),
        Column("Powder L", 22.0, right=True),
        Column("Water L", 20.0, right=True),
        *waste,
        Column("Bags", 14.0, right=True),
        Column("Batches", 16.0, right=True),
    ]
    grid, units = Grid(setting, columns), setting.units
    for each in order:
        grid.row(
            setting.words(capital(each.words), BOLD),
            litres(units, each.volume_l),
            kilograms(units, each.net_kg),
            litres(units, each.loose_l),
            litres(units, each.water_l),
            *([kilograms(units, each.with_waste_kg)] if share else []),
            UNKNOWN if each.bags is None else str(each.bags),
            UNKNOWN if each.batches is None else str(each.batches),
        )
    return grid


def _table(setting: Setting, job: Job, order: tuple[Ordered, ...]) -> Grid:
    grid = Grid(
        setting,
        [
            Column("Material", 26.0),
            Column("Figure", 46.0),
            Column("Value", 27.0 if setting.units.metric else 45.0, right=True),
            Column("Origin", 0),
        ],
        dense=True,
    )
    for name in (each.material for each in order):
        head = capital(MATERIAL_WORDS[name])
        grid.begin_block()
        for item in fields(Material):
            figure: Figure = getattr(getattr(job.materials, name), item.name)
            if figure.value is not None:
                shown = figure_words(setting.units, figure.value, item.metadata["unit"])
                grid.row(setting.words(head, BOLD), capital(item.metadata["words"]), shown, figure.origin)
                head = ""
        grid.end_block()
    return grid


def _value(setting: Setting, figure: Figure) -> str:
    return figure_words(setting.units, figure.value, "")

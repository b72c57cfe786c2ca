"""The material table of a job as lines that anyone can read and change, each figure with its origin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from decimal import Decimal
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.measures import Units
from leakmap.base.sentences import capital
from leakmap.model.job import Job
from leakmap.model.materials import FIGURES, MATERIAL_WORDS, Figure, Filling, Material
from leakmap.records.tables.material_table import planning_materials, read_materials
from leakmap.work.declared import Line, figure_of
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.materials import ENTERED, set_filling, set_material_figure, take_materials
from leakmap.work.job_facts import NOT_KNOWN

MATERIALS_HEADING: Final = "Materials of this job"
_FILLING: Final = "filling"
_ENTER: Final = "Enter it from the data sheet."
_ONLY_COATS: Final = "coverage_kg_per_m2"
_COAT: Final = "slurry_coat"


def material_lines(job: Job) -> tuple[Line, ...]:
    """What fills the slot, then the figures of every material; densities and times are metric in any job."""
    filling = Line(
        name=_FILLING,
        group=MATERIALS_HEADING,
        title="The slot is filled with",
        words="Over the plug; the lower half stays plugging mortar.",
        text=job.materials.filling.value,
        usual=Filling.DRY_PACK.value,
        choices=tuple(Filling),
    )
    return (filling, *(line for name in MATERIAL_WORDS for line in _lines(job, name)))


def change_material(job: Job, *, name: str, text: str) -> Edit:
    """The deed that puts one line of ``material_lines`` in force; the planning value gets its origin back.

    Raises:
        BadValue: The text is no such value.
        EditRefused: Nothing can be reckoned with it.
    """
    if name == _FILLING:
        if text not in set(Filling):
            raise BadValue(f"“{text}” is none of: {', '.join(Filling)}.")
        return set_filling(job, filling=Filling(text))
    material, _, figure = name.partition(".")
    words = text.strip()
    value = None if words in {"", NOT_KNOWN} else float(figure_of(words, _unit(figure), job.units))
    planned: Figure = getattr(getattr(planning_materials(), material), figure)
    origin = planned.origin if value is not None and value == planned.value else ENTERED
    return set_material_figure(job, material=material, figure=figure, value=value, origin=origin)


def materials_taken(job: Job, path: Path) -> Edit:
    """The deed that takes the material table of a file; what it says begins with what was taken, then what was not.

    Raises:
        UnusableTable: It is no material table.
        OSError: It cannot be read.
    """
    content = path.read_bytes()
    materials, findings = read_materials(content, path.name, job.materials)
    changed = sum(
        getattr(getattr(materials, name), figure) != getattr(getattr(job.materials, name), figure)
        for name in MATERIAL_WORDS
        for figure in FIGURES
    )
    edit = take_materials(job, materials=materials)
    said = f"{many(changed, 'figure')} of {path.name} taken." if edit.changed else f"{path.name} changes nothing."
    return replace(edit, said=(*edit.said, said, *(finding.text for finding in findings)))


def _lines(job: Job, name: str) -> Iterator[Line]:
    material: Material = getattr(job.materials, name)
    planned: Material = getattr(planning_materials(), name)
    for item in fields(Material):
        if item.name == _ONLY_COATS and name != _COAT:
            continue
        figure: Figure = getattr(material, item.name)
        yield Line(
            name=f"{name}.{item.name}",
            group=capital(MATERIAL_WORDS[name]),
            title=capital(item.metadata["words"]),
            words=f"{capital(figure.origin.rstrip('.'))}." if figure.origin else _ENTER,
            text=_text(job.units, figure, item.metadata["unit"]),
            usual=_text(job.units, getattr(planned, item.name), item.metadata["unit"]),
            figure=True,
        )


def _text(units: Units, figure: Figure, unit: str) -> str:
    if figure.value is None:
        return NOT_KNOWN
    return f"{units.entered(Decimal(repr(figure.value)).normalize())} {unit}".rstrip()


def _unit(figure: str) -> str:
    return str(Material.__dataclass_fields__[figure].metadata["unit"])

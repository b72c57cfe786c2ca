"""Deeds on the material table of a job: one figure, what fills the slot, or a whole table."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from leakmap.model.job import Job
from leakmap.model.materials import FIGURES, MATERIAL_WORDS, Figure, Filling, Materials
from leakmap.work.edits.edit import Edit, deed, edited, refused

ENTERED: Final = "entered in this job"
"""Origin of a figure that somebody typed."""


@deed
def set_material_figure(job: Job, *, material: str, figure: str, value: float | None, origin: str = ENTERED) -> Edit:
    """Set one figure of a material; None: not known.

    Args:
        job: The job.
        material: A name of ``MATERIAL_WORDS``.
        figure: A name of ``FIGURES``.
        value: The figure in its unit.
        origin: Where it is from.

    Raises:
        EditRefused: There is no such material or figure, or nothing can be reckoned with it.
    """
    if material not in MATERIAL_WORDS or figure not in FIGURES:
        raise refused(f"There is no figure {figure} of {material}.", where=material)
    before = getattr(job.materials, material)
    if getattr(before, figure).value == value:
        return edited(job, words="change a material")
    new = replace(before, **{figure: Figure(value=value, origin=origin if value is not None else "")})
    return take_materials(
        job, materials=job.materials.with_material(material, new), words=f"change {MATERIAL_WORDS[material]}"
    )


@deed
def set_filling(job: Job, *, filling: Filling) -> Edit:
    """Say what fills the slot over the plug."""
    return take_materials(job, materials=replace(job.materials, filling=filling), words=f"fill with {filling.value}")


@deed
def take_materials(job: Job, *, materials: Materials, words: str = "take a material table") -> Edit:
    """Put a whole material table into the job."""
    return edited(job, words=words, materials=materials)

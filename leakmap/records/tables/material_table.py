"""Reads and writes material tables (TOML): what cannot be used is left out and told, the rest is taken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any, Final

from leakmap.base.errors import BadValue
from leakmap.base.findings import Finding
from leakmap.base.resources import resource
from leakmap.model.materials import FIGURES, MATERIAL_WORDS, Figure, Filling, Material, Materials
from leakmap.records.tables.toml_text import left_out, quoted, values_of

_FILLING: Final = "filling"
_KEYS: Final = frozenset({"value", "origin"})


@cache
def planning_materials() -> Materials:
    """The table that new jobs start with."""
    path = resource("resources", "materials", "planning.toml")
    materials, findings = read_materials(path.read_bytes(), path.name)
    assert not findings, "the table that ships is whole"
    return materials


def read_materials(content: bytes, name: str, before: Materials | None = None) -> tuple[Materials, tuple[Finding, ...]]:
    """A material table, and a finding for all that was left out of it.

    Args:
        content: The file.
        name: Its name; it is the origin of figures that give none.
        before: What stands where the file says nothing; None: nothing is known there.

    Raises:
        UnusableTable: It is no TOML.
    """
    found, findings = before or Materials(), []
    for key, value in values_of(content, name, what="material table").items():
        where = f"{name}, {key}"
        try:
            if key == _FILLING:
                found = replace(found, filling=_filling(value))
            else:
                material, lost = _material(_before(found, key), value, name, where)
                found = found.with_material(key, material)
                findings += lost
        except BadValue as bad:
            findings.append(left_out("material-left-out", where, bad))
    return found, tuple(findings)


def materials_toml(materials: Materials) -> str:
    """A table as TOML text that ``read_materials`` reads to the same."""
    lines = [f'{_FILLING} = "{materials.filling.value}"']
    for name in MATERIAL_WORDS:
        lines += ["", f"[{name}]", *_lines(getattr(materials, name))]
    return "\n".join(lines) + "\n"


def _lines(material: Material) -> Iterator[str]:
    for name in FIGURES:
        figure: Figure = getattr(material, name)
        if figure.value is not None:
            yield f"{name} = {{ value = {figure.value!r}, origin = {quoted(figure.origin)} }}"


def _filling(value: object) -> Filling:
    words = [each.value for each in Filling]
    if value not in words:
        raise BadValue(f"what fills the slot is {' or '.join(words)}")
    return Filling(value)


def _before(materials: Materials, key: str) -> Material:
    if key not in MATERIAL_WORDS:
        raise BadValue(f"there is no such material; there are: {', '.join(MATERIAL_WORDS)}")
    found: Material = getattr(materials, key)
    return found


def _material(before: Material, rows: Any, name: str, where: str) -> tuple[Material, list[Finding]]:  # noqa: ANN401 - whatever the file holds
    """A material with what its rows give, each row by itself; densities that only fit together are taken together."""
    if not isinstance(rows, dict):
        raise BadValue("it is no table of figures")
    figures: dict[str, Figure] = {}
    lost: list[Finding] = []
    for key, value in rows.items():
        try:
            figures[key] = _figure(key, value, name)
            replace(Material(), **{key: figures[key]})
        except BadValue as bad:
            figures.pop(key, None)
            lost.append(left_out("material-left-out", f"{where}.{key}", bad))
    try:
        return replace(before, **figures), lost
    except BadValue as bad:
        return before, [*lost, left_out("material-left-out", where, bad)]


def _figure(key: str, value: Any, name: str) -> Figure:  # noqa: ANN401 - whatever the file holds
    if key not in FIGURES:
        raise BadValue(f"there is no such figure; there are: {', '.join(FIGURES)}")
    origin: object = name
    if isinstance(value, dict):
        if not value.keys() <= _KEYS or "value" not in value:
            raise BadValue("a figure has a value and may have an origin, nothing else")
        value, origin = value["value"], value.get("origin", name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadValue("it is no number; write one with a decimal point")
    if not isinstance(origin, str):
        raise BadValue("its origin is no text in quotes")
    try:
        return Figure(value=float(value), origin=origin)
    except OverflowError as bad:
        raise BadValue("it is too large a number") from bad

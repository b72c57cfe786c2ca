"""The material table of a job: what each material is mixed of and how it is placed, every figure with its origin.

Materials are named by what they are. A job holds its own copy of the table, so that an old job never changes; what is
not known is empty, and papers say what follows from that.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from typing import Any, Final

from leakmap.base.errors import BadValue
from leakmap.base.numbers import not_negative, positive
from leakmap.base.sentences import capital

LONGEST_ORIGIN: Final = 400
"""Letters of an origin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure of a material: its value, None where it is not known, and where that comes from."""

    value: float | None = None
    origin: str = ""


class Filling(StrEnum):
    """What fills the slot over the plug."""

    DRY_PACK = "dry-pack"
    REPAIR_MORTAR = "repair mortar"


def in_filling_words(filling: Filling, words: str) -> str:
    """Our own words with what really fills the slot where they say dry-pack; never for what a person typed.

    >>> in_filling_words(Filling.REPAIR_MORTAR, "Dry-pack L"), in_filling_words(Filling.DRY_PACK, "plug + dry-pack")
    ('Repair mortar L', 'plug + dry-pack')
    """
    usual, said = Filling.DRY_PACK.value, filling.value
    return words.replace(usual, said).replace(capital(usual), capital(said))


def _figure(unit: str, words: str) -> Any:  # noqa: ANN401 - a field stands for a value of any type
    return field(default=Figure(), metadata={"unit": unit, "words": words})


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One material. Each field's metadata hold unit and words; parts are by volume, of loose powder and of water."""

    parts_powder: Figure = _figure("", "powder, parts by loose volume")
    parts_water: Figure = _figure("", "water, parts by volume")
    bulk_kg_per_m3: Figure = _figure("kg/m³", "bulk density of the loose powder")
    solid_kg_per_m3: Figure = _figure("kg/m³", "density of the solid")
    air_share: Figure = _figure("", "air left, share of the wet volume")
    pot_life_min: Figure = _figure("min", "pot life")
    set_min: Figure = _figure("min", "set time")
    placing_l_per_min: Figure = _figure("L/min", "placing rate of the crew")
    pail_l: Figure = _figure("L", "most that is mixed at once, wet")
    coverage_kg_per_m2: Figure = _figure("kg/m²", "powder that one coat takes")
    bag_kg: Figure = _figure("kg", "powder in a bag")

    def __post_init__(self) -> None:
        """Refuse a material that nothing can be reckoned with.

        Raises:
            BadValue: A figure is negative, zero where it must not be, or not a number; the powder is denser loose than
                solid; or an origin is too long.
        """
        for item in fields(self):
            figure: Figure = getattr(self, item.name)
            if len(figure.origin) > LONGEST_ORIGIN:
                raise BadValue(f"The origin of {item.metadata['words']} is longer than {LONGEST_ORIGIN} letters.")
            if figure.value is not None:
                check = not_negative if item.name in {"air_share", "parts_water"} else positive
                check(figure.value, item.metadata["words"])
        air, bulk, solid = self.air_share.value, self.bulk_kg_per_m3.value, self.solid_kg_per_m3.value
        if air is not None and air >= 1:
            raise BadValue("Air is a share of the wet volume, so it must be less than 1.")
        if bulk is not None and solid is not None and bulk > solid:
            raise BadValue("A powder cannot be denser loose than solid; check both densities.")

    @property
    def working_min(self) -> float | None:
        """How long a batch can be placed: its pot life, else until it sets; None where neither is known."""
        return self.pot_life_min.value if self.pot_life_min.value is not None else self.set_min.value

    @property
    def known(self) -> bool:
        """Whether anything is known of it."""
        return any(getattr(self, item.name).value is not None for item in fields(self))


@dataclass(frozen=True, slots=True, kw_only=True)
class Materials:
    """The material table of a job.

    Attributes:
        filling: What fills the slot over the plug.
    """

    plugging_mortar: Material = Material()
    slurry_coat: Material = Material()
    dry_pack: Material = Material()
    repair_mortar: Material = Material()
    filling: Filling = Filling.DRY_PACK

    def with_material(self, name: str, material: Material) -> Materials:
        """With another material under the name of its field."""
        return replace(self, **{name: material})  # type: ignore[arg-type] # a name of MATERIAL_WORDS

    @property
    def known(self) -> bool:
        """Whether anything is known of any material."""
        return any(getattr(self, name).known for name in MATERIAL_WORDS)


MATERIAL_WORDS: Final = {
    "plugging_mortar": "plugging mortar",
    "slurry_coat": "slurry coat",
    "dry_pack": "dry-pack",
    "repair_mortar": "repair mortar",
}
"""What each material is called, by its field in ``Materials``."""

FIGURES: Final = tuple(item.name for item in fields(Material))
"""Names of the figures of a material, in their order."""

"""Material tables as TOML."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import UnusableTable
from leakmap.base.findings import Effect
from leakmap.model.materials import FIGURES, MATERIAL_WORDS, Figure, Filling, Material, Materials
from leakmap.records.tables.material_table import materials_toml, planning_materials, read_materials
from leakmap.records.tables.toml_text import MOST_BYTES

PLANNING = planning_materials()
VALUES = st.one_of(st.none(), st.floats(min_value=1e-6, max_value=0.999))
MATERIALS = st.builds(
    Material,
    **{
        name: st.builds(
            lambda value, origin: Figure(value=value, origin=origin if value is not None else ""),
            VALUES,
            st.text(max_size=12),
        )
        for name in FIGURES
        if name not in {"bulk_kg_per_m3", "solid_kg_per_m3"}
    },
)


@given(MATERIALS, st.sampled_from(Filling))
def test_a_written_table_is_read_to_the_same(material: Material, filling: Filling) -> None:
    """Whatever a job holds comes back from its own TOML, origins to the letter."""
    table = Materials(dry_pack=material, filling=filling)
    again, findings = read_materials(materials_toml(table).encode("utf-8", "surrogatepass"), "own.toml")
    assert (again, findings) == (table, ())


def test_what_a_table_leaves_out_stays() -> None:
    """A table of one figure changes that figure, with its file as the origin, and nothing else."""
    found, findings = read_materials(b"[dry_pack]\nbag_kg = 25\n", "own.toml", PLANNING)
    assert not findings
    assert found.dry_pack.bag_kg == Figure(value=25.0, origin="own.toml")
    assert found.with_material("dry_pack", PLANNING.dry_pack) == PLANNING


@pytest.mark.parametrize(
    ("text", "where", "said"),
    [
        ("[putty]\nbag_kg = 25", "own.toml, putty", "there is no such material"),
        ("[dry_pack]\ncolour = 1", "own.toml, dry_pack.colour", "there is no such figure"),
        ("[dry_pack]\nbulk_kg_per_m3 = -3", "own.toml, dry_pack.bulk_kg_per_m3", "greater than zero"),
        ("[dry_pack]\nair_share = 1.5", "own.toml, dry_pack.air_share", "less than 1"),
        ("[dry_pack]\nbag_kg = 'many'", "own.toml, dry_pack.bag_kg", "no number"),
        ("[dry_pack]\nbag_kg = true", "own.toml, dry_pack.bag_kg", "no number"),
        ("[dry_pack]\nbag_kg = nan", "own.toml, dry_pack.bag_kg", "not a finite number"),
        ("[dry_pack]\nbag_kg = { value = 3, maker = 'x' }", "own.toml, dry_pack.bag_kg", "nothing else"),
        ("[dry_pack]\nbag_kg = { value = 3, origin = 4 }", "own.toml, dry_pack.bag_kg", "no text"),
        ("[dry_pack]\nbulk_kg_per_m3 = 4000", "own.toml, dry_pack", "denser loose than solid"),
        ("filling = 'sand'", "own.toml, filling", "dry-pack or repair mortar"),
        ("dry_pack = 3", "own.toml, dry_pack", "no table"),
    ],
)
def test_a_row_that_cannot_be_used_is_left_out_and_told(text: str, where: str, said: str) -> None:
    """The rest of the table is taken, and one sentence says which row was not and why."""
    found, (finding,) = read_materials(f"{text}\n[slurry_coat]\nbag_kg = 20\n".encode(), "own.toml", PLANNING)
    assert finding.where == where
    assert said in finding.text
    assert finding.text.endswith(".")
    assert finding.effect is Effect.LOST
    assert found.slurry_coat.bag_kg.value == 20
    assert found.dry_pack == PLANNING.dry_pack


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"[dry_pack", "no TOML"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"#" * (MOST_BYTES + 1), "too large"),
        (b"a=" + b"[" * 9000, "no TOML"),
        (b"filling = " + b"9" * 5000, "a number too long"),
    ],
)
def test_what_is_no_table_is_refused_whole(content: bytes, said: str) -> None:
    """One sentence, and nothing taken."""
    with pytest.raises(UnusableTable, match=said):
        read_materials(content, "own.toml", PLANNING)


def test_every_material_has_a_table_in_what_ships() -> None:
    """The table that ships names every material, also the one that is all to be entered."""
    text = materials_toml(PLANNING)
    assert all(f"[{name}]" in text for name in MATERIAL_WORDS)
    assert not PLANNING.repair_mortar.known

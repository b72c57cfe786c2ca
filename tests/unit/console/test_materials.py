"""``leakmap materials``."""

from __future__ import annotations

from pathlib import Path

import pytest

from leakmap.console.main import main
from leakmap.console.outcome import Outcome
from leakmap.records.glance import glance


def test_a_table_goes_out_and_comes_back_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is printed is taken in again without a change; one figure changed is one figure taken; a bad one is told."""
    joints, path, own = tmp_path / "joints.csv", tmp_path / "pit.gpkg", tmp_path / "own.toml"
    joints.write_text('ref,sheet,kind,wkt\nJ-01,B2,wall-base,"LINESTRING (0 0, 4 0)"\n')
    leaks = tmp_path / "leaks.csv"
    leaks.write_text("joint,from_m,to_m,wetness\nJ-01,1,2,seep\n")
    assert main(["new", str(path), "--joints", str(joints), "--leaks", str(leaks)]) == Outcome.DONE
    capsys.readouterr()
    assert main(["materials", str(path)]) == Outcome.DONE
    table = capsys.readouterr().out
    own.write_text(table, encoding="utf-8")
    assert main(["materials", str(path), "--take", str(own)]) == Outcome.DONE
    assert "changes nothing" in capsys.readouterr().out
    own.write_text("[dry_pack]\nbag_kg = 25\nmaker = 3\n", encoding="utf-8")
    assert main(["materials", str(path), "--take", str(own)]) == Outcome.FINDINGS
    said = capsys.readouterr().out
    assert "1 figure of own.toml taken." in said
    assert "dry_pack.maker is left out" in said
    assert glance(path).materials.dry_pack.bag_kg.value == 25
    assert main(["materials", str(path), "--csv"]) == Outcome.DONE
    assert "Z-01,plugging_mortar" in capsys.readouterr().out
    own.write_text("[dry_pack", encoding="utf-8")
    assert main(["materials", str(path), "--take", str(own)]) == Outcome.UNUSABLE_FILE

"""``leakmap rates``."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest

from leakmap.console.main import main
from leakmap.console.outcome import Outcome
from leakmap.records.glance import glance


def test_rates_go_out_and_come_back_and_price_the_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is printed is taken in again without a change; rates that are taken price the schedule; a bad one is told.

    Seep 1 to 2 m, 0.30 on each side: 1.600 m × 61.555 = 98.488 → 98.49.
    """
    joints, leaks, path, own = (tmp_path / name for name in ("joints.csv", "leaks.csv", "pit.gpkg", "own.toml"))
    joints.write_text('ref,sheet,kind,wkt\nJ-01,B2,construction,"LINESTRING (0 0, 4 0)"\n')
    leaks.write_text("joint,from_m,to_m,wetness\nJ-01,1,2,seep\n")

    def said(*words: str, outcome: Outcome = Outcome.DONE) -> str:
        assert main([words[0], str(path), *words[1:]]) == outcome
        return capsys.readouterr().out

    said("new", "--joints", str(joints), "--leaks", str(leaks))
    assert "price" not in json.loads(said("schedule", "--json"))
    own.write_text(said("rates"), encoding="utf-8")
    assert "changes nothing" in said("rates", "--take", str(own))
    own.write_text('slot_plug = 61.555\ncurrency = "EUR"\nwall = -3\n', encoding="utf-8")
    taken = said("rates", "--take", str(own), outcome=Outcome.FINDINGS)
    assert "1 rate of own.toml taken; rates are in EUR, for a metre." in taken
    assert "own.toml, wall is left out" in taken
    assert glance(path).rates.slot_plug == Decimal("61.555")
    own.write_text(said("rates"), encoding="utf-8")
    assert "changes nothing" in said("rates", "--take", str(own))
    (row,) = csv.DictReader(StringIO(said("rates", "--csv")))
    assert (row["quantity"], row["rate"], row["amount"], row["currency"]) == ("1.600", "61.555", "98.49", "EUR")
    assert json.loads(said("schedule", "--json"), parse_float=Decimal)["price"]["total"] == Decimal("98.49")
    assert "total 98.49\xa0EUR" in said("schedule")
    own.write_text("[slot", encoding="utf-8")
    said("rates", "--take", str(own), outcome=Outcome.UNUSABLE_FILE)

"""A real floor plan that nobody here drew, from the drawing to the papers."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from leakmap.console.main import main

PLAN = Path(__file__).resolve().parents[3] / "shared" / "corpus" / "real" / "barcelona_plan.dxf"
LEAKS = """\
joint;from_m;to_m;wetness;seen
J-01;2;4;run;2026-03-01
J-03;1;1.5;3;2026-03-01
J-05;3;3;suspect;2026-03-01
J-06;0.2;2;jet;
"""


@pytest.mark.slow
@pytest.mark.skipif(not PLAN.exists(), reason="the folder ../shared/corpus of foreign drawings is not here")
def test_a_real_plan_from_drawing_to_papers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Joints from its walls and leaks from a table give zones, papers, and a job file that is whole."""
    monkeypatch.chdir(tmp_path)
    Path("leaks.csv").write_text(LEAKS, encoding="utf-8")
    made = [
        "new",
        "plan",
        "--drawing",
        str(PLAN),
        "--sheet",
        "L0",
        "--joints-from-layer",
        "Walls",
        "--leaks",
        "leaks.csv",
    ]
    assert main(made) == 0
    assert "1,211 lines" in capsys.readouterr().out  # as the plan's own list of entities says
    assert main(["issue", "plan", "--purpose", "work", "--to", "the crew", "--out", "papers"]) == 2
    assert main(["issue", "plan", "--purpose", "price", "--to", "the client", "--out", "papers"]) == 0
    papers = {path.suffix: path for path in Path("papers").iterdir()}
    assert set(papers) == {".pdf", ".dxf", ".json", ".csv", ".xlsx"}
    zones = json.loads(papers[".json"].read_text(encoding="utf-8"))["zones"]
    # Z-01: 2 to 4 m, a run, 0.45 m overrun at each end. Z-02: 1 to 1.5 m, a drip, 0.40 m at each end.
    assert [zone["length_m"] for zone in zones[:2]] == [2.9, 1.3]
    assert [zone["provisional"] for zone in zones] == [False, False, True, False]
    assert main(["check", "plan"]) == 0

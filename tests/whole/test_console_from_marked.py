"""A job from a marked drawing, in a shell."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.model.job import Numbers
from leakmap.records.frozen import frozen_text
from leakmap.work.here import now
from tests.helpers.marked_files import MILLIMETRES, NAME, ONE, small_job
from tests.helpers.marked_job import HEADING, plan_bytes, sheet_b2


def test_a_marked_drawing_makes_its_job_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The job file that is made is whole and holds the drawing; its origin is said; other words are refused."""
    monkeypatch.chdir(tmp_path)
    source = plan_bytes()
    job = replace(small_job(sheet_b2(source, MILLIMETRES)), numbers=Numbers(joint=2, leak=2))
    given = {hashlib.sha256(source).hexdigest(): source}
    made = marked_dxf(job, ONE, sources=given, heading=HEADING, frozen=frozen_text(job))
    Path("marked.dxf").write_bytes(made.files[NAME])
    assert main(["new", "again", "--from-marked", "marked.dxf"]) == 0
    assert "again.gpkg is made from C02 of Tern Quay: 1 sheet, 2 joints, 2 leaks." in capsys.readouterr().out
    assert main(["check", "again"]) == 0
    assert main(["new", "more", "--from-marked", "marked.dxf", "--leaks", "leaks.csv"]) == 2
    assert "leave --leaks out" in capsys.readouterr().err
    assert job_in("again", at=now()).leaks == job.leaks

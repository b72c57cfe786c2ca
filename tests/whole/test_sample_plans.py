"""The sample plans are what the script beside them draws."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest

from leakmap.base.resources import resource
from leakmap.work.sample_job import DRAWINGS

SCRIPT = resource("sample_plans", "make_tern_quay.py")


def shapes(path: Path) -> list[tuple[str, dict[str, str]]]:
    """Type and attributes of every entity of the model space, without the handles that differ from file to file."""
    plan = ezdxf.readfile(path).modelspace()
    return [
        (entity.dxftype(), {key: str(value) for key, value in entity.dxfattribs().items() if "handle" not in key})
        for entity in plan
    ]


@pytest.mark.slow
def test_the_script_draws_the_plans_that_are_kept(tmp_path: Path) -> None:
    """Run again, it gives the same entities in the same places; run twice, the same bytes."""
    for folder in (tmp_path / "one", tmp_path / "two"):
        folder.mkdir()
        subprocess.run([sys.executable, str(SCRIPT), str(folder)], check=True)
    for name in DRAWINGS.values():
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
        assert shapes(tmp_path / "one" / name) == shapes(resource("sample_plans", name))

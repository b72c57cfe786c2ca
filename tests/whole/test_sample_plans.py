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
    """Run again, it gives the same entities in the same places."""
    subprocess.run([sys.executable, str(SCRIPT), str(tmp_path)], check=True)
    for name in DRAWINGS.values():
        assert shapes(tmp_path / name) == shapes(resource("sample_plans", name))

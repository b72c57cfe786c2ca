"""What is installed: the built wheel holds everything and runs on its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this tree."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (found,) = folder.glob("*.whl")
    return found


def test_the_wheel_holds_what_the_program_reads(wheel: Path) -> None:
    """Every file of resources and sample_plans lies inside the package, byte for byte."""
    with ZipFile(wheel) as packed:
        held = {name: packed.read(name) for name in packed.namelist() if not name.endswith("/")}
    for folder in ("resources", "sample_plans"):
        shipped = [path for path in (ROOT / folder).rglob("*") if path.is_file() and "__pycache__" not in path.parts]
        assert shipped
        for path in shipped:
            assert held[f"leakmap/{path.relative_to(ROOT).as_posix()}"] == path.read_bytes()
    assert "leakmap/resources/texts/schedule.schema.json" in held


def test_an_installed_wheel_runs(wheel: Path, tmp_path: Path) -> None:
    """Installed away from this tree, the program starts and finds its resources inside itself."""
    home = tmp_path / "in stall"
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--no-compile"]
    subprocess.run([*install, "--target", str(home), str(wheel)], check=True, capture_output=True)
    code = (
        "import leakmap.base.resources as found, leakmap.console.main as console\n"
        "print(found.resource('resources', 'texts', 'schedule.schema.json'))\n"
        "raise SystemExit(console.main(['--help']))"
    )
    environment = {**os.environ, "PYTHONPATH": str(home)}
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=environment, check=True, capture_output=True, text=True
    )
    assert ran.stdout.startswith(str(home / "leakmap" / "resources"))
    assert "leakmap COMMAND" in ran.stdout
    assert any((home / "bin").glob("leakmap*")) or any((home / "Scripts").glob("leakmap*"))

"""The house itself: what lies at the top, what every module says, and what may be imported where."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "leakmap"
MODULES = sorted(PACKAGE.rglob("*.py"))
SCRIPTS = sorted([*(ROOT / "resources").glob("*.py"), *(ROOT / "sample_plans").glob("*.py")])
TESTS = sorted((ROOT / "tests").rglob("*.py"))
PACKAGES = sorted(path.parent.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("__init__.py"))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "leakmap", "resources", "tests", "sample_plans"}
MADE_HERE = {"demo", "dist", "build"}  # by running, building; git ignores them


def name(path: Path) -> str:
    """A short name for a test of one file."""
    return path.relative_to(ROOT).as_posix()


def test_the_top_level_is_as_stated() -> None:
    """Seven things lie at the top, besides dotfiles and what running makes."""
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - MADE_HERE == TOP


@pytest.mark.parametrize("path", [path for path in MODULES if path.name == "__init__.py"], ids=name)
def test_package_files_are_empty(path: Path) -> None:
    """An import of a package runs nothing."""
    assert path.read_bytes() == b""


@pytest.mark.parametrize(
    "path", [path for path in (*MODULES, *SCRIPTS, *TESTS) if path.name != "__init__.py"], ids=name
)
def test_every_module_says_what_it_is(path: Path) -> None:
    """A module begins with a sentence and stays under 500 lines; tests of one module may take 700."""
    text = path.read_text(encoding="utf-8")
    said = ast.get_docstring(ast.parse(text))
    assert said
    assert said.split("\n\n")[0].rstrip().endswith((".", ":"))
    assert text.count("\n") < (700 if path in TESTS else 500)


@pytest.mark.parametrize("path", TESTS, ids=name)
def test_every_test_says_what_must_be_true(path: Path) -> None:
    """The first line of a test's docstring is a whole sentence."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    tests = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")]
    silent = [test.name for test in tests if not (ast.get_docstring(test) or "").split("\n")[0].endswith(".")]
    assert silent == []


@pytest.mark.parametrize("path", [*MODULES, *SCRIPTS], ids=name)
def test_no_module_is_named_for_nothing(path: Path) -> None:
    """No module bears a name that says nothing: utils, misc, helpers, common, data, info, manager."""
    assert not re.fullmatch(r"(utils?|misc|helpers?|common|data|info|manager)", path.stem)


def test_unit_tests_lie_where_their_source_lies() -> None:
    """Every folder of unit tests mirrors a package."""
    unit = ROOT / "tests" / "unit"
    folders = {path.parent.relative_to(unit).as_posix() for path in unit.rglob("test_*.py")}
    assert folders - {"."} <= set(PACKAGES)


def test_the_developers_text_names_every_package() -> None:
    """The table of packages in DEVELOPERS.md holds exactly the packages that exist."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"^\| `leakmap\.([a-z_]+)` \|", text, re.MULTILINE)
    assert sorted(named) == [package for package in PACKAGES if package != "." and "/" not in package]


def test_the_developers_text_names_nothing_that_is_not_there() -> None:
    """Every module and package that DEVELOPERS.md names exists."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for dotted in set(re.findall(r"`(leakmap(?:\.[a-z_]+)+)`", text)):
        path = ROOT.joinpath(*dotted.split("."))
        assert path.is_dir() or path.with_suffix(".py").is_file(), dotted


@pytest.mark.slow
def test_the_core_imports_without_qt() -> None:
    """Every module of the program can be imported where Qt is not installed."""
    modules = [
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for path in MODULES
        if path.name not in {"__init__.py", "__main__.py"} and path.relative_to(PACKAGE).parts[0] != "desk"
    ]
    code = (
        "import sys, importlib\n"
        "sys.modules['PySide6'] = sys.modules['shiboken6'] = None\n"
        f"for name in {modules!r}: importlib.import_module(name)\n"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)


def test_layers_name_every_room() -> None:
    """The layer contract is exhaustive and names the rooms that exist, so that a new one cannot slip past it."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    layers = settings["tool"]["importlinter"]["contracts"][0]
    rooms = {room.strip() for layer in layers["layers"] for room in layer.split("|")}
    assert layers["exhaustive"]
    assert rooms == {package for package in PACKAGES if "/" not in package} - {"."}


def test_the_build_machine_runs_what_everybody_runs() -> None:
    """The run of the build machine calls the one command, and nothing that could hide a missing step."""
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("#!")
    assert lines[-1] == "exec python3 resources/bootstrap.py test"
    assert [line.split()[0] for line in lines[1:]] == ["set", "cd", "exec"]

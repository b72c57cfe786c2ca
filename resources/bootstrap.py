"""Set leakmap up on a fresh machine and run it, or run every check.

    python3 resources/bootstrap.py run     the window on a copy of the sample job in demo/; where there is no
                                           screen, the sample's papers and pictures of the window in demo/
    python3 resources/bootstrap.py test    every check, in order, and a summary at the end

Needs Python 3.11 or newer and nothing else; works on Linux, macOS and Windows. Everything is
installed into ``.venv`` in the project, once: again only when ``pyproject.toml``, this script or the
interpreter has changed.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "leakmap-set-up.txt"
LEAST_PYTHON = (3, 11)
MOST_PROCESSES = 8
MEMORY = Path("/dev/shm")  # noqa: S108 - a folder that Linux keeps in memory; what is made in it has a name of its own
ROOM = 2 << 30
"""Bytes that the files of the tests may take, several times over."""
SAMPLE = "Tern Quay pumping station"
WORD_CHECK = ROOT.parent / "shared" / "tools" / "forbidden_words"

# The rule checker of GeoPackages is pure Python, but its package asks for GDAL itself, which needs
# GDAL's headers to build; so it is installed alone.
ALONE = ("gdal-utils>=3.11,<3.14",)

# Debian packages that Qt needs on a bare system, with the library that each one brings.
QT_LIBRARIES = {
    "libegl1": "libEGL.so.1",
    "libgl1": "libGL.so.1",
    "libxkbcommon0": "libxkbcommon.so.0",
    "libxkbcommon-x11-0": "libxkbcommon-x11.so.0",
    "libdbus-1-3": "libdbus-1.so.3",
    "libfontconfig1": "libfontconfig.so.1",
    "libxcb-cursor0": "libxcb-cursor.so.0",
    "libxcb-icccm4": "libxcb-icccm.so.4",
    "libxcb-image0": "libxcb-image.so.0",
    "libxcb-keysyms1": "libxcb-keysyms.so.1",
    "libxcb-randr0": "libxcb-randr.so.0",
    "libxcb-render-util0": "libxcb-render-util.so.0",
    "libxcb-shape0": "libxcb-shape.so.0",
    "libxcb-xinerama0": "libxcb-xinerama.so.0",
}
# What the test of the whole job drives the window with, on a screen of its own.
SCREEN_TOOLS = {"xvfb": "Xvfb", "xdotool": "xdotool"}


class CannotSetUp(Exception):
    """Set-up cannot go on; the message says what to do."""


def say(words: str) -> None:
    """Print a line at once, so that it stands before what the tools print."""
    print(words, flush=True)


def call(*command: str | Path, **environment: str) -> int:
    """Run a command in the project, with what is added to its environment, and return its exit code."""
    surroundings = {**os.environ, **environment}
    return subprocess.run([str(part) for part in command], cwd=ROOT, env=surroundings, check=False).returncode


def begin(*command: str | Path) -> subprocess.Popen[str]:
    """Begin a command in the project; what it says is kept until it is asked for."""
    return subprocess.Popen(
        [str(part) for part in command],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    )


def announce(name: str, command: tuple[str | Path, ...]) -> None:
    """Say which check comes."""
    say(f"\n== {name}: {' '.join(Path(part).name for part in command)}")


def wanted_stamp() -> str:
    """What the environment was made from; another text means that it must be made again."""
    sources = b"".join(path.read_bytes() for path in (ROOT / "pyproject.toml", Path(__file__)))
    return f"{sys.version}\n{Path(sys.executable).resolve()}\n{hashlib.sha256(sources).hexdigest()}\n"


def set_up() -> None:
    """Make the environment and install leakmap with the tools of its tests, where needed.

    Raises:
        CannotSetUp: Something is missing that this script cannot install.
    """
    if sys.version_info < LEAST_PYTHON:
        raise CannotSetUp(f"leakmap needs Python 3.11 or newer, and this is {sys.version.split()[0]}.")
    if not (STAMP.exists() and PYTHON.exists() and STAMP.read_text(encoding="utf-8") == wanted_stamp()):
        make_environment()
        install()
        STAMP.write_text(wanted_stamp(), encoding="utf-8")
    add_qt_libraries()


def make_environment() -> None:
    """Make ``.venv`` afresh.

    Raises:
        CannotSetUp: Python lacks what it needs for that.
    """
    if importlib.util.find_spec("ensurepip") is None:
        raise CannotSetUp(
            "This Python cannot make an environment, because its part 'ensurepip' is missing; "
            "on Debian or Ubuntu run: sudo apt install python3-venv"
        )
    say(f"Making {VENV.name} ...")
    if call(sys.executable, "-m", "venv", "--clear", VENV) != 0:
        raise CannotSetUp(
            f"The environment {VENV} could not be made; the lines above say why. "
            "On Debian or Ubuntu this helps most often: sudo apt install python3-venv"
        )


def install() -> None:
    """Install leakmap, editable, with the tools of its tests.

    Raises:
        CannotSetUp: A package could not be installed.
    """
    say("Installing leakmap and what it needs ...")
    pip = (PYTHON, "-m", "pip", "--disable-pip-version-check", "install", "--quiet")
    if call(*pip, "--editable", ".[test]") != 0 or call(*pip, "--no-deps", *ALONE) != 0:
        raise CannotSetUp(
            "Not every package could be installed; the lines above say which. Mend that and run this again."
        )


def add_qt_libraries() -> None:
    """Install, or name, the system libraries that Qt lacks; nothing to do while Qt is not installed."""
    missing = missing_qt_libraries() if sys.platform == "linux" and qt_is_installed() else []
    if not missing:
        return
    if may_install():
        say(f"Installing system libraries for the window: {' '.join(missing)}")
        if call("apt-get", "update") == 0 and call("apt-get", "install", "--yes", *missing) == 0:
            return
    say(f"The window needs system libraries; on Debian or Ubuntu paste: sudo apt install {' '.join(missing)}")


def add_screen_tools() -> None:
    """Install what drives the window in the test of the whole job, where that can be done; else it is skipped there."""
    missing = [package for package, program in SCREEN_TOOLS.items() if not shutil.which(program)]
    if missing and sys.platform == "linux" and may_install():
        say(f"Installing a screen for the test of the whole job: {' '.join(missing)}")
        if call("apt-get", "update") == 0:
            call("apt-get", "install", "--yes", *missing)


def may_install() -> bool:
    """Whether packages of Debian can be installed here."""
    return getattr(os, "geteuid", lambda: 1)() == 0 and shutil.which("apt-get") is not None


def qt_is_installed() -> bool:
    """Whether the environment holds Qt."""
    return any(VENV.glob("lib/python*/site-packages/PySide6"))


def missing_qt_libraries() -> list[str]:
    """Debian packages of which the library cannot be loaded."""
    return [package for package, library in QT_LIBRARIES.items() if not loads(library)]


def loads(library: str) -> bool:
    """Whether a shared library can be loaded."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def run() -> int:
    """Open the window on a copy of the sample job; without a screen make its papers, and pictures of the window."""
    demo = ROOT / "demo"
    if has_screen():
        words = "import sys; from pathlib import Path; from leakmap.desk.app import main"
        return call(PYTHON, "-c", f"{words}; sys.exit(main(sample_in=Path(sys.argv[1])))", demo)
    say("There is no screen for the window, so the sample's papers are made, and pictures of the window.")
    code = call(PYTHON, "-m", "leakmap.console", "demo", "--out", demo)
    return code or call(PYTHON, "-m", "leakmap.desk.pictures", demo / f"{SAMPLE}.gpkg", demo)


def has_screen() -> bool:
    """Whether a window can be seen here."""
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def checks() -> dict[str, tuple[str | Path, ...]]:
    """Every check by its name, in order; the tests come last, so that their closing line does."""
    tools = PYTHON.parent
    processes = str(min(os.cpu_count() or 1, MOST_PROCESSES))
    found: dict[str, tuple[str | Path, ...]] = {
        "format": (tools / "ruff", "format", "--check", "."),
        "lint": (tools / "ruff", "check", "."),
        "types": (tools / "mypy",),
        "layers": (tools / "lint-imports", "--no-cache"),
    }
    if WORD_CHECK.exists():
        found["words"] = (sys.executable, WORD_CHECK, ROOT)
    found["tests"] = (PYTHON, "-m", "pytest", "-n", processes, "--doctest-modules", "leakmap", "tests")
    return found


def test() -> int:
    """Run every check, go on after a failure, and say at the end how each went."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # what one process compiles, the next ones need not
    add_screen_tools()
    *others, (last, tests) = checks().items()
    begun = [(name, command, begin(*command)) for name, command in others]  # all at once: each uses one processor
    compiling = begin(*tests, "-n", "0", "--collect-only", "-qq")  # on the processor that the type checker leaves free
    went: dict[str, bool] = {}
    for name, command, process in begun:
        announce(name, command)
        words, _ = process.communicate()
        say(words.rstrip())
        went[name] = process.returncode == 0
    compiling.terminate()  # what it has not come to, the tests compile
    compiling.communicate()
    announce(last, tests)
    place = MEMORY if has_room(MEMORY) else None
    with TemporaryDirectory(dir=place, ignore_cleanup_errors=True) as folder:
        went[last] = call(*tests, TMPDIR=folder) == 0  # thousands of job files are written: no test waits for a disk
    say("\n" + ", ".join(f"{name} {'fine' if fine else 'FAILED'}" for name, fine in went.items()))
    broken = [name for name, fine in went.items() if not fine]
    say(f"Not everything is fine: {', '.join(broken)}." if broken else "Everything is fine.")
    return 1 if broken else 0


def has_room(folder: Path) -> bool:
    """Whether the tests can have their files in a folder, and run what they write there."""
    if not (folder.is_dir() and os.access(folder, os.W_OK | os.X_OK)):
        return False
    return shutil.disk_usage(folder).free >= ROOM and not os.statvfs(folder).f_flag & os.ST_NOEXEC


def main(words: list[str]) -> int:
    """Do what the command line asks for; 0 when all went well."""
    deeds = {"run": run, "test": test}
    if len(words) != 1 or words[0] not in deeds:
        say(__doc__ or "")
        return 2
    try:
        set_up()
        return deeds[words[0]]()
    except CannotSetUp as problem:
        say(str(problem))
        return 3
    except KeyboardInterrupt:
        say("Stopped.")
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

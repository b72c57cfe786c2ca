"""``leakmap settings``: the settings of the person who works here."""

from __future__ import annotations

from argparse import Namespace
from typing import Final

from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import columns
from leakmap.work.declared import Line, setting_lines
from leakmap.work.kept_settings import keep_setting, kept_settings, settings_path
from leakmap.work.settings import setting_named

_USUAL: Final = "usual"
_EXAMPLE: Final = """\
  leakmap settings                       every setting with its value and what it does
  leakmap settings text-percent 150
  leakmap settings user-name "A. Fitter"
  leakmap settings theme usual           back to the default

A setting is of the person and this computer, never of a job; the rules of a job are in its window."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("settings", "List the settings of the person who works here, or set one.", example=_EXAMPLE)
    found.add_argument("name", nargs="?", metavar="NAME", help="the setting")
    found.add_argument("value", nargs="?", metavar="VALUE", help=f'what it shall be; "{_USUAL}" for the default')
    return found


def run(words: Namespace) -> Outcome:
    """List them, show one, or set one."""
    if words.name is None:
        lines = setting_lines(kept_settings())
        print("\n".join((*columns([_row(line) for line in lines]), f"Kept in {settings_path()}")))
        return Outcome.DONE
    setting = setting_named(words.name.replace("-", "_"))
    settings = kept_settings()
    if words.value is not None:
        value = setting.default if words.value == _USUAL else setting.read(words.value)
        settings = keep_setting(setting.name, value)
    (line,) = (line for line in setting_lines(settings) if line.name == setting.name)
    print("  ".join(_row(line)))
    return Outcome.DONE


def _row(line: Line) -> tuple[str, str, str]:
    may_be = f" One of: {', '.join(line.choices)}." if line.choices else ""
    return line.name.replace("_", "-"), line.text or "–", f"{line.words}{may_be}"

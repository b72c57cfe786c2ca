"""Letters that take a choice of the tool in hand, and what becomes of them where single letters are switched off.

A letter that is part of a name or a measure is typed as ever; one that stands on a cell of the strip then needs Alt,
like the letter on a button.
"""

from __future__ import annotations

from leakmap.desk.tools.tool import Choice, Tool


def choice_of(tool: Tool | None, letter: str) -> Choice | None:
    """The choice of a tool that a letter takes; None for a letter that takes none."""
    if tool is None or len(letter) != 1 or not letter.isalpha():
        return None
    return next((choice for choice in tool.choices() if choice.key == letter.upper()), None)


def typed(tool: Tool, sign: str) -> bool:
    """Give a typed sign to a tool; a letter that takes a choice only where single letters are on. Whether it was used."""
    if not tool.desk.settings.letter_keys and choice_of(tool, sign) is not None:
        return False
    return tool.typed(sign)


def taken_with_alt(tool: Tool | None, letter: str) -> bool:
    """Take the choice of a tool by Alt and its letter; whether there is one."""
    if tool is None or choice_of(tool, letter) is None:
        return False
    return tool.typed(letter.lower())

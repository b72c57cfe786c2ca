"""Letters and digits that take a choice of the tool in hand, and what becomes of letters where they are switched off.

A letter that is part of a name or a measure is typed as ever; one that stands on a cell of the strip then needs Alt,
like the letter on a button, and so it always does where letters are typed meanwhile.
"""

from __future__ import annotations

from leakmap.desk.tools.tool import Choice, Tool


def choice_of(tool: Tool | None, sign: str) -> Choice | None:
    """The choice of a tool that a letter or digit takes, alone or with Alt; None for a sign that takes none."""
    if tool is None or len(sign) != 1 or not sign.isalnum():
        return None
    return next((choice for choice in tool.choices() if choice.key == sign.upper()), None)


def typed(tool: Tool, sign: str) -> bool:
    """Give a typed sign to a tool; a letter that takes a choice only where single letters are on. Whether it was used."""
    choice = choice_of(tool, sign)
    if choice is None or choice.alt:
        return tool.typed(sign)
    if sign.isalpha() and not tool.desk.settings.letter_keys:
        return False
    if tool.typed(sign):
        return True
    if tool.overlay().field is not None:
        return False  # what is half typed stays
    choice.take()
    return True


def taken_with_alt(tool: Tool | None, letter: str) -> bool:
    """Take the choice of a tool by Alt and its letter; whether there is one."""
    choice = choice_of(tool, letter) if letter.isalpha() else None
    if tool is None or choice is None:
        return False
    if choice.alt or not tool.typed(letter.lower()):
        choice.take()
    return True

"""The ways of Set scale (S) and Layers (L): what else is done there with the drawing of the level, as choices."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final

from leakmap.base.errors import LeakmapError
from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import Choice, Tool
from leakmap.model.sheet import Sheet
from leakmap.model.texts import Texts

if TYPE_CHECKING:
    from leakmap.desk.tools.tool import ToolMaker

KNOWN_LENGTH, STRAIGHTEN, LAY_FLAT = "known length", "straighten", "lay flat"
LAYERS, CROP, LETTERS = "layers", "crop", "letters"
_KEYS: Final = {STRAIGHTEN: "T", LAY_FLAT: "F", CROP: "C", LETTERS: "R"}
"""Letters of ways; the first way of each has that of its button."""


def sheet_on_plan(desk: Desk) -> Sheet | None:
    """The level on the plan, where it has a drawing."""
    if desk.open_job is None or desk.level is None:
        return None
    sheet = desk.open_job.job.sheets.get(desk.level)
    return sheet if sheet is not None and sheet.source is not None else None


def is_scan(sheet: Sheet) -> bool:
    """Whether a level's drawing is a scan or photo: a picture that is no page."""
    return sheet.source is not None and sheet.source.pixel is not None and not sheet.source.on_paper


def scale_ways(desk: Desk, chosen: str) -> tuple[Choice, ...]:
    """What Set scale can do: take a known length, straighten, and lay a photo flat."""
    from leakmap.desk.tools.lay_flat import LayFlat  # noqa: PLC0415 - they show these choices themselves
    from leakmap.desk.tools.set_scale import SetScale  # noqa: PLC0415
    from leakmap.desk.tools.straighten import Straighten  # noqa: PLC0415

    sheet = sheet_on_plan(desk)
    if sheet is None:
        return ()
    ways: dict[str, ToolMaker] = {KNOWN_LENGTH: SetScale, STRAIGHTEN: Straighten}
    return _choices(desk, ways | ({LAY_FLAT: LayFlat} if is_scan(sheet) else {}), chosen)


def layer_ways(desk: Desk, chosen: str) -> tuple[Choice, ...]:
    """What Layers can do: turn layers, keep a part of the drawing only, and read its letters in another way."""
    from leakmap.desk.tools.crop import Crop  # noqa: PLC0415 - as above
    from leakmap.desk.tools.layers import Layers  # noqa: PLC0415
    from leakmap.desk.tools.letters import Letters  # noqa: PLC0415

    sheet = sheet_on_plan(desk)
    if sheet is None or sheet.source is None:
        return ()
    ways: dict[str, ToolMaker] = {LAYERS: Layers, CROP: Crop}
    return _choices(desk, ways | ({LETTERS: Letters} if _lettered(desk, sheet) else {}), chosen)


def _lettered(desk: Desk, sheet: Sheet) -> bool:
    """Whether the texts of a level's drawing could be read in another way: those of a DXF, with letters beyond ASCII."""
    assert desk.open_job is not None
    assert sheet.source is not None
    if sheet.source.reading.codepage:
        return True
    try:
        drawing = desk.open_job.drawing(sheet.id)
    except LeakmapError:
        return False
    if drawing is None or sheet.source.on_paper or sheet.source.pixel is not None:
        return False
    is_dwg = any(found.code == "dwg-read" for found in drawing.findings)
    texts = drawing.texts if isinstance(drawing.texts, Texts) else Texts.of(drawing.texts)
    return not is_dwg and texts.beyond_ascii


def _choices(desk: Desk, ways: Mapping[str, Callable[[Desk], Tool]], chosen: str) -> tuple[Choice, ...]:
    def choice(words: str, make: Callable[[Desk], Tool]) -> Choice:
        key = _KEYS.get(words, "")
        keyed = f"{key} {words}" if key else words
        return Choice(key=key, words=keyed, chosen=words == chosen, take=lambda: desk.take_tool(make(desk)))

    return tuple(choice(words, make) for words, make in ways.items())

"""What F1 says: more of the tool in hand, of the pane that has the keyboard, else of the stage."""

from __future__ import annotations

from typing import Final

from leakmap.base.trade_words import in_trade_words
from leakmap.desk.state import Desk
from leakmap.desk.things import Declared, Pane, Stage
from leakmap.desk.tools.table import action_for

AT_START: Final = (
    "Choose a drawing to start a job from it, open a job that is there already, or look round the sample; “First job, "
    "step by step” leads through the sample. A job is one file; every finished step is written to it at once, so there "
    "is nothing to save."
)
"""What F1 says before a job is open."""

AT_REST: Final = {
    Stage.DRAWING: (
        "Bring in the drawing of each level with I, and prove its scale with S by two lengths that you know on site. G "
        "names the axes of the grid; F2 renames the level, or the axis whose bubble the pointer is on. The wheel zooms, "
        "dragging moves the paper, and Home shows all of the plan."
    ),
    Stage.JOINTS: (
        "Draw every joint where two pours or parts meet: J along the plan, V where one goes up or down. Click a joint, or "
        "step to it with [ and ]: digits change its kind, F2 its name, arrows move it. Without a mouse arrows move the "
        "cross of a tool (Shift far, Ctrl fine) and Space clicks there. Ctrl-Z takes back any step."
    ),
    Stage.LEAKS: (
        "Mark each wet stretch on its joint with L. Click a leak, or step to it with , and . and drag its ends, press 0 to "
        "5 for its wetness, or F2 for its date, flow and note. Arrows move it along its joint, or only the end that was "
        "clicked. Zones are worked out at once; stage Repair shows them."
    ),
    Stage.REPAIR: (
        "Zones follow every change of joints and leaks by themselves. Click a band or its row to pick a zone, or "
        "step to it with , and . Then drag its ends for another overrun, or press a letter. The ledger adds up the "
        "lengths; the foot counts this level or the whole job."
    ),
    Stage.ISSUE: (
        "C lists what needs a look, R begins a revision for price or for work, D, S and P show its papers, I issues it, and A "
        "shows the cautions. What was issued stays in the job file with its papers and their checksums."
    ),
    Stage.AS_BUILT: "What was really done on site cannot be recorded here yet. The issued papers are in stage Issue.",
}
"""What F1 says of a stage while no tool is in hand."""

AT_PANE: Final = {
    Pane.STAGES: (
        "Six stages, from the drawing to what was built; any of them can be gone to at any time, with Ctrl and 1 to 6 too. "
        "The full part of a line says how much of a stage is done. The cell at the left holds the job: press it to open "
        "another one, its rules or the settings. Ctrl-Z and Ctrl-Shift-Z undo and redo, after a restart as well."
    ),
    Pane.FIND: (
        "Type what you look for: a reference such as Z-07, a place such as C4 or C+1.20 4+0.35, a chainage such as J-05 "
        "12.4, a word such as drip, or what you want to do. Up and Down choose a row, Enter goes there or does it; Tab "
        "goes into the list, Esc leaves it."
    ),
    Pane.LEVELS: (
        "A cut through the building, with ground and ground water, and how many leaks each level has. Up and Down, or a "
        "click, put another level on the plan; so do Page Up and Page Down on the plan. F2 asks for the level's name and "
        "slab, a press on the ground water for its level, day and source."
    ),
    Pane.TAPE: (
        "The picked joint laid out straight; [ and ] step to another. Tab goes round the ends that can be moved, "
        "arrows nudge what is picked or move the tape, and ends drag. The wheel, + and − zoom, Home shows all. Tools click "
        "here as on the plan; a name below opens the joint that meets it there (Down, then Enter), Backspace comes back."
    ),
    Pane.LEDGER: (
        "A row for each thing of the stage; Up and Down pick it on the plan too, Shift several, Ctrl-A all. Enter types over "
        "the cell, on every picked row, and Tab goes to the next; on a note it does what the note offers. Delete removes, a "
        "heading sorts, Ctrl-C copies rows with headings. “Columns for” chooses another role's columns."
    ),
    Pane.FOOT: (
        "Where the hand is, from the grid and in the plan, and what it is caught on. Tab and Space press three cells: Scale "
        "says how it is known and leads to its tool, Units offers metres, feet and inches, and glove mode, and Saved "
        "opens the folder of the job, which is written at every step."
    ),
    Pane.SETTINGS: (
        "Settings belong to whoever works here: theme and contrast, text up to 200 %, glove mode with larger controls and "
        "buttons for keys, letter keys with Alt only. Tab goes from line to line, arrows choose or step, Enter takes what "
        "was typed, Default (Shift Tab) puts one back. Each is in force at once and kept; Esc leaves."
    ),
    Pane.RULES: (
        "The rules that the zones of this job are worked out by, each with where it comes from; papers print them. Tab "
        "goes from line to line, arrows choose or step, Enter takes what was typed, Default (Shift Tab) puts one back. Ctrl-Z takes a "
        "change back; Esc leaves."
    ),
    Pane.MATERIALS: (
        "What each material is mixed of and how it is placed; powder, water and batches of every zone follow from it. Tab "
        "goes from line to line, Enter takes what was typed, Default (Shift Tab) puts the planning value back. Ctrl-Z takes a change "
        "back; Esc leaves. A table in a file is taken by “Take a material table in” in the find box."
    ),
    Pane.RATES: (
        "What this job asks: by the metre of each method, with additions by face, for a relief point, a zone and the job. "
        "Tab goes from line to line, Enter takes what was typed, Ctrl-Z takes it back; Esc leaves. A zone without a rate is "
        "not priced, never taken as nothing. “Take a table of rates in” reads them from a file."
    ),
    Pane.LEAFLET: "Arrows and Page Up and Page Down move what is read here. Esc or Back leaves it.",
    Pane.OLD_JOBS: (
        "Type any of site, level, grid bay, zone and year; every word narrows the list of zones in the folders of recent "
        "jobs. Up and Down choose a row, Enter opens its job there. “Add a folder” looks through others too; Esc leaves."
    ),
    Pane.PAGES: (
        "Choose what of the file becomes a level: a click picks a page, Ctrl and a click or Space one besides others, arrows go "
        "from page to page. Enter takes what is picked, each as a level of its own; Esc leaves the file alone."
    ),
    Pane.GUIDE: (
        "Six steps lead through a first job. Each is done by doing it, in whatever way, and the blue line leads to what is "
        "meant; Next passes a step, Leave or Esc ends it, and it goes on there another time. It keeps nothing from being done."
    ),
}
"""What F1 says of the pane that has the keyboard."""

_TOOLS_WORK_HERE: Final = (Pane.TAPE,)
_OF_DECLARED: Final[dict[object, Pane]] = {
    Declared.SETTINGS: Pane.SETTINGS,
    Declared.RULES: Pane.RULES,
    Declared.MATERIALS: Pane.MATERIALS,
    Declared.RATES: Pane.RATES,
    Declared.OLD_JOBS: Pane.OLD_JOBS,
}


def longer_sentence(desk: Desk, pane: Pane | None = None) -> str:
    """What F1 says, in the words of the trade.

    Args:
        desk: The desk.
        pane: The pane that has the keyboard; None: the plan, or whatever else lies in the middle.
    """
    return in_trade_words(desk.units, _sentence(desk, pane))


def _sentence(desk: Desk, pane: Pane | None) -> str:
    if pane is None and desk.declared is not None:
        pane = _OF_DECLARED.get(desk.declared, Pane.LEAFLET)
    if desk.tool is not None and (pane in _TOOLS_WORK_HERE or (pane is Pane.LEDGER and desk.offered is not None)):
        pane = None
    if pane is not None:
        return AT_PANE[pane]
    if desk.open_job is None:
        return AT_START
    action = action_for(desk.stage, desk.tool.key) if desk.tool is not None else None
    return action.longer if action is not None else AT_REST[desk.stage]

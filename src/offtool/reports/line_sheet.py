"""The sheet that hangs at the line: each station with its tasks in order, times, equipment and people."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from offtool.core.pilot.balance import LineBalance, PlacedTask, StationLoad
from offtool.core.values import OfftoolError
from offtool.handbook.terms import Side
from offtool.reports.line_drawing import draw_line
from offtool.reports.plain_text import printable_rows
from offtool.reports.typeset import typeset
from offtool.steps.line_found import LineFound
from offtool.steps.line_known import LineKnown
from offtool.steps.line_words import people_in_words, plan_in_words
from offtool.steps.sentences import sentence

LAYOUT = Path(__file__).with_suffix(".typ")


def line_sheet(found: LineFound, *, made_by: str = "") -> bytes:
    """The sheet of the line as it was adopted; where it was not, of what is proposed, and it says so.

    The same line gives the same bytes: nothing in it comes from the clock.

    Raises: OfftoolError where there is neither; LayoutFlawed, when the layout warns of anything.
    """
    shown = found.shown
    if shown is None:
        why = found.why_no_proposal or "its tasks and a planned rate are needed"
        raise OfftoolError(f"there is no sheet of this line: {why}", remedy="look at the line first")
    return typeset(LAYOUT, printable_rows(_rows(found, shown, made_by)))


def _rows(found: LineFound, shown: LineBalance, made_by: str) -> dict[str, Any]:
    known = found.known
    names = {one.number: one.name for one in known.stations if one.name}
    cycle = 3600 / found.needed_per_h if found.is_adopted and found.needed_per_h else shown.cycle_s
    told = (f"{found.programme_title}, {found.line}", found.method, f"Made by {made_by}" if made_by else "")
    invented = ("Invented programme",) if found.invented else ()
    return {
        "title": f"{found.line}, {found.programme_title}",
        "headline": found.headline,
        "drawing": draw_line(shown, names, cycle_s=cycle),
        "says": list(_says(found)),
        "cautions": [f"{one.text} ({one.source})" if one.source else one.text for one in found.cautions],
        "stations": [_station(one, known, names) for one in shown.stations],
        "footer": ". ".join(filter(None, (*told, *invented))),
    }


def _says(found: LineFound) -> list[str]:
    plan = plan_in_words(found.known, found.needed_per_h)
    standing = "Places as adopted." if found.is_adopted else "Proposed places; they are not adopted yet."
    return [standing, *([f"Plan: {plan}."] if plan else [])]


def _station(one: StationLoad, known: LineKnown, names: dict[int, str]) -> dict[str, Any]:
    named = names.get(one.station)
    facing = ", facing each other" if one.two_sided else ""
    has = f"; {', '.join(one.equipment)}" if one.equipment else ""
    return {
        "name": f"{one.station}  {named}" if named else f"Station {one.station}",
        "time": f"{one.busy_s:.4g} s a piece" if one.tasks else "",
        "says": sentence(f"{people_in_words(one.people)}{facing}{has}"),
        "tasks": [_task(placed, known) for placed in one.tasks],
    }


def _task(placed: PlacedTask, known: LineKnown) -> list[str]:
    task = known.task_named(placed.task)
    beside = [placed.side.value] if placed.side is not Side.EITHER else []
    title = ""
    if task is not None:
        title = task.title
        beside += [*task.needs, *filter(None, (task.part, task.joint, task.seam))]
    guess = ", estimate" if task is not None and not task.readings else ""
    return [placed.task, title, f"{placed.time_s:.4g} s{guess}", ", ".join(beside)]

"""Whether the mould goes in: between the tie bars, between the platens, and far enough open."""

from __future__ import annotations

from dataclasses import replace

from offtool.core.planning.press.check import (
    INFINITE,
    FitCheck,
    FitQuestion,
    Knows,
    Missing,
    absent,
    margin_between,
    not_known,
    to_be_had,
    verdict_between,
)
from offtool.core.planning.press.facts import PressFacts, ToolFacts
from offtool.core.values import Caution, Verdict
from offtool.handbook.defects import PRACTICE

BESIDE_MM = 5.0
"""On each side between mould and tie bars, for hoses and for hands that steady it; common practice."""
TWICE_THE_DEPTH = 2.0
TO_TAKE_OUT_MM = 50.0
"""Opening where it is not given: twice the depth of the part and room to fall; common practice."""

CRANE = Caution(
    "a mould on a crane kills: lifting gear that is tested, halves strapped together, nobody beneath; only "
    "trained people hang it, and the rules of the shop come first",
    PRACTICE,
)
NOT_COMPARED = Caution(
    "not compared here: locating ring, nozzle radius, ejector pattern, clamping slots, core pulls, water and "
    "hot runner zones; ask the setter before the mould is moved",
    PRACTICE,
)


def check_tie_bars(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether the mould passes between the bars, upright or turned by a quarter."""
    missing = absent(
        (tool.wide_mm, "width of the mould", Knows.TOOL),
        (tool.high_mm, "height of the mould", Knows.TOOL),
        (press.tie_bars_wide_mm, f"distance of the tie bars of {press.code}, across", Knows.PRESS),
        (press.tie_bars_high_mm, f"distance of the tie bars of {press.code}, upright", Knows.PRESS),
    )
    wide, high = tool.wide_mm, tool.high_mm
    across, upright = press.tie_bars_wide_mm, press.tie_bars_high_mm
    if missing or wide is None or high is None or across is None or upright is None:
        return not_known(FitQuestion.TIE_BARS, "mm", missing)
    ways = [
        _way(wide, high, across, upright, "upright"),
        _way(high, wide, across, upright, "turned by a quarter"),
    ]
    return max(ways, key=_standing)


def _standing(one: FitCheck) -> tuple[int, float]:
    order = (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)
    return order.index(one.verdict), one.margin if one.margin is not None else -INFINITE


def _way(wide: float, high: float, across: float, upright: float, way: str) -> FitCheck:
    """One way of hanging it: between both pairs of bars, or between one pair and behind the other."""
    spare_wide, spare_high = across - wide - 2 * BESIDE_MM, upright - high - 2 * BESIDE_MM
    if spare_wide >= 0 and spare_high >= 0:
        verdict, advice = Verdict.HOLDS, ""
        said = f"{way}, {wide:g} × {high:g} pass between {across:g} × {upright:g} mm"
        said += f", {BESIDE_MM:g} mm on each side taken off"
    elif spare_wide >= 0:
        verdict = Verdict.NOT_SHOWN
        said = f"{way}, {wide:g} pass between {across:g} mm; {high:g} mm high, it stands behind the bars"
        advice = "ask the setter whether the platen carries it and whether it can be lowered in from above"
    else:
        verdict, said = Verdict.FAILS, f"{way}, {wide:g} do not pass between {across:g} mm"
        advice = "a press with more room between its bars; or without them"
    # where it passes between both pairs, the tighter one is shown; else the one that decides
    directions = [(spare_wide / across, wide, across), (spare_high / upright, high, upright)]
    spare, size, between = min(directions) if verdict is Verdict.HOLDS else directions[0]
    return FitCheck(
        question=FitQuestion.TIE_BARS,
        unit="mm",
        needed=(size + 2 * BESIDE_MM,) * 2,
        can=(0.0, between),
        verdict=verdict,
        margin=spare,
        words=said,
        advice=advice,
        source=f"{BESIDE_MM:g} mm free on each side: {PRACTICE}",
    )


def check_mould_height(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether the closed mould is neither too thin nor too thick for the platens."""
    missing = absent(
        (tool.thick_mm, "thickness of the closed mould", Knows.TOOL),
        (press.mould_least_mm, f"thinnest mould of {press.code}", Knows.PRESS),
        (press.mould_most_mm, f"thickest mould of {press.code}", Knows.PRESS),
    )
    thick, least, most = tool.thick_mm, press.mould_least_mm, press.mould_most_mm
    if thick is None or (least is None and most is None):
        return not_known(FitQuestion.MOULD_HEIGHT, "mm", missing)
    can = (least if least is not None else 0.0, most if most is not None else INFINITE)
    found = _plain(FitQuestion.MOULD_HEIGHT, (thick, thick), can, missing)
    ends = f"{least:g} to {most:g} mm" if least is not None and most is not None else "only one end is known"
    advice = ""
    if found.verdict is Verdict.FAILS:
        advice = "pack it up with plates" if thick < can[0] else "a press that takes thicker moulds"
    return replace(found, words=f"{thick:g} mm thick, the press takes {ends}", advice=advice or found.advice)


def opening_needed(tool: ToolFacts) -> tuple[float, str] | None:
    """What the tool must open, and what it rests on; None where neither opening nor depth is known."""
    if tool.opening_mm is not None:
        return tool.opening_mm, "as given for the tool"
    if tool.depth_mm is None:
        return None
    needed = TWICE_THE_DEPTH * tool.depth_mm + TO_TAKE_OUT_MM
    return needed, f"twice the depth of the part and {TO_TAKE_OUT_MM:g} mm to fall: {PRACTICE}"


def check_opening(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether the press opens as far as the parts need to come out."""
    needed = opening_needed(tool)
    missing = absent(
        (None if needed is None else 0.0, "opening that the parts need", Knows.TOOL),
        (press.opening_mm, f"opening stroke of {press.code}", Knows.PRESS),
    )
    if needed is None or press.opening_mm is None:
        return not_known(FitQuestion.OPENING, "mm", missing)
    found = _plain(FitQuestion.OPENING, (needed[0],) * 2, (0.0, press.opening_mm), ())
    advice = (
        "a press that opens further, or parts taken out by hand or robot"
        if found.verdict is Verdict.FAILS
        else ""
    )
    words = f"{needed[0]:.0f} mm to come out, the press opens {press.opening_mm:g} mm"
    return replace(found, words=words, advice=advice, source=needed[1])


def check_daylight(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether mould and opening together fit between the platens at their widest."""
    needed = opening_needed(tool)
    missing = absent(
        (tool.thick_mm, "thickness of the closed mould", Knows.TOOL),
        (None if needed is None else 0.0, "opening that the parts need", Knows.TOOL),
        (press.daylight_mm, f"daylight of {press.code}", Knows.PRESS),
    )
    if tool.thick_mm is None or needed is None or press.daylight_mm is None:
        return not_known(FitQuestion.DAYLIGHT, "mm", missing)
    both = tool.thick_mm + needed[0]
    found = _plain(FitQuestion.DAYLIGHT, (both, both), (0.0, press.daylight_mm), ())
    has = f"daylight {press.daylight_mm:g} mm"
    words = f"mould {tool.thick_mm:g} and opening {needed[0]:.0f} are {both:.0f} mm, {has}"
    advice = "a press with more daylight" if found.verdict is Verdict.FAILS else ""
    return replace(found, words=words, advice=advice, source=needed[1])


def check_ejector(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether the ejector of the press pushes as far as the tool needs."""
    missing = absent(
        (tool.ejector_mm, "ejector stroke that the tool needs", Knows.TOOL),
        (press.ejector_mm, f"ejector stroke of {press.code}", Knows.PRESS),
    )
    if tool.ejector_mm is None or press.ejector_mm is None:
        return not_known(FitQuestion.EJECTOR, "mm", missing)
    found = _plain(FitQuestion.EJECTOR, (tool.ejector_mm,) * 2, (0.0, press.ejector_mm), ())
    advice = "a press with a longer ejector" if found.verdict is Verdict.FAILS else ""
    words = f"{tool.ejector_mm:g} mm are needed, {press.ejector_mm:g} mm are there"
    return replace(found, words=words, advice=advice)


def _plain(
    question: FitQuestion, needed: tuple[float, float], can: tuple[float, float], missing: tuple[Missing, ...]
) -> FitCheck:
    """Lengths that are known, against the ends that are known: with one end missing it can fail, not hold."""
    verdict = verdict_between(needed, can)
    if missing and verdict is Verdict.HOLDS:
        verdict = Verdict.NOT_SHOWN
    return FitCheck(
        question=question,
        unit="mm",
        needed=needed,
        can=can,
        verdict=verdict,
        margin=margin_between(needed, can),
        words="",
        advice=to_be_had(missing),
        missing=missing,
        source="lengths compared as they are written down",
    )

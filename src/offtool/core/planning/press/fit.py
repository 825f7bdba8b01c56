"""Does a tool go on a press: every check with its numbers, and the one that stands in the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.planning.bracket import Bracket
from offtool.core.planning.cycle.whole import AT_THE_PRESS, CycleTime, cycle_time
from offtool.core.planning.press.barrel import check_residence, check_shot
from offtool.core.planning.press.check import FitCheck, FitQuestion, Missing
from offtool.core.planning.press.clamp import check_clamp
from offtool.core.planning.press.facts import (
    PRESS_LIMITS,
    TOOL_LIMITS,
    PressFacts,
    ToolFacts,
    refuse_crossed_press,
    refuse_impossible,
    unusual,
)
from offtool.core.planning.press.room import (
    CRANE,
    NOT_COMPARED,
    check_daylight,
    check_ejector,
    check_mould_height,
    check_opening,
    check_tie_bars,
)
from offtool.core.values import Caution, Range, Verdict
from offtool.handbook.defects import PRACTICE
from offtool.handbook.moulding import moulding_resin

WORST_FIRST = (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFit:
    """One tool on one press: it holds when every check does."""

    verdict: Verdict
    checks: tuple[FitCheck, ...]
    cycle_s: Bracket | None
    """From the tool as given, else estimated by its thickest wall on this press."""
    press: PressFacts
    tool: ToolFacts
    cautions: tuple[Caution, ...] = ()

    def check(self, question: FitQuestion) -> FitCheck:
        """The check that asks so."""
        return next(one for one in self.checks if one.question is question)

    @property
    def failing(self) -> tuple[FitCheck, ...]:
        return tuple(one for one in self.checks if one.verdict is Verdict.FAILS)

    @property
    def not_shown(self) -> tuple[FitCheck, ...]:
        return tuple(one for one in self.checks if one.verdict is Verdict.NOT_SHOWN)

    @property
    def missing(self) -> tuple[Missing, ...]:
        """What is not known, each once."""
        return tuple(dict.fromkeys(missing for one in self.checks for missing in one.missing))

    @property
    def minded(self) -> tuple[Caution, ...]:
        """What is outside the usual on this press, check by check."""
        return tuple(dict.fromkeys(caution for one in self.checks for caution in one.cautions))


@formula(
    limits={
        "press": Range(meaning="the press: code, clamp_kn, barrel_g, tie_bars_wide_mm … as its sheet says"),
        "tool": Range(meaning="the tool: code, resin, cavities, projected_cm2, parts_g, wide_mm … of a shot"),
    },
    example={
        "press": {
            "code": "80 t",
            "clamp_kn": 800.0,
            "barrel_g": 120.0,
            "tie_bars_wide_mm": 360.0,
            "tie_bars_high_mm": 360.0,
            "mould_least_mm": 150.0,
            "mould_most_mm": 380.0,
            "opening_mm": 320.0,
            "daylight_mm": 700.0,
            "ejector_mm": 100.0,
            "dry_cycle_s": 2.0,
        },
        "tool": {
            "code": "M1",
            "resin": "ABS",
            "cavities": 4,
            "projected_cm2": 45.0,
            "runner_cm2": 8.0,
            "parts_g": 28.0,
            "runner_g": 6.0,
            "wide_mm": 246.0,
            "high_mm": 296.0,
            "thick_mm": 240.0,
            "opening_mm": 180.0,
            "ejector_mm": 40.0,
            "wall_mm": 2.0,
        },
    },
    source=f"numbers compared as sheets give them; limits: {PRACTICE}",
)
def fit_press(press: PressFacts, tool: ToolFacts) -> PressFit:
    """Whether a tool goes on a press: clamp, shot, time in the barrel, tie bars, mould height, opening.

    Each need against what the press has; margin = (has - needed) / has.

    Returns: PressFit; a check without its numbers is "not shown" and says who knows them. Raises:
    ImpossibleInput for a number that cannot be.

    Holds when: the numbers are those of this press and this mould; what hangs on fittings is not compared.

    Example: four cavities of 45 cm² in ABS on 800 kN: the clamp holds with most of it to spare.
    """
    refuse_impossible(press, PRESS_LIMITS)
    refuse_impossible(tool, TOOL_LIMITS)
    refuse_crossed_press(press)
    cycle = _cycle(press, tool)
    took = Bracket.point(tool.cycle_s) if tool.cycle_s is not None else cycle.cycle_s if cycle else None
    checks = (
        check_clamp(press, tool),
        check_shot(press, tool),
        check_residence(press, tool, took),
        check_tie_bars(press, tool),
        check_mould_height(press, tool),
        check_opening(press, tool),
        check_daylight(press, tool),
        check_ejector(press, tool),
    )
    return PressFit(
        verdict=worst(one.verdict for one in checks),
        checks=checks,
        cycle_s=took,
        press=press,
        tool=tool,
        cautions=(
            *(CRANE, AT_THE_PRESS),
            *unusual(press, PRESS_LIMITS),
            *unusual(tool, TOOL_LIMITS),
            NOT_COMPARED,
        ),
    )


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Fails before not shown before holds."""
    return min(verdicts, key=WORST_FIRST.index, default=Verdict.NOT_SHOWN)


def _cycle(press: PressFacts, tool: ToolFacts) -> CycleTime | None:
    if tool.wall_mm is None or moulding_resin(tool.resin) is None:
        return None
    return cycle_time(
        tool.wall_mm, resin=tool.resin, cavities=tool.cavities or 1, dry_cycle_s=press.dry_cycle_s
    )

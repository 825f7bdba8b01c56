"""How much clamp a tool needs: silhouette times the pressure in the cavity, with something to spare."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.planning.cycle.limits import RESIN, known_resin
from offtool.core.planning.press.check import (
    FitCheck,
    FitQuestion,
    Knows,
    absent,
    margin_between,
    not_known,
    verdict_between,
)
from offtool.core.planning.press.facts import KN_PER_T, TOOL_LIMITS, PressFacts, ToolFacts
from offtool.core.values import Caution, ImpossibleInput, Range, Verdict
from offtool.handbook.defects import PRACTICE
from offtool.handbook.moulding import moulding_resin

TO_SPARE = 1.15
"""Clamp over pressure times area; 1.1 to 1.2 is common practice, no source."""
TOO_MUCH = 5.0
"""Times the need beyond which a full clamp may crush vents and plates; common practice, no source."""
KN_PER_MPA_CM2 = 0.1

SOURCE = f"force is pressure times area; pressures: {PRACTICE}"
PRESSURE_MOVES = Caution(
    "the pressure in the cavity moves with wall, flow length, gate and speed: thin and long takes more; only "
    "a sensor in the cavity measures it",
    PRACTICE,
)
SPARE = Range(
    meaning="clamp over pressure times area",
    at_least=1,
    at_most=3,
    usual=(1.1, 1.25),
    source=PRACTICE,
    remedy="1.15 is 15 % to spare",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampForce:
    """Least and most clamp, in kN and in tonnes."""

    low_kn: float
    high_kn: float
    low_t: float
    high_t: float
    area_cm2: float
    pressure_mpa: tuple[float, float]
    to_spare: float
    source: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "projected_cm2": TOOL_LIMITS["projected_cm2"],
        "runner_cm2": TOOL_LIMITS["runner_cm2"],
        "resin": Range(meaning=f"{RESIN.meaning}; blank where the pressure is given"),
        "cavity_pressure_mpa": Range(
            meaning="mean pressure in the cavity; blank for that of the resin",
            unit="MPa",
            above=0,
            at_most=300,
            usual=(10, 100),
            source=PRACTICE,
            remedy="0.35 t/cm² are 34 MPa; one bar is 0.1 MPa",
        ),
        "to_spare": SPARE,
    },
    example={"projected_cm2": 45.0, "resin": "ABS"},
    source=SOURCE,
)
def clamp_force(
    projected_cm2: float,
    *,
    runner_cm2: float = 0.0,
    resin: str = "",
    cavity_pressure_mpa: float | None = None,
    to_spare: float = TO_SPARE,
) -> ClampForce:
    """How much clamp keeps the mould shut against the melt.

    F = (area of all parts + runner) pressure x 1.15.

    Returns: ClampForce, least and most by the range of the resin's pressure. Raises: ImpossibleInput for a
    resin that is not on the list where no pressure is given.

    Holds when: the area is the true silhouette along the opening, of all cavities together.

    Example: 45 cm² of ABS at 0.35 t/cm² and 15 % to spare need 18 t.
    """
    pressure, source = _pressure(resin, cavity_pressure_mpa)
    area = projected_cm2 + runner_cm2
    low, high = (area * one * KN_PER_MPA_CM2 * to_spare for one in pressure)
    return ClampForce(
        low_kn=low,
        high_kn=high,
        low_t=low / KN_PER_T,
        high_t=high / KN_PER_T,
        area_cm2=area,
        pressure_mpa=pressure,
        to_spare=to_spare,
        source=source,
        cautions=(PRESSURE_MOVES,),
    )


def _pressure(resin: str, given: float | None) -> tuple[tuple[float, float], str]:
    if given is not None:
        return (given, given), "pressure as given"
    if not resin:
        raise ImpossibleInput("resin", "blank", "", "is needed where no pressure is given", "name the resin")
    found = known_resin(resin)
    return found.cavity_pressure_mpa, found.pressure_source


def check_clamp(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether the press keeps the tool shut."""
    found = moulding_resin(tool.resin)
    pressure = tool.cavity_pressure_mpa or (found.cavity_pressure_mpa[0] if found else None)
    missing = absent(
        (tool.projected_cm2, "silhouette of the parts", Knows.PART),
        (pressure, f"pressure in the cavity ({tool.resin or 'no resin'} is not on the list)", Knows.RESIN),
        (press.clamp_kn, f"clamp of {press.code}", Knows.PRESS),
        (0.0 if not tool.has_runner else tool.runner_cm2, "silhouette of the runner", Knows.TOOL),
    )
    blocking = tuple(one for one in missing if one.what != "silhouette of the runner")
    if blocking or tool.projected_cm2 is None or press.clamp_kn is None:
        return not_known(FitQuestion.CLAMP, "kN", blocking)
    need = clamp_force(
        tool.projected_cm2,
        runner_cm2=tool.runner_cm2 or 0.0 if tool.has_runner else 0.0,
        resin=tool.resin,
        cavity_pressure_mpa=tool.cavity_pressure_mpa,
    )
    needed, can = (need.low_kn, need.high_kn), (0.0, press.clamp_kn)
    verdict = verdict_between(needed, can)
    if missing and verdict is Verdict.HOLDS:
        verdict = Verdict.NOT_SHOWN
    return FitCheck(
        question=FitQuestion.CLAMP,
        unit="kN",
        needed=needed,
        can=can,
        verdict=verdict,
        margin=margin_between(needed, can),
        words=_words(need, press.clamp_kn),
        advice=_advice(verdict, missing != ()),
        missing=missing,
        source=need.source,
        unusual="far more clamp than it needs" if _is_too_much(need, press.clamp_kn) else "",
        cautions=(*_too_much(need, press.clamp_kn), *need.cautions),
    )


def _words(need: ClampForce, has: float) -> str:
    span = f"{need.low_t:.1f} to {need.high_t:.1f}" if need.high_t > need.low_t else f"{need.low_t:.1f}"
    return (
        f"{need.area_cm2:.4g} cm² need {span} t with {100 * (need.to_spare - 1):.0f} % to spare, "
        f"{has / KN_PER_T:.0f} t are there"
    )


def _advice(verdict: Verdict, runner_missing: bool) -> str:
    if verdict is Verdict.FAILS:
        return "it would flash: a press with more clamp, or fewer cavities filled"
    if verdict is Verdict.NOT_SHOWN and runner_missing:
        return "give the silhouette of the runner, 0 where there is none outside the parts"
    if verdict is Verdict.NOT_SHOWN:
        return "it depends on the pressure in the cavity: fill it short first, raise the hold step by step"
    return ""


def _is_too_much(need: ClampForce, has: float) -> bool:
    return has >= TOO_MUCH * need.high_kn


def _too_much(need: ClampForce, has: float) -> tuple[Caution, ...]:
    if not _is_too_much(need, has):
        return ()
    return (
        Caution(
            f"the press can clamp {has / need.high_kn:.0f} times what is needed: set it down, a full clamp "
            "crushes vents and sinks a small mould into the platen",
            PRACTICE,
        ),
    )

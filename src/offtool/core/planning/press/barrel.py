"""The shot against the barrel: what share it takes, and how long the resin stays hot."""

from __future__ import annotations

from dataclasses import dataclass, replace

from offtool.core.formulas import formula
from offtool.core.planning.bracket import Bracket
from offtool.core.planning.cycle.limits import RESIN, known_resin
from offtool.core.planning.press.check import (
    FitCheck,
    FitQuestion,
    Knows,
    Missing,
    absent,
    margin_between,
    not_known,
    verdict_between,
)
from offtool.core.planning.press.facts import PRESS_LIMITS, TOOL_LIMITS, PressFacts, ToolFacts
from offtool.core.values import Caution, Range, Verdict
from offtool.handbook.defects import PRACTICE
from offtool.handbook.moulding import POLYSTYRENE_MELT_G_CM3, MouldingResin, moulding_resin

USUAL_SHARE = (0.2, 0.8)
PREFERRED_SHARE = (0.3, 0.7)
MOST_SHARE = 0.95
"""Above it nothing is left for cushion and packing; common practice, no source."""
SCREW_HOLDS = 1.4
"""Largest shots that the screw's flights hold; common practice. Only coloured pellets measure it."""
LESS, MORE = 0.8, 1.25
"""The factor is a guess: what it may be off either way; common practice, no source."""

SOURCE = f"barrel rated in polystyrene, converted by the density of the melt; {PRACTICE}"
FROM_PELLETS = Caution(
    "time in the barrel by a guessed inventory of the screw: a few coloured pellets at the throat, and a "
    "watch until the colour comes, measure it",
    PRACTICE,
)
GASES = Caution(
    "this resin comes apart when it stays too long or stands still hot, and what it gives off hurts eyes and "
    "lungs and can spit from the nozzle: know the grade's limits, purge before a break, extraction on; "
    "trained people only",
    PRACTICE,
)

SHOT = Range(
    meaning="shot, all parts and the runner",
    unit="g",
    above=0,
    at_most=100_000,
    usual=(0.2, 10_000),
    source=PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BarrelShare:
    """The shot as a share of what the barrel holds of that resin."""

    share: float
    barrel_holds_g: float
    shot_cm3: float
    """As melt, without pressure."""
    shot_g: float
    barrel_g: float
    resin: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidenceTime:
    """How long the resin stays in the barrel."""

    time_s: float
    minutes: float
    shots_in_barrel: float
    least_s: float | None
    most_s: float | None
    """What the resin bears; None without a resin."""
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"shot_g": SHOT, "barrel_g": PRESS_LIMITS["barrel_g"], "resin": RESIN},
    example={"shot_g": 30.0, "barrel_g": 150.0, "resin": "ABS"},
    source=SOURCE,
)
def barrel_share(shot_g: float, *, barrel_g: float, resin: str) -> BarrelShare:
    """What share of the barrel one shot takes.

    share = shot / (rating in polystyrene x melt density / melt density of polystyrene).

    Returns: BarrelShare. Raises: ImpossibleInput for a resin that is not on the list.

    Holds when: the rating is the largest shot in polystyrene, as sheets give it.

    Example: 30 g of polystyrene in a barrel of 150 g take 20 %.
    """
    found = known_resin(resin)
    holds = barrel_of(found, barrel_g)
    share = shot_g / holds
    return BarrelShare(
        share=share,
        barrel_holds_g=holds,
        shot_cm3=shot_g / found.melt_density_g_cm3,
        shot_g=shot_g,
        barrel_g=barrel_g,
        resin=found.code,
        cautions=_about_share(share),
    )


def barrel_of(resin: MouldingResin, barrel_g: float) -> float:
    """What a barrel rated in polystyrene holds of a resin, g."""
    return barrel_g * resin.melt_density_g_cm3 / POLYSTYRENE_MELT_G_CM3


def _for_its_barrel(share: float) -> str:
    low, high = USUAL_SHARE
    if low <= share <= high:
        return ""
    return f"a {'small' if share < low else 'large'} shot for its barrel"


def _about_share(share: float) -> tuple[Caution, ...]:
    low, high = USUAL_SHARE
    if low <= share <= high:
        return ()
    small = "a small shot: the resin stays long, and the stroke is too short to repeat well"
    large = "a large shot: little time to melt evenly, little left for cushion and packing"
    said = small if share < low else large
    return (Caution(f"{100 * share:.0f} % of the barrel, usual are 20 to 80 %; {said}", PRACTICE),)


@formula(
    limits={
        "shot_g": SHOT,
        "barrel_g": PRESS_LIMITS["barrel_g"],
        "cycle_s": TOOL_LIMITS["cycle_s"],
        "resin": Range(meaning=f"{RESIN.meaning}; blank for polystyrene"),
        "screw_holds": Range(
            meaning="largest shots that the flights of the screw hold",
            above=0,
            at_most=10,
            usual=(1, 2.5),
            source=PRACTICE,
        ),
    },
    example={"shot_g": 30.0, "barrel_g": 150.0, "cycle_s": 35.0, "resin": "ABS"},
    source=SOURCE,
)
def residence_time(
    shot_g: float, *, barrel_g: float, cycle_s: float, resin: str = "", screw_holds: float = SCREW_HOLDS
) -> ResidenceTime:
    """How long the resin stays hot in the barrel, from the throat to the nozzle.

    t = what the barrel holds x 1.4 / shot x cycle.

    Returns: ResidenceTime. Raises: ImpossibleInput for a resin that is not on the list.

    Holds when: the press runs without breaks. A hot runner adds to it.

    Example: barrel 150 g, shot 30 g, cycle 35 s in polystyrene: 4.1 min.
    """
    found = known_resin(resin or "PS")
    shots = barrel_of(found, barrel_g) * screw_holds / shot_g
    least, most = found.residence_s if resin else (None, None)
    time = shots * cycle_s
    return ResidenceTime(
        time_s=time,
        minutes=time / 60,
        shots_in_barrel=shots,
        least_s=least,
        most_s=most,
        cautions=(FROM_PELLETS, *_gases(found)),
    )


def shot_of(tool: ToolFacts) -> float | None:
    """Parts and runner together, g; None where either is not known."""
    runner = tool.runner_g if tool.has_runner else 0.0
    return None if tool.parts_g is None or runner is None else tool.parts_g + runner


def check_shot(press: PressFacts, tool: ToolFacts) -> FitCheck:
    """Whether the shot is in the barrel, with room for a cushion."""
    resin, shot = moulding_resin(tool.resin), shot_of(tool)
    missing = _missing(press, tool, resin)
    if missing or resin is None or shot is None or press.barrel_g is None:
        return not_known(FitQuestion.SHOT, "g", missing)
    found = barrel_share(shot, barrel_g=press.barrel_g, resin=resin.code)
    needed, can = (shot, shot), (0.0, MOST_SHARE * found.barrel_holds_g)
    verdict = verdict_between(needed, can)
    return FitCheck(
        question=FitQuestion.SHOT,
        unit="g",
        needed=needed,
        can=can,
        verdict=verdict,
        margin=margin_between(needed, can),
        words=f"{shot:.3g} g of the {found.barrel_holds_g:.3g} g of {resin.code} that the barrel holds, "
        f"{100 * found.share:.0f} %",
        advice="a larger barrel, or fewer cavities filled" if verdict is Verdict.FAILS else "",
        source=f"{SOURCE}; {resin.melt_source}",
        unusual=_for_its_barrel(found.share),
        cautions=found.cautions,
    )


def check_residence(press: PressFacts, tool: ToolFacts, cycle_s: Bracket | None) -> FitCheck:
    """Whether the resin bears the time that it stays in this barrel."""
    resin, shot = moulding_resin(tool.resin), shot_of(tool)
    missing = (
        *_missing(press, tool, resin),
        *absent((None if cycle_s is None else 0.0, "thickest wall", Knows.PART)),
    )
    if missing or resin is None or shot is None or press.barrel_g is None or cycle_s is None:
        return replace(not_known(FitQuestion.RESIDENCE, "min", missing), cautions=_gases(resin))
    per_s = residence_time(shot, barrel_g=press.barrel_g, cycle_s=1.0, resin=resin.code).time_s
    needed = (cycle_s.low * per_s * LESS / 60, cycle_s.high * per_s * MORE / 60)
    least, most = (one / 60 for one in resin.residence_s)
    verdict = verdict_between(needed, (0.0, most))
    return FitCheck(
        question=FitQuestion.RESIDENCE,
        unit="min",
        needed=needed,
        can=(0.0, most),
        verdict=verdict,
        margin=margin_between(needed, (0.0, most)),
        words=f"{needed[0]:.1f} to {needed[1]:.1f} min at {cycle_s.low:.0f} to {cycle_s.high:.0f} s a cycle, "
        f"{resin.code} bears {most:.0f} min",
        advice=_too_long(verdict),
        source=resin.residence_source,
        unusual="little time to melt" if needed[1] < least else "",
        cautions=(*_short(needed, least), FROM_PELLETS, *_gases(resin)),
    )


def _missing(press: PressFacts, tool: ToolFacts, resin: MouldingResin | None) -> tuple[Missing, ...]:
    return absent(
        (tool.parts_g, "weight of the parts", Knows.PART),
        (tool.runner_g if tool.has_runner else 0.0, "weight of the runner", Knows.TOOL),
        (None if resin is None else 0.0, f"resin ({tool.resin or 'blank'} is not on the list)", Knows.RESIN),
        (press.barrel_g, f"barrel of {press.code}", Knows.PRESS),
    )


def _gases(resin: MouldingResin | None) -> tuple[Caution, ...]:
    """Said whatever else is missing."""
    return (GASES,) if resin is not None and resin.suffers_heat else ()


def _too_long(verdict: Verdict) -> str:
    if verdict is Verdict.HOLDS:
        return ""
    way = "a smaller barrel, a shorter cycle, or lower temperatures at the throat"
    if verdict is Verdict.FAILS:
        return f"the resin would suffer: {way}"
    return f"it may stay too long: measure it with coloured pellets; else {way}"


def _short(needed: tuple[float, float], least: float) -> tuple[Caution, ...]:
    if needed[1] >= least:
        return ()
    return (Caution(f"under {least:.1f} min in the barrel the melt may be uneven", PRACTICE),)

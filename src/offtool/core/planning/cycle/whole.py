"""The whole cycle of a tool: fill, cool, move, take out; and how many parts come off in a minute."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, hypot, log
from types import MappingProxyType
from typing import Literal, TypeAlias

from offtool.core.formulas import formula
from offtool.core.planning.bracket import Bracket, bracket_of
from offtool.core.planning.cycle.closed_form import Criterion
from offtool.core.planning.cycle.limits import LIMITS, RESIN, about_resin, known_resin, refuse_crossed
from offtool.core.planning.cycle.series import plate_series
from offtool.core.values import Caution, Range
from offtool.handbook.defects import PRACTICE
from offtool.handbook.moulding import MouldingResin

TakeOut: TypeAlias = Literal["falls free", "robot", "by hand"]

TAKE_OUT: Mapping[TakeOut, Bracket] = MappingProxyType(
    {
        "falls free": Bracket(low=0.0, usual=0.5, high=1.0),
        "robot": Bracket(low=1.5, usual=3.0, high=6.0),
        "by hand": Bracket(low=4.0, usual=8.0, high=15.0),
    }
)
"""Seconds with the mould open beyond its movement; common practice."""
FILL_S = Bracket(low=0.2, usual=0.6, high=1.5)
"""Filling small parts; common practice."""
DRY_CYCLE_S = Bracket(low=1.5, usual=2.5, high=4.0)
"""Opening and closing of a small press whose dry cycle is not written down; common practice."""
MOVES_LONGER = Bracket(low=1.0, usual=1.3, high=2.0)
"""With a mould in it, ejection and mould protection, against the dry cycle; common practice."""
GATE_OF_WALL = Bracket(low=0.4, usual=0.6, high=0.8)
"""Gate against wall, where it is not given; common practice."""

SOURCE = f"closed form of a plate; handbook of the resin; {PRACTICE}"
TRY_IT = Caution(
    "an estimate before the first shot: step the cooling time down at the press and watch size, warp and "
    "ejection; the trial decides",
    PRACTICE,
)
AT_THE_PRESS = Caution(
    "hot melt and moving platens: guards closed, and only trained people set the times; the rules of the "
    "shop and of the press come first",
    PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleShare:
    """One stretch of the cycle."""

    what: str
    seconds: Bracket
    rests_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleTime:
    """The cycle with its stretches, and parts a minute over all cavities.

    `hold_s` lies inside the cooling: the gate freezes while the part cools.
    """

    cycle_s: Bracket
    parts_per_minute: Bracket
    seconds_a_part: Bracket
    shares: tuple[CycleShare, ...]
    cooling_s: Bracket
    hold_s: Bracket
    melt_c: Bracket
    mould_c: Bracket
    eject_c: Bracket
    wall_mm: float
    resin: str
    cavities: int
    take_out: TakeOut
    words: str
    cautions: tuple[Caution, ...] = ()


def _seconds(meaning: str, most: float, usual: tuple[float, float]) -> Range:
    return Range(meaning=meaning, unit="s", at_least=0, at_most=most, usual=usual, source=PRACTICE)


@formula(
    limits={
        "wall_mm": LIMITS["wall_mm"],
        "resin": RESIN,
        "cavities": Range(
            meaning="cavities that are filled, all parts together",
            at_least=1,
            at_most=512,
            usual=(1, 128),
            source=PRACTICE,
        ),
        "dry_cycle_s": _seconds("dry cycle of the press; blank where it is not known", 120, (0.8, 15)),
        "take_out": Range(meaning="how the parts come out of the open mould"),
        "fill_s": _seconds("time to fill; blank for a usual one", 120, (0.05, 10)),
        "gate_mm": Range(
            meaning="thickness of the gate; blank for a usual share of the wall",
            unit="mm",
            above=0,
            at_most=50,
            usual=(0.2, 5),
            source=PRACTICE,
        ),
        "screw_s": _seconds(
            "time in which the screw takes up the next shot; blank where unknown", 600, (0.5, 60)
        ),
        "melt_c": LIMITS["melt_c"],
        "mould_c": LIMITS["mould_c"],
        "eject_c": LIMITS["eject_c"],
    },
    example={"wall_mm": 1.5, "resin": "ABS", "cavities": 4, "dry_cycle_s": 2.0},
    source=SOURCE,
)
def cycle_time(
    wall_mm: float,
    *,
    resin: str,
    cavities: int = 1,
    dry_cycle_s: float | None = None,
    take_out: TakeOut = "falls free",
    fill_s: float | None = None,
    gate_mm: float | None = None,
    screw_s: float | None = None,
    melt_c: float | None = None,
    mould_c: float | None = None,
    eject_c: float | None = None,
) -> CycleTime:
    """How long one cycle is and how many parts come off in a minute, as ranges.

    cycle = fill + the longer of (cooling, hold + screw) + opening, ejecting and closing + taking out; parts a
    minute = 60 cavities / cycle. Each unknown is moved to its ends alone, and what that does to the cooling
    is joined as the root of the sum of squares of the logarithms.

    Returns: CycleTime. Raises: ImpossibleInput for a resin that is not on the list or temperatures that
    cross.

    Holds when: the thickest wall is given and the press keeps up. A hot pin, a thick runner or a slow screw
    makes it longer.

    Example: four small parts of ABS with walls of 1.5 mm come in about 9 s, a part every two seconds.
    """
    found = known_resin(resin)
    known = {
        "melt_c": _known(melt_c, found.melt_c),
        "mould_c": _known(mould_c, found.mould_c),
        "eject_c": _known(eject_c, found.eject_c),
    }
    refuse_crossed(*(one.usual for one in known.values()))
    cooling = _cooling(wall_mm, found, **known)
    gate = GATE_OF_WALL.times(wall_mm) if gate_mm is None else Bracket.point(gate_mm)
    # both are plates of the same resin: time goes with thickness squared
    hold = Bracket(
        low=cooling.low * (gate.low / wall_mm) ** 2,
        usual=cooling.usual * (gate.usual / wall_mm) ** 2,
        high=cooling.high * (gate.high / wall_mm) ** 2,
    )
    screw = Bracket.point(screw_s or 0.0)
    shares = tuple(_shares(fill_s, cooling, hold.plus(screw), dry_cycle_s, take_out))
    cycle = Bracket.point(0.0)
    for one in shares:
        cycle = cycle.plus(one.seconds)
    rate = Bracket(
        low=60 * cavities / cycle.high, usual=60 * cavities / cycle.usual, high=60 * cavities / cycle.low
    )
    return CycleTime(
        cycle_s=cycle,
        parts_per_minute=rate,
        seconds_a_part=cycle.times(1 / cavities),
        shares=shares,
        cooling_s=cooling,
        hold_s=hold,
        **known,
        wall_mm=wall_mm,
        resin=found.code,
        cavities=cavities,
        take_out=take_out,
        words=_words(cycle, rate),
        cautions=(*_screw(screw_s), TRY_IT, AT_THE_PRESS, *about_resin(found)),
    )


def _known(given: float | None, three: tuple[float, float, float]) -> Bracket:
    return bracket_of(three) if given is None else Bracket.point(given)


def _cooling(
    wall_mm: float, resin: MouldingResin, melt_c: Bracket, mould_c: Bracket, eject_c: Bracket
) -> Bracket:
    """The middle at usual values; the ends by moving one at a time, the mean of the wall instead for less."""
    spreads = bracket_of(resin.diffusivity_mm2_s)

    def seconds(
        melt: float, mould: float, eject: float, spread: float, by: Criterion = "centreline"
    ) -> float:
        share = (eject - mould) / (melt - mould)
        # ends that cross are no ends: nearly cold, and nearly at once
        share = min(max(share, 0.02), 0.98)
        return plate_series()[by].fourier(share) * wall_mm**2 / spread

    usual = (melt_c.usual, mould_c.usual, eject_c.usual, spreads.usual)
    middle = seconds(*usual)
    quick = (melt_c.low, mould_c.low, eject_c.high, spreads.high)
    slow = (melt_c.high, mould_c.high, eject_c.low, spreads.low)
    faster = [middle / seconds(*_moved(usual, i, quick[i])) for i in range(4)]
    slower = [seconds(*_moved(usual, i, slow[i])) / middle for i in range(4)]
    by_mean = middle / seconds(*usual, "average")
    return Bracket(
        low=middle * exp(-hypot(*map(log, (*faster, by_mean)))),
        usual=middle,
        high=middle * exp(hypot(*map(log, slower))),
    )


def _moved(
    values: tuple[float, float, float, float], i: int, end: float
) -> tuple[float, float, float, float]:
    one, other, third, fourth = (end if i == j else value for j, value in enumerate(values))
    return one, other, third, fourth


def _shares(
    fill_s: float | None, cooling: Bracket, hold: Bracket, dry_cycle_s: float | None, take_out: TakeOut
) -> Iterator[CycleShare]:
    fill = FILL_S if fill_s is None else Bracket.point(fill_s)
    yield CycleShare(what="fill", seconds=fill, rests_on=PRACTICE if fill_s is None else "given")
    longer = (
        "cooling, the hold in it"
        if cooling.usual >= hold.usual
        else "hold and screw: they outlast the cooling"
    )
    yield CycleShare(
        what=longer, seconds=cooling.at_least(hold), rests_on="closed form, handbook of the resin"
    )
    dry = DRY_CYCLE_S if dry_cycle_s is None else MOVES_LONGER.times(dry_cycle_s)
    said = (
        f"no dry cycle is written down: {PRACTICE}" if dry_cycle_s is None else f"dry cycle {dry_cycle_s:g} s"
    )
    yield CycleShare(what="open, eject, close", seconds=dry, rests_on=said)
    yield CycleShare(what=f"take out: {take_out}", seconds=TAKE_OUT[take_out], rests_on=PRACTICE)


def _screw(screw_s: float | None) -> tuple[Caution, ...]:
    if screw_s is not None:
        return ()
    return (
        Caution("how fast the screw takes up the next shot is not known: it is taken to keep up", PRACTICE),
    )


def _words(cycle: Bracket, rate: Bracket) -> str:
    return (
        f"about {cycle.usual:.0f} s a cycle ({cycle.low:.0f} to {cycle.high:.0f}), {rate.usual:.0f} parts a "
        f"minute ({rate.low:.0f} to {rate.high:.0f})"
    )

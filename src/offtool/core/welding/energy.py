"""What it takes to melt a seam: heat, the welder's energy, power and time, each as an order of magnitude."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, ImpossibleInput, Range, nearest
from offtool.core.welding.cautions import AT_THE_WELDER
from offtool.core.welding.seam import RESIN
from offtool.handbook.defects import PRACTICE
from offtool.handbook.weld_resins import HEAT, WELD_RESINS, Ease, WeldResin, weld_resin

ROOM_C = 23.0
LEAST_EFFICIENCY, MOST_EFFICIENCY = 0.1, 0.6
"""Share of the welder's energy that ends as heat in what melts; common practice, no source."""
USUAL_TIME_S = Span(low=0.1, high=1.0)
"""A weld usually takes so long; common practice, also the range a public handbook prints."""
ORDER_OF_MAGNITUDE = Caution(
    "an order of magnitude, from handbook heat and a guessed efficiency: for choosing a welder, not for "
    "setting one",
    PRACTICE,
)

_EFFICIENCY = Range(
    meaning="share of the welder's energy that ends in the melt",
    above=0,
    at_most=1,
    usual=(0.02, 0.9),
    source=PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldEnergy:
    """Heat in the melt, what the welder must give, and over the usual time the mean power.

    `time_s` is how long it takes at the mean power that was given; None where none was.
    """

    mass_mg: Span
    heat_j: Span
    energy_j: Span
    power_w: Span
    time_s: Span | None
    words: str
    melt_mm3: float
    resin: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "melt_mm3": Range(
            meaning="volume that melts, as of ridge_melt",
            unit="mm³",
            at_least=0,
            at_most=1e6,
            usual=(0, 3_000),
            source=PRACTICE,
            remedy="give it in mm³",
        ),
        "resin": RESIN,
        "power_w": Range(
            meaning="mean power that the welder shows; blank where it is not known",
            unit="W",
            above=0,
            at_most=100_000,
            usual=(10, 6_000),
            source=PRACTICE,
        ),
        "room_c": Range(
            meaning="temperature of the parts before", unit="°C", at_least=-50, at_most=100, usual=(10, 40)
        ),
        "least_efficiency": _EFFICIENCY,
        "most_efficiency": _EFFICIENCY,
    },
    example={"melt_mm3": 19.2, "resin": "ABS", "power_w": 300.0},
    source=f"heat balance; {HEAT}; efficiency {PRACTICE}",
)
def weld_energy(
    melt_mm3: float,
    *,
    resin: str,
    power_w: float | None = None,
    room_c: float = ROOM_C,
    least_efficiency: float = LEAST_EFFICIENCY,
    most_efficiency: float = MOST_EFFICIENCY,
) -> WeldEnergy:
    """What energy it takes to melt the ridge, and what power or time that means, as a wide range.

    E = V density (cp (T_melt - T_room) + heat of fusion) / efficiency; P = E / time, with 0.1 to 1 s; where
    the power is known, time = E / P.

    Returns: WeldEnergy, ranges only. Raises: ImpossibleInput for a resin that is not on the list, or
    efficiencies that cross.

    Holds when: it is used to tell a small welder from a large one. Heat that stays in walls, nest and horn is
    in the efficiency.

    Example: 19.2 mm³ of ABS at 1.05 g/cm³ are 20 mg; at 1.7 J/gK over 180 K that is 6 J of heat.
    """
    found = _known(resin)
    if least_efficiency > most_efficiency:
        limit = f"must not be above the most, {most_efficiency:g}"
        raise ImpossibleInput("least_efficiency", least_efficiency, "", limit, "swap them")
    # 1 mm³ of 1 g/cm³ is 1 mg
    mass = Span(low=melt_mm3 * found.density_g_cm3[0], high=melt_mm3 * found.density_g_cm3[1])
    specific = heat_to_melt(found, room_c)
    heat = Span(low=mass.low / 1000 * specific.low, high=mass.high / 1000 * specific.high)
    energy = Span(low=heat.low / most_efficiency, high=heat.high / least_efficiency)
    time = None if power_w is None else Span(low=energy.low / power_w, high=energy.high / power_w)
    return WeldEnergy(
        mass_mg=mass,
        heat_j=heat,
        energy_j=energy,
        power_w=Span(low=energy.low / USUAL_TIME_S.high, high=energy.high / USUAL_TIME_S.low),
        time_s=time,
        words=_words(energy, time),
        melt_mm3=melt_mm3,
        resin=found.code,
        cautions=(*_about_resin(found), *_about_time(time), ORDER_OF_MAGNITUDE, *AT_THE_WELDER),
    )


def heat_to_melt(resin: WeldResin, room_c: float = ROOM_C) -> Span:
    """Heat from room temperature into the melt, J/g."""
    return Span(
        low=resin.specific_heat_j_gk[0] * (resin.melt_c[0] - room_c) + resin.fusion_j_g[0],
        high=resin.specific_heat_j_gk[1] * (resin.melt_c[1] - room_c) + resin.fusion_j_g[1],
    )


def _known(resin: str) -> WeldResin:
    found = weld_resin(resin)
    if found is None:
        remedy = nearest(resin.upper(), WELD_RESINS)
        raise ImpossibleInput("resin", resin or "blank", "", "its heat is not on the list", remedy)
    return found


def _words(energy: Span, time: Span | None) -> str:
    if energy.high == 0:
        return "nothing is there to melt"
    said = f"{_rough(energy.low)} to {_rough(energy.high)} J from the welder, in order of magnitude"
    return said if time is None else f"{said}; {_rough(time.low)} to {_rough(time.high)} s at that power"


def _rough(value: float) -> str:
    """One digit: more would pretend to know."""
    return f"{float(f'{value:.1g}'):g}"


def _about_resin(resin: WeldResin) -> tuple[Caution, ...]:
    if resin.ease is not Ease.NOT:
        return ()
    return (Caution(f"{resin.name} ({resin.code}) is not welded by ultrasound in practice", PRACTICE),)


def _about_time(time: Span | None) -> tuple[Caution, ...]:
    if time is None or time.high == 0:
        return ()
    if time.low > USUAL_TIME_S.high:
        return (Caution("longer than seams usually take: more power, or less to melt", PRACTICE),)
    if time.high < USUAL_TIME_S.low:
        return (Caution("shorter than a welder can set: less power, or check the sizes", PRACTICE),)
    return ()

"""How long a wall cools, with heat that changes with temperature, two unlike halves and imperfect contact."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from offtool.core.formulas import formula
from offtool.core.planning.cycle.closed_form import WARMEST, Criterion
from offtool.core.planning.cycle.conduction import Moment, WallInMould, cool, places_mm
from offtool.core.planning.cycle.limits import LIMITS, RESIN, about_resin, known_resin, refuse_crossed
from offtool.core.planning.cycle.wall_heat import WallHeat, heat_of, refuse_points, tables
from offtool.core.values import Caution, OfftoolError, Range
from offtool.handbook.defects import PRACTICE

SHOWN_AT = (0.0, 0.02, 0.1, 0.3, 0.6, 1.0)
"""Shares of the time at which the wall is drawn."""
MOST_MOMENTS = 5_000
SOURCE = "conservation of energy in one direction, solved by finite volumes; resin: handbook"

CONTACT = Range(
    meaning="how well heat passes from the part into this half; blank for perfect contact",
    unit="W/m²K",
    above=0,
    at_most=1e7,
    usual=(300, 50_000),
    source=PRACTICE,
    remedy="some thousands under pressure, some hundreds once the part has shrunk away",
)
PERFECT = Caution(
    "contact is taken as perfect: a part that shrinks from the steel cools more slowly; give the contact "
    "where that matters",
    PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallProfile:
    """Temperatures through the wall at one time, from the skin at the first half to the other."""

    time_s: float
    temperature_c: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallCooling:
    """The time until the wall can be pushed out, the wall as it cools, and where its heat went."""

    time_s: float
    places_mm: tuple[float, ...]
    profiles: tuple[WallProfile, ...]
    hottest_at_mm: float
    """From the first half, where the wall is warmest at the end."""
    first_half_kj_m2: float
    second_half_kj_m2: float
    """Heat that each half took up, per square metre of wall."""
    wall_mm: float
    melt_c: float
    first_half_c: float
    second_half_c: float
    eject_c: float
    first_contact_w_m2k: float | None
    second_contact_w_m2k: float | None
    criterion: Criterion
    heat: WallHeat
    cautions: tuple[Caution, ...] = ()

    @property
    def share_into_first(self) -> float:
        """Of the heat, what the first half took."""
        return self.first_half_kj_m2 / (self.first_half_kj_m2 + self.second_half_kj_m2)


@formula(
    limits={
        "wall_mm": LIMITS["wall_mm"],
        "resin": RESIN,
        "melt_c": LIMITS["melt_c"],
        "first_half_c": LIMITS["mould_c"],
        "second_half_c": LIMITS["mould_c"],
        "eject_c": LIMITS["eject_c"],
        "first_contact_w_m2k": CONTACT,
        "second_contact_w_m2k": CONTACT,
        "criterion": WARMEST,
    },
    example={
        "wall_mm": 2.0,
        "resin": "ABS",
        "melt_c": 235.0,
        "first_half_c": 50.0,
        "second_half_c": 60.0,
        "eject_c": 90.0,
    },
    source=SOURCE,
)
def cooling_time_unequal(
    wall_mm: float,
    *,
    resin: str,
    melt_c: float,
    first_half_c: float,
    second_half_c: float,
    eject_c: float,
    first_contact_w_m2k: float | None = None,
    second_contact_w_m2k: float | None = None,
    criterion: Criterion = "centreline",
) -> WallCooling:
    """How long a wall of a resin cools between two halves that need not be alike.

    density dH/dt = d/dx (k dT/dx), with k and H of the temperature and the heat of fusion in H; at each skin
    k dT/dx = contact (T - T_steel).

    Returns: WallCooling, with the temperature through the wall at some times. Raises: ImpossibleInput for a
    resin that is not on the list, or an ejection temperature not above the warmer half.

    Holds when: the wall is much wider than thick, and both halves hold their temperatures. "centreline" asks
    for the warmest place, wherever it lies.

    Example: with one half 10 °C warmer the warmest place moves towards it, and that half takes less heat.
    """
    found = known_resin(resin)
    return cool_wall(
        wall_mm,
        heat_of(found),
        melt_c=melt_c,
        halves_c=(first_half_c, second_half_c),
        eject_c=eject_c,
        contacts_w_m2k=(first_contact_w_m2k, second_contact_w_m2k),
        criterion=criterion,
        cautions=about_resin(found),
    )


def cool_wall(
    wall_mm: float,
    heat: WallHeat,
    *,
    melt_c: float,
    halves_c: tuple[float, float],
    eject_c: float,
    contacts_w_m2k: tuple[float | None, float | None] = (None, None),
    criterion: Criterion = "centreline",
    cautions: tuple[Caution, ...] = (),
) -> WallCooling:
    """The same for any heat: a grade whose points are known, or one diffusivity."""
    refuse_points(heat)
    refuse_crossed(melt_c, max(halves_c), eject_c)
    first, second = ((1 / one if one is not None else 0.0) for one in contacts_w_m2k)
    wall = WallInMould(wall_mm=wall_mm, steel_c=halves_c, hinders=(first, second))
    table = tables(heat, min(halves_c), melt_c)
    moments: list[Moment] = []
    for moment in cool(wall, melt_c, table):
        moments.append(moment)
        if _measure(moment, criterion) < eject_c:
            break
        if len(moments) > MOST_MOMENTS:
            raise OfftoolError("the wall does not cool", remedy="compare the contact with the usual range")
    time = _crossing(moments[-2], moments[-1], criterion, eject_c, max(halves_c))
    last = _between(moments[-2], moments[-1], time)
    return WallCooling(
        time_s=time,
        places_mm=tuple(places_mm(wall_mm).tolist()),
        profiles=tuple(_profile(moments, share * time) for share in SHOWN_AT),
        hottest_at_mm=_hottest(last, wall_mm),
        first_half_kj_m2=last.given_off[0] / 1000,
        second_half_kj_m2=last.given_off[1] / 1000,
        wall_mm=wall_mm,
        melt_c=melt_c,
        first_half_c=halves_c[0],
        second_half_c=halves_c[1],
        eject_c=eject_c,
        first_contact_w_m2k=contacts_w_m2k[0],
        second_contact_w_m2k=contacts_w_m2k[1],
        criterion=criterion,
        heat=heat,
        cautions=(*cautions, *((PERFECT,) if None in contacts_w_m2k else ())),
    )


def _measure(moment: Moment, criterion: Criterion) -> float:
    cells = moment.temperature[1:-1]
    return float(cells.max() if criterion == "centreline" else cells.mean())


def _crossing(before: Moment, after: Moment, criterion: Criterion, eject_c: float, steel_c: float) -> float:
    """When the temperature passes: there the difference to the warmer steel falls like an exponential."""
    high, low = _measure(before, criterion) - steel_c, _measure(after, criterion) - steel_c
    asked = eject_c - steel_c
    share = log(high / asked) / log(high / low) if low > 0 else (high - asked) / (high - low)
    return before.time_s + share * (after.time_s - before.time_s)


def _between(before: Moment, after: Moment, time: float) -> Moment:
    share = (time - before.time_s) / (after.time_s - before.time_s)
    first, second = (
        one + share * (other - one) for one, other in zip(before.given_off, after.given_off, strict=True)
    )
    return Moment(
        time,
        before.temperature + share * (after.temperature - before.temperature),
        before.enthalpy + share * (after.enthalpy - before.enthalpy),
        (first, second),
    )


def _profile(moments: list[Moment], time: float) -> WallProfile:
    times = np.array([one.time_s for one in moments])
    after = min(max(int(np.searchsorted(times, time)), 1), len(moments) - 1)
    found = _between(moments[after - 1], moments[after], time)
    return WallProfile(time_s=time, temperature_c=tuple(found.temperature.tolist()))


def _hottest(moment: Moment, wall_mm: float) -> float:
    """The top of the parabola through the warmest cell and its neighbours."""
    heat, at = moment.temperature, places_mm(wall_mm)
    top = int(heat.argmax())
    if not 1 < top < len(heat) - 2:
        return float(at[top])
    bend = heat[top - 1] - 2 * heat[top] + heat[top + 1]
    aside = (heat[top - 1] - heat[top + 1]) / (2 * bend) if bend < 0 else 0.0
    return float(at[top] + aside * (at[top + 1] - at[top]))

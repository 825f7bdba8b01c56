"""What a resin holds and carries as heat, as tables that the solver reads: enthalpy and conduction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput
from offtool.handbook.moulding import MouldingResin, Points

Array = NDArray[np.float64]

PEAK_WIDTH_C = 6.0
"""Standard deviation of the peak in which the heat of fusion is given off; practice of cooling curves."""
STEP_C = 0.5
"""Between the rows of the tables: a twelfth of the narrowest peak."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallHeat:
    """Density in g/cm³, conductivity and heat capacity as points over °C, and the heat of fusion."""

    density_g_cm3: float
    conductivity_w_mk: Points
    heat_capacity_j_gk: Points
    fusion_j_g: float = 0.0
    crystallises_c: float | None = None

    def diffusivity_mm2_s(self, low_c: float, high_c: float) -> float:
        """The mean between two temperatures, the heat of fusion in it."""
        table = tables(self, low_c, high_c)
        carried = table.conduction[-1] - table.conduction[0]
        held = table.enthalpy[-1] - table.enthalpy[0]
        return float(carried / held * 1e6)


@dataclass(frozen=True, slots=True)
class HeatTables:
    """Over temperature: enthalpy in J/m³ and the integral of conductivity in W/m, both rising."""

    temperature: Array
    enthalpy: Array
    conduction: Array
    temperature_slope: Array
    """Of temperature over enthalpy, row to row."""
    conduction_slope: Array

    def rows(self, enthalpy: Array) -> NDArray[np.intp]:
        """The row below each enthalpy; the first or last beyond the ends."""
        found = np.searchsorted(self.enthalpy, enthalpy) - 1
        return np.minimum(np.maximum(found, 0), len(self.enthalpy) - 2)


def heat_of(resin: MouldingResin) -> WallHeat:
    """The heat of a resin family. Its density stays between those of the melt and of the part."""
    return WallHeat(
        density_g_cm3=sqrt(resin.density_g_cm3 * resin.melt_density_g_cm3),
        conductivity_w_mk=resin.conductivity_w_mk,
        heat_capacity_j_gk=resin.heat_capacity_j_gk,
        fusion_j_g=resin.fusion_j_g,
        crystallises_c=resin.crystallises_c,
    )


def constant_heat(diffusivity_mm2_s: float, *, conductivity_w_mk: float = 0.18) -> WallHeat:
    """A material of one diffusivity at every temperature, as the closed forms take it."""
    # a = k / (density cp): with mm²/s, W/mK and g/cm³ the powers of ten cancel
    return WallHeat(
        density_g_cm3=1.0,
        conductivity_w_mk=((0.0, conductivity_w_mk),),
        heat_capacity_j_gk=((0.0, conductivity_w_mk / diffusivity_mm2_s),),
    )


def tables(heat: WallHeat, low_c: float, high_c: float) -> HeatTables:
    """The tables between the coldest steel and the melt, enthalpy counted from the coldest."""
    rows = max(round((high_c - low_c) / STEP_C), 8) + 1
    temperature = np.linspace(low_c, high_c, rows)
    conductivity = _over(heat.conductivity_w_mk, temperature)
    capacity = _over(heat.heat_capacity_j_gk, temperature)
    volume = heat.density_g_cm3 * 1e6  # g/m³
    enthalpy = volume * (_integral(capacity, temperature) + heat.fusion_j_g * _frozen(heat, temperature))
    conduction = _integral(conductivity, temperature)
    rise = np.diff(enthalpy)
    return HeatTables(
        temperature, enthalpy, conduction, np.diff(temperature) / rise, np.diff(conduction) / rise
    )


def refuse_points(heat: WallHeat) -> None:
    """Points in rising order, nothing of it nothing. Raises: ImpossibleInput."""
    for name, points in (
        ("conductivity_w_mk", heat.conductivity_w_mk),
        ("heat_capacity_j_gk", heat.heat_capacity_j_gk),
    ):
        if not points or not _rises([at for at, _ in points]):
            raise ImpossibleInput(
                name, "points", "", "must be pairs of temperature and value", "in rising order"
            )
        for _, value in points:
            if not value > 0:
                raise ImpossibleInput(name, value, "", "must be above 0", "look at the sheet of the grade")
    if not heat.density_g_cm3 > 0:
        raise ImpossibleInput("density_g_cm3", heat.density_g_cm3, "g/cm³", "must be above 0")


def _rises(values: Sequence[float]) -> bool:
    return all(one < other for one, other in pairwise(values))


def _over(points: Points, temperature: Array) -> Array:
    at, value = zip(*points, strict=True)
    found: Array = np.interp(temperature, at, value)
    return found


def _integral(values: Array, over: Array) -> Array:
    steps = np.diff(over) * (values[1:] + values[:-1]) / 2
    return np.concatenate([[0.0], np.cumsum(steps)])


def _frozen(heat: WallHeat, temperature: Array) -> Array:
    """Share of the heat of fusion that is taken up below each temperature: a normal peak, summed."""
    if heat.crystallises_c is None or not heat.fusion_j_g:
        return np.zeros_like(temperature)
    from scipy.special import ndtr

    share: Array = np.asarray(ndtr((temperature - heat.crystallises_c) / PEAK_WIDTH_C))
    taken: Array = share - share[0]
    return taken

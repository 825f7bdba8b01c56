"""A wall cooling between two unlike halves, beside lines in time by scipy on the same cells."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from benchmarks.figures import Figure
from benchmarks.tasks import seconds

WALL_MM, RESIN, FIRST_C, SECOND_C, MORE_S = 2.5, "POM", 85.0, 95.0, 40.0
"""Acetal gives off heat of fusion as it sets: the hardest of the list. The baseline stops by itself."""


def cool() -> float:
    """The whole result: time, profiles, and where the heat went."""
    from offtool.core.planning.cycle import cooling_time_unequal

    return cooling_time_unequal(
        WALL_MM, resin=RESIN, melt_c=205.0, first_half_c=FIRST_C, second_half_c=SECOND_C, eject_c=115.0
    ).time_s


def cool_plain() -> float:
    """The baseline: temperature by lines in time, scipy's BDF with the band given, until the same event."""
    from scipy.integrate import solve_ivp
    from scipy.sparse import diags_array

    from offtool.core.planning.cycle.conduction import CELLS
    from offtool.core.planning.cycle.wall_heat import PEAK_WIDTH_C, heat_of
    from offtool.handbook.moulding import MOULDING_RESINS

    heat, width = heat_of(MOULDING_RESINS[RESIN]), WALL_MM / 1000 / CELLS
    k_at, k = map(np.array, zip(*heat.conductivity_w_mk, strict=True))
    c_at, c = map(np.array, zip(*heat.heat_capacity_j_gk, strict=True))
    apart = np.full(CELLS + 1, width)
    apart[[0, -1]] /= 2
    peak = heat.fusion_j_g / PEAK_WIDTH_C / np.sqrt(2 * np.pi)

    def rate(_: float, t: np.ndarray) -> np.ndarray:
        capacity = np.interp(t, c_at, c)
        capacity += peak * np.exp(-(((t - (heat.crystallises_c or 0)) / PEAK_WIDTH_C) ** 2) / 2)
        around = np.concatenate([[FIRST_C], t, [SECOND_C]])
        flow = np.interp((around[1:] + around[:-1]) / 2, k_at, k) * np.diff(around) / apart
        return np.asarray(np.diff(flow) / width / (capacity * heat.density_g_cm3 * 1e6))

    def is_out(_: float, t: np.ndarray) -> float:
        return float(t.max() - 115.0)

    is_out.terminal = True  # type: ignore[attr-defined]
    band = diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(CELLS, CELLS))
    start = np.full(CELLS, 205.0)
    found = solve_ivp(rate, (0, MORE_S), start, method="BDF", events=is_out, jac_sparsity=band)
    return float(found.t[-1])


def wall_cooling(folder: Path) -> Iterator[Figure]:
    """Best of 9, after one run that imports; the two times agree to a few per cent."""
    apart = abs(cool() / cool_plain() - 1)
    if apart > 0.05:
        raise SystemExit(f"the wall and its baseline are {100 * apart:.0f} % apart")
    took, plain = (min(seconds(work) for _ in range(9)) for work in (cool, cool_plain))
    yield Figure(
        what=f"a wall of {WALL_MM:g} mm {RESIN} between unlike halves", value=took, unit="s", goal=0.05,
        beside="scipy solve_ivp, BDF", baseline=plain,
    )  # fmt: skip

"""The wall in steps: against the closed series, lines in time by scipy, and the balance of its heat."""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from offtool.core.planning.cycle.closed_form import Criterion, cooling_time_plate
from offtool.core.planning.cycle.conduction import WallInMould, cool, places_mm
from offtool.core.planning.cycle.series import plate_roots
from offtool.core.planning.cycle.transient import WallCooling, cool_wall, cooling_time_unequal
from offtool.core.planning.cycle.wall_heat import PEAK_WIDTH_C, WallHeat, constant_heat, heat_of, tables
from offtool.core.values import ImpossibleInput
from offtool.handbook.moulding import MOULDING_RESINS
from tests.core.laws import law
from tests.labels import independent

PLAIN = constant_heat(0.085)


def cooled(wall_mm: float = 2.0, heat: WallHeat = PLAIN, **changed: Any) -> WallCooling:
    told: dict[str, Any] = {"melt_c": 230.0, "halves_c": (50.0, 50.0), "eject_c": 90.0}
    return cool_wall(wall_mm, heat, **{**told, **changed})


@pytest.mark.parametrize("criterion", get_args(Criterion))
@pytest.mark.parametrize("eject_c", [70.0, 90.0, 140.0])
def test_with_one_diffusivity_it_is_the_closed_series(criterion: Criterion, eject_c: float) -> None:
    closed = cooling_time_plate(
        2.0, melt_c=230.0, mould_c=50.0, eject_c=eject_c, diffusivity_mm2_s=0.085, criterion=criterion
    )
    found = cooled(eject_c=eject_c, criterion=criterion)
    assert found.time_s == independent(closed.time_s, way="Carslaw and Jaeger's series", rel=2e-3)


@pytest.mark.parametrize("contact", [200.0, 1_000.0, 10_000.0])
def test_with_poor_contact_it_is_the_plate_that_gives_off_heat(contact: float) -> None:
    """The roots of z tan z = Bi; the conductivity is that of `constant_heat`."""
    biot = contact * 0.001 / PLAIN.conductivity_w_mk[0][1]
    found = cooled(contacts_w_m2k=(contact, contact))
    fourier = found.time_s * 0.085 / 1.0**2
    left = sum(factor * np.exp(-(root**2) * fourier) for root, factor in plate_roots(biot, 8))
    assert left == independent(40 / 180, way="temperature asked at ejection", rel=3e-3)


def lines_in_time(
    heat: WallHeat, wall_mm: float, melt_c: float, halves_c: tuple[float, float], end_s: float
) -> float:
    """The warmest place at the end by lines in time: our own cells, scipy's BDF, k and cp written anew."""
    cells = 80
    width = wall_mm / 1000 / cells
    k_at, k = map(np.array, zip(*heat.conductivity_w_mk, strict=True))
    c_at, c = map(np.array, zip(*heat.heat_capacity_j_gk, strict=True))

    def rate(_: float, t: np.ndarray) -> np.ndarray:
        capacity = np.interp(t, c_at, c)
        if heat.crystallises_c is not None:
            off = (t - heat.crystallises_c) / PEAK_WIDTH_C
            capacity = capacity + heat.fusion_j_g * np.exp(-(off**2) / 2) / PEAK_WIDTH_C / np.sqrt(2 * np.pi)
        around = np.concatenate([[halves_c[0]], t, [halves_c[1]]])
        apart = np.full(cells + 1, width)
        apart[[0, -1]] /= 2
        flow = np.interp((around[1:] + around[:-1]) / 2, k_at, k) * np.diff(around) / apart
        return np.diff(flow) / width / (capacity * heat.density_g_cm3 * 1e6)

    start, band = (
        np.full(cells, melt_c),
        diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(cells, cells)),
    )
    found = solve_ivp(rate, (0, end_s), start, method="BDF", rtol=1e-6, atol=1e-4, jac_sparsity=band)
    return float(found.y[:, -1].max())


@pytest.mark.parametrize("code", ["ABS", "PC", "PP", "POM"])
def test_with_heat_that_changes_it_is_what_lines_in_time_give(code: str) -> None:
    resin = MOULDING_RESINS[code]
    mould, eject, melt = resin.mould_c[1], resin.eject_c[1], resin.melt_c[1]
    found = cool_wall(2.0, heat_of(resin), melt_c=melt, halves_c=(mould, mould + 10), eject_c=eject)
    warmest = lines_in_time(heat_of(resin), 2.0, melt, (mould, mould + 10), found.time_s)
    assert eject - mould == independent(
        warmest - mould, way="method of lines, scipy BDF, 80 cells", rel=0.012
    )


@law(
    examples=15,
    code=st.sampled_from(sorted(MOULDING_RESINS)),
    wall=st.floats(0.5, 6),
    apart=st.floats(0, 20),
    contact=st.none() | st.floats(100, 20_000),
)
def test_no_heat_is_lost(code: str, wall: float, apart: float, contact: float | None) -> None:
    """What both halves took is what the wall no longer holds, to rounding."""
    resin = MOULDING_RESINS[code]
    steel = (resin.mould_c[0], resin.mould_c[0] + apart)
    table = tables(heat_of(resin), min(steel), resin.melt_c[1])
    hinders = (1 / contact if contact else 0.0, 0.0)
    for moment, _ in zip(
        cool(WallInMould(wall_mm=wall, steel_c=steel, hinders=hinders), resin.melt_c[1], table),
        range(40),
        strict=False,
    ):
        gone = (table.enthalpy[-1] - moment.mean_enthalpy) * wall / 1000
        assert sum(moment.given_off) == pytest.approx(gone, rel=1e-6, abs=1e-3)


@law(examples=15, first=st.floats(30, 60), second=st.floats(30, 60), contact=st.floats(300, 20_000))
def test_turned_around_it_is_the_same_wall(first: float, second: float, contact: float) -> None:
    one = cooled(halves_c=(first, second), contacts_w_m2k=(contact, None))
    other = cooled(halves_c=(second, first), contacts_w_m2k=(None, contact))
    assert one.time_s == pytest.approx(other.time_s, rel=1e-6)
    assert one.first_half_kj_m2 == pytest.approx(other.second_half_kj_m2, rel=1e-6)
    assert one.hottest_at_mm == pytest.approx(2.0 - other.hottest_at_mm, abs=1e-6)


@law(examples=10, wall=st.floats(0.5, 5), times=st.floats(1.2, 4))
def test_time_goes_with_the_wall_squared(wall: float, times: float) -> None:
    heat = heat_of(MOULDING_RESINS["PP"])
    assert cooled(wall * times, heat).time_s == pytest.approx(cooled(wall, heat).time_s * times**2, rel=1e-6)


def test_a_side_that_lets_nothing_through_makes_half_of_a_wall_twice_as_thick() -> None:
    shut = cooled(2.0, contacts_w_m2k=(None, 1e-3))
    assert shut.time_s == pytest.approx(cooled(4.0).time_s, rel=2e-3)
    assert shut.hottest_at_mm == pytest.approx(2.0, abs=0.06)
    assert shut.share_into_first > 0.9999


def test_a_contact_that_is_very_good_is_perfect() -> None:
    assert cooled(contacts_w_m2k=(1e7, 1e7)).time_s == pytest.approx(cooled().time_s, rel=1e-3)


@law(examples=15, contact=st.floats(200, 20_000), less=st.floats(1.1, 5))
def test_worse_contact_is_never_sooner(contact: float, less: float) -> None:
    good, poor = cooled(contacts_w_m2k=(contact, None)), cooled(contacts_w_m2k=(contact / less, None))
    assert poor.time_s >= good.time_s * (1 - 1e-4)


def test_the_warmest_place_moves_towards_the_warmer_half_which_takes_less() -> None:
    found = cooled(halves_c=(50.0, 65.0))
    assert found.hottest_at_mm > 1.02
    assert found.share_into_first > 0.505
    assert found.time_s > cooled().time_s


def test_heat_of_fusion_takes_longer_to_carry_away() -> None:
    resin = MOULDING_RESINS["POM"]
    with_it = heat_of(resin)
    without = WallHeat(
        density_g_cm3=with_it.density_g_cm3,
        conductivity_w_mk=resin.conductivity_w_mk,
        heat_capacity_j_gk=resin.heat_capacity_j_gk,
    )
    told = {"melt_c": 205.0, "halves_c": (90.0, 90.0), "eject_c": 115.0}
    assert cooled(2.0, with_it, **told).time_s > 1.2 * cooled(2.0, without, **told).time_s


def test_the_tables_hold_the_heat_that_is_written_down() -> None:
    resin = MOULDING_RESINS["PP"]
    table = tables(heat_of(resin), 20.0, 230.0)
    at, capacity = map(np.array, zip(*resin.heat_capacity_j_gk, strict=True))
    fine = np.linspace(20.0, 230.0, 200_001)
    by_hand = float(np.interp(fine, at, capacity).mean()) * 210.0 + resin.fusion_j_g
    volume = heat_of(resin).density_g_cm3 * 1e6
    assert table.enthalpy[-1] / volume == independent(
        by_hand, way="fine sum of cp, and the heat of fusion", rel=1e-4
    )


def test_profiles_start_at_the_melt_end_at_ejection_and_only_cool() -> None:
    found = cooled()
    assert found.places_mm == tuple(places_mm(2.0).tolist())
    assert found.profiles[0].temperature_c == pytest.approx([230.0] * len(found.places_mm))
    assert max(found.profiles[-1].temperature_c) == pytest.approx(90.0, abs=0.3)
    for before, after in zip(found.profiles[1:], found.profiles[2:], strict=False):
        assert all(
            late <= early + 1e-6
            for early, late in zip(before.temperature_c, after.temperature_c, strict=True)
        )


@pytest.mark.parametrize("cells", [21, 81])
def test_cells_hardly_matter(cells: int) -> None:
    """Of the warmest place after eight seconds, half as many or twice as many cells."""
    table = tables(PLAIN, 50.0, 230.0)
    wall = WallInMould(wall_mm=2.0, steel_c=(50.0, 50.0), hinders=(0.0, 0.0))

    def warmest(cells: int) -> float:
        times, hot = zip(
            *(
                (m.time_s, m.temperature.max())
                for m, _ in zip(cool(wall, 230.0, table, cells=cells), range(60), strict=False)
            ),
            strict=True,
        )
        return float(np.interp(8.0, times, hot))

    assert warmest(cells) == pytest.approx(warmest(41), rel=0.005)


@pytest.mark.parametrize(
    ("changed", "argument"),
    [
        ({"resin": "XYZ"}, "resin"),
        ({"second_half_c": 95.0}, "eject_c"),
        ({"first_contact_w_m2k": 0.0}, "first_contact_w_m2k"),
        ({"wall_mm": 0.0}, "wall_mm"),
    ],
)
def test_what_cannot_be_is_refused_by_name(changed: dict[str, Any], argument: str) -> None:
    told = {
        "wall_mm": 2.0,
        "resin": "ABS",
        "melt_c": 235.0,
        "first_half_c": 50.0,
        "second_half_c": 60.0,
        "eject_c": 90.0,
    }
    with pytest.raises(ImpossibleInput) as refused:
        cooling_time_unequal(**{**told, **changed})
    assert refused.value.argument == argument


@pytest.mark.parametrize("points", [(), ((50.0, 1.0), (20.0, 1.0)), ((20.0, 0.0),)])
def test_points_that_are_no_heat_are_refused(points: tuple[tuple[float, float], ...]) -> None:
    flawed = WallHeat(density_g_cm3=1.0, conductivity_w_mk=points, heat_capacity_j_gk=((20.0, 1.0),))
    with pytest.raises(ImpossibleInput, match="conductivity_w_mk"):
        cooled(2.0, flawed)

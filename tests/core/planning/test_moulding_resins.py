"""What the handbook says of resins at the press, against what public tables print."""

from __future__ import annotations

import pytest

from offtool.core.planning.cycle.wall_heat import heat_of
from offtool.handbook.moulding import MOULDING_RESINS, MPA_PER_T_CM2, MouldingResin, moulding_resin
from offtool.handbook.resins import RESINS
from tests.labels import practice, published

PRINTED_F = {
    "ABS": ((390, 540), (100, 180)),
    "POM": ((380, 430), (180, 220)),
    "PMMA": ((420, 510), (150, 200)),
    "PE-HD": ((360, 525), (60, 110)),
    "PE-LD": ((360, 525), (60, 110)),
    "PS-HI": ((400, 475), (60, 180)),
    "PA6": ((460, 550), (160, 220)),
    "PA66": ((520, 580), (160, 240)),
    "PC": ((520, 610), (150, 225)),
    "PP": ((400, 500), (70, 120)),
    "PC+ABS": ((486, 562), (140, 210)),
    "TPU": ((350, 500), (60, 175)),
}
"""Melt and mould in °F as a public table of processing guidelines prints them; TPU as its row TPE."""
MORE_C = 15.0
"""Our ends are rounded, and the table is one of several."""
EVERY = pytest.mark.parametrize("resin", MOULDING_RESINS.values(), ids=lambda one: one.code)


def in_c(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize("code", PRINTED_F)
def test_usual_melt_and_mould_lie_inside_the_printed_ranges(code: str) -> None:
    found = MOULDING_RESINS[code]
    for three, (low, high) in zip((found.melt_c, found.mould_c), PRINTED_F[code], strict=True):
        assert in_c(low) <= three[1] <= in_c(high)
        assert in_c(low) - MORE_C <= three[0]
        assert three[2] <= in_c(high) + MORE_C


def test_polypropylene_holds_the_heat_that_a_handbook_prints() -> None:
    source = "Martienssen, Warlimont, Handbook of Condensed Matter and Materials Data, table 3.3-6"
    heat = dict(MOULDING_RESINS["PP"].heat_capacity_j_gk)
    assert heat[20] == published("1.68", source=source)
    assert heat[50] == published("1.92", source=source)
    assert heat[100] == published("2.35", source=source)
    assert dict(MOULDING_RESINS["PP"].conductivity_w_mk)[20] == published("0.22", source=source)


@pytest.mark.parametrize(
    ("code", "printed"), [("ABS", "0.40"), ("PS-HI", "0.35"), ("PC", "0.50"), ("POM", "0.45")]
)
def test_the_most_of_the_cavity_pressure_is_that_of_the_trade(code: str, printed: str) -> None:
    assert MOULDING_RESINS[code].cavity_pressure_mpa[1] / MPA_PER_T_CM2 == practice(printed)


@EVERY
def test_threes_rise_and_a_part_leaves_between_mould_and_melt(resin: MouldingResin) -> None:
    for three in (resin.melt_c, resin.mould_c, resin.eject_c, resin.diffusivity_mm2_s):
        assert three[0] < three[1] < three[2]
    assert resin.mould_c[2] < resin.eject_c[0]
    assert resin.eject_c[2] < resin.melt_c[0]
    assert resin.residence_s[0] < resin.residence_s[1]
    assert resin.cavity_pressure_mpa[0] < resin.cavity_pressure_mpa[1]


@EVERY
def test_a_melt_is_lighter_than_its_solid_more_so_where_it_crystallises(resin: MouldingResin) -> None:
    lighter = resin.melt_density_g_cm3 / resin.density_g_cm3
    assert 0.76 < lighter < 0.95
    if resin.crystallises_c is not None:
        assert lighter < 0.9
        assert resin.mould_c[2] < resin.crystallises_c < resin.melt_c[0]


@EVERY
def test_the_diffusivity_of_closed_forms_agrees_with_heat_and_conductivity(resin: MouldingResin) -> None:
    """Two rows of the handbook that were written apart: the mean from ejection to melt, within a third."""
    mean = heat_of(resin).diffusivity_mm2_s(resin.eject_c[1], resin.melt_c[1])
    assert resin.diffusivity_mm2_s[1] == pytest.approx(mean, rel=0.34)


@pytest.mark.parametrize("one", RESINS, ids=lambda one: one.code)
def test_every_resin_of_the_shrinkage_table_is_known_at_the_press(one: object) -> None:
    code, density = one.code, one.density_g_cm3  # type: ignore[attr-defined]
    found = moulding_resin(code.lower())
    assert found is not None
    assert found.density_g_cm3 == pytest.approx(density, rel=0.02)
    assert (found.crystallises_c is not None) is one.semi_crystalline  # type: ignore[attr-defined]


def test_a_resin_that_is_not_on_the_list_is_not_guessed() -> None:
    assert moulding_resin("UNOBTAINIUM") is None

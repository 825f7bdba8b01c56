"""What resins want at the welder: the table agrees with itself and with what is known of the resins."""

from __future__ import annotations

import pytest

from offtool.handbook.resins import RESINS
from offtool.handbook.weld_resins import PAIRS, WELD_RESINS, Ease, Pairing, pairing, weld_resin
from tests.labels import published, remembered

FULLY_CRYSTALLINE_J_G = {"PE-HD": "293", "PP": "207", "POM": "326", "PA66": "255", "PET": "140", "PBT": "145"}
MELTS_AT_C = {
    "PE-HD": "130",
    "PP": "165",
    "POM": "175",
    "PA6": "220",
    "PA66": "260",
    "PBT": "223",
    "PET": "255",
}


@pytest.mark.parametrize("code", WELD_RESINS)
def test_every_range_runs_upwards_and_only_soft_pvc_has_no_amplitude(code: str) -> None:
    one = WELD_RESINS[code]
    for low, high in (one.density_g_cm3, one.specific_heat_j_gk, one.melt_c, one.amplitude_um or (1, 2)):
        assert 0 < low < high
    assert (one.amplitude_um is None) == (one.ease is Ease.NOT) == (code == "PVC-P")
    assert one.source
    assert one.amplitude_source
    assert one.heat_source


@pytest.mark.parametrize("code", WELD_RESINS)
def test_only_semi_crystalline_resins_take_heat_of_fusion_and_they_swallow_sound(code: str) -> None:
    one = WELD_RESINS[code]
    assert (one.fusion_j_g[1] > 0) is one.semi_crystalline
    if one.semi_crystalline:
        assert not one.far_field
        assert one.wants_sharp_ridge


@pytest.mark.parametrize("one", RESINS, ids=lambda one: one.code)
def test_it_agrees_with_the_handbook_of_shrinkage(one) -> None:  # type: ignore[no-untyped-def]
    found = WELD_RESINS[one.code]
    assert found.semi_crystalline is one.semi_crystalline
    assert found.density_g_cm3[0] <= one.density_g_cm3 <= found.density_g_cm3[1]


@pytest.mark.parametrize(
    ("code", "printed", "monomer_g_mol", "row"),
    [
        ("PP", "68.99", 42.0797, "isotactic polypropylene, 298.15 K, Grebowicz, Lau et al. 1984"),
        ("PE-HD", "25.9", 14.027, "polyethylene, 298.15 K, Steele 1978, per CH2"),
    ],
)
def test_the_mean_specific_heat_is_not_below_that_of_the_crystal_at_room_temperature(
    code: str, printed: str, monomer_g_mol: float, row: str
) -> None:
    """Specific heat grows with temperature; NIST prints it at 25 °C."""
    room = published(printed, source=f"NIST Chemistry WebBook, {row}").value / monomer_g_mol
    low, high = WELD_RESINS[code].specific_heat_j_gk
    assert room <= low < high < 2 * room


@pytest.mark.parametrize("code", FULLY_CRYSTALLINE_J_G)
def test_a_moulding_takes_a_part_of_the_heat_of_fusion_of_the_whole_crystal(code: str) -> None:
    whole = remembered(FULLY_CRYSTALLINE_J_G[code], source="heats of fusion of full crystals, J/g").value
    low, high = WELD_RESINS[code].fusion_j_g
    assert 0.15 * whole < low < high < 0.85 * whole


@pytest.mark.parametrize("code", MELTS_AT_C)
def test_the_melt_is_not_colder_than_where_the_crystals_melt(code: str) -> None:
    point = remembered(MELTS_AT_C[code], source="melting points of polymer handbooks, °C").value
    low, high = WELD_RESINS[code].melt_c
    assert point - 11 <= low <= point + 11 < high


def test_pairs_are_of_listed_resins_and_unlike() -> None:
    for pair in PAIRS:
        assert len(pair) == 2
        assert pair <= set(WELD_RESINS)


def test_like_welds_to_like_and_acetal_only_to_itself() -> None:
    for code, one in WELD_RESINS.items():
        assert pairing(code, code) is (None if one.ease is Ease.NOT else Pairing.SAME)
    others = set(WELD_RESINS) - {"POM", "PVC-P"}
    assert {pairing("POM", other) for other in others} == {Pairing.NO}


def test_pairing_does_not_ask_which_part_is_on_top() -> None:
    for one in WELD_RESINS:
        for other in WELD_RESINS:
            assert pairing(one, other) is pairing(other, one)
    assert pairing("abs", " PMMA ") is Pairing.USUAL


def test_what_is_not_listed_is_not_guessed() -> None:
    assert weld_resin("ABX") is None
    assert pairing("ABS", "ABX") is None
    assert pairing("ABS", "PVC-P") is None

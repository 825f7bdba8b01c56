"""The cut that centres a size: shop examples, the direction table, the allowance, the round trip."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.correction import shrinkage, steel_cut
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice


def test_pom_is_cut_by_two_per_cent_more_than_it_misses() -> None:
    """Part 3.94 on steel of 4.02, target 4.00: 0.06 / (1 - 0.0199) = 0.0612."""
    found = shrinkage(4.02, 3.94).value
    cut = steel_cut(3.94, 4.00, shrinkage=found, step_mm=0.001, allowance_mm=0.2)
    assert cut.amount_mm == practice("0.061")
    assert cut.full_amount_mm == independent(0.06 * 4.02 / 3.94, way="by hand: (C / P) (target - P)")
    assert cut.amount_mm / 0.06 == pytest.approx(1.02, abs=0.005)


def test_abs_is_cut_by_half_a_per_cent_more_than_it_misses() -> None:
    cut = steel_cut(19.90, 20.00, shrinkage=0.005, step_mm=0.0001)
    assert cut.full_amount_mm == independent(0.1 / 0.995, way="by hand")
    assert cut.amount_mm == independent(0.1005, way="by hand, to the step")


@pytest.mark.parametrize(
    ("feature", "factor", "too", "removes"),
    [
        ("outside size, formed by the cavity", 1.0, "small", True),
        ("outside size, formed by the cavity", 1.0, "large", False),
        ("bore, formed by a core pin, on diameter", -1.0, "large", True),
        ("bore, formed by a core pin, on diameter", -1.0, "small", False),
        ("bore, formed by a core pin, per side", -2.0, "large", True),
        ("wall or rib, formed by a recess", 1.0, "small", True),
        ("slot, formed by a blade", -1.0, "large", True),
        ("depth of a recess, formed by the core's height", -1.0, "large", True),
        ("diameter, cavity stated per side", 2.0, "small", True),
    ],
)
def test_steel_off_moves_the_part_as_the_direction_table_says(
    feature: str, factor: float, too: str, removes: bool
) -> None:
    """Removing steel adds plastic: what a cavity forms grows, what a core forms shrinks (trade practice)."""
    part, shrunk = (3.90 if too == "small" else 4.10), 0.005
    cut = steel_cut(part, 4.00, shrinkage=shrunk, factor=factor, step_mm=0.001)
    assert (cut.amount_mm > 0) is removes, feature
    assert abs(cut.amount_mm) == pytest.approx(0.1 / abs(factor) / 0.995, abs=0.0005)
    assert cut.part_after_mm == pytest.approx(4.00, abs=abs(factor) * 0.0005)
    assert bool(cut.cautions) is not removes


def test_a_core_pin_a_millimetre_slimmer_a_side_makes_the_bore_two_smaller_less_shrinkage() -> None:
    cut = steel_cut(10.0, 10.0 - 2 * 0.982, shrinkage=0.018, factor=-2.0)
    assert cut.amount_mm == independent(1.0, way="by hand")
    assert cut.part_change_mm == independent(-2 * 0.982, way="by hand")


sizes = st.floats(0.5, 200)
shrinkages = st.floats(-0.02, 0.15)
factors = st.sampled_from([-2.0, -1.0, -0.5, 0.5, 1.0, 2.0])
steps = st.sampled_from([0.001, 0.005, 0.01, 0.02, 0.03])


@law(part=sizes, off=st.floats(-0.4, 0.4), shrunk=shrinkages, factor=factors, step=steps, examples=200)
def test_the_full_cut_lands_on_target_within_half_a_step(
    part: float, off: float, shrunk: float, factor: float, step: float
) -> None:
    """Cut, mould again with the same shrinkage, measure."""
    steel = part / (1 - shrunk)
    target = part + off
    cut = steel_cut(part, target, shrinkage=shrunk, factor=factor, step_mm=step)
    moulded = (steel + factor * cut.amount_mm) * (1 - shrunk)
    assert moulded == pytest.approx(cut.part_after_mm, abs=1e-9)
    assert abs(moulded - target) <= abs(factor) * (1 - shrunk) * step / 2 * (1 + 1e-6) + 1e-9
    assert cut.amount_mm / step == pytest.approx(round(cut.amount_mm / step), abs=1e-6)


@law(
    part=sizes,
    off=st.floats(-0.4, 0.4),
    shrunk=shrinkages,
    factor=factors,
    step=steps,
    allowance=st.floats(0, 0.5),
    examples=200,
)
def test_the_allowance_is_never_passed(
    part: float, off: float, shrunk: float, factor: float, step: float, allowance: float
) -> None:
    free = steel_cut(part, part + off, shrinkage=shrunk, factor=factor, step_mm=step)
    held = steel_cut(part, part + off, shrinkage=shrunk, factor=factor, step_mm=step, allowance_mm=allowance)
    assert held.amount_mm <= allowance + 1e-9
    assert held.limited is (free.amount_mm > allowance + 1e-9)
    if held.limited:
        assert allowance - held.amount_mm < step + 1e-9
        assert any("allowance ends" in str(one) for one in held.cautions)
    else:
        assert held.amount_mm == free.amount_mm


@pytest.mark.parametrize("amount", [0.01, 0.03, 0.07, 0.14, 0.28, 0.29, 0.55, 0.57, 0.58])
def test_an_allowance_that_just_suffices_does_not_limit(amount: float) -> None:
    """7 steps of 0.01 are 0.07000000000000001 to a computer; that is no reason for a caution."""
    cut = steel_cut(4.0, 4.0 + amount, shrinkage=0.0, allowance_mm=amount)
    assert not cut.limited
    assert cut.amount_mm == pytest.approx(amount)
    assert cut.cautions == ()


@law(part=sizes, off=st.floats(-0.4, 0.4), shrunk=shrinkages, factor=factors)
def test_a_core_is_the_mirror_of_a_cavity(part: float, off: float, shrunk: float, factor: float) -> None:
    one = steel_cut(part, part + off, shrinkage=shrunk, factor=factor, step_mm=0.001)
    other = steel_cut(part, part + off, shrinkage=shrunk, factor=-factor, step_mm=0.001)
    assert other.amount_mm == pytest.approx(-one.amount_mm)
    assert other.part_after_mm == pytest.approx(one.part_after_mm)


def test_a_centred_size_is_left_alone() -> None:
    cut = steel_cut(4.0, 4.0, shrinkage=0.005)
    assert (cut.amount_mm, cut.part_change_mm, cut.limited, cut.cautions) == (0.0, 0.0, False, ())


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"factor": 0.0}, "factor = 0.0 mm/mm: must not be zero; this feature does not move this size"),
        ({"shrinkage": 0.5}, "shrinkage = 0.5: must be below 0.2; give a fraction, not per cent"),
        ({"step_mm": 0.0}, "step_mm = 0.0 mm: must be above 0"),
        ({"allowance_mm": -0.1}, "allowance_mm = -0.1 mm: must be at least 0"),
        ({"part_mm": 0.0}, "part_mm = 0.0 mm: must be above 0"),
    ],
)
def test_the_impossible_is_refused_in_words(given: dict[str, float], said: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        steel_cut(**{"part_mm": 3.9, "target_mm": 4.0, "shrinkage": 0.005, **given})
    assert str(refused.value) == said


def test_unusual_shrinkage_is_answered_with_its_source() -> None:
    cut = steel_cut(3.9, 4.0, shrinkage=0.08)
    assert [(str(one), one.source) for one in cut.cautions] == [
        (
            "shrinkage = 0.08 lies outside the usual 0 to 0.05",
            "ranges of public shrinkage tables, soft PVC and PE included",
        ),
    ]

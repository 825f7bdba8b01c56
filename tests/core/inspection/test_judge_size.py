"""The judgement of a size: every branch, degenerate data, laws. How often it errs: test_verdict_errors."""

from __future__ import annotations

from math import inf, isnan

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.inspection import (
    CavityFinding,
    Conformity,
    SizeFinding,
    cavity_spreads,
    judge_size,
    mean_interval,
    parts_to_show,
    performance_index,
)
from offtool.core.values import ImpossibleInput, Verdict
from tests.core.laws import law

PATTERN = np.array([-1.0, 0.5, 1.0, -0.5, 0.0, 1.5, -1.5, 0.8, -0.8, 0.0])


def parts(mean: float, sd: float, count: int = 10) -> list[float]:
    """Exactly this mean and standard deviation."""
    shape = np.resize(PATTERN, count)
    shape = (shape - shape.mean()) / shape.std(ddof=1)
    return (mean + sd * shape).tolist()


def judged(*cavities: list[float], **asked: float | None) -> SizeFinding:
    """A size against 3.98 to 4.03, or as asked; cavity 1 first."""
    limits: dict[str, float | None] = {"lower": 3.98, "upper": 4.03, "gauge_uncertainty": 0.0, **asked}
    return judge_size(
        [value for cavity in cavities for value in cavity],
        [str(i) for i, cavity in enumerate(cavities, 1) for _ in cavity],
        **limits,  # type: ignore[arg-type]
    )


def only(finding: SizeFinding) -> CavityFinding:
    """The one cavity of a finding."""
    (cavity,) = finding.cavities
    return cavity


@pytest.mark.parametrize(
    ("mean", "sd", "verdict"),
    [
        (4.005, 0.002, Verdict.HOLDS),  # index 4.2
        (4.005, 0.005, Verdict.NOT_SHOWN),  # index 1.67, ten parts
        (4.005, 0.015, Verdict.FAILS),  # index 0.56: its upper bound stays below
        (4.028, 0.002, Verdict.FAILS),  # off centre
        (4.035, 0.002, Verdict.FAILS),  # the mean itself outside
    ],
)
def test_with_a_required_index(mean: float, sd: float, verdict: Verdict) -> None:
    finding = judged(parts(mean, sd), required_index=1.33)
    assert finding.verdict is verdict
    index = only(finding).index
    assert index is not None
    assert (index.low >= 1.33) is (verdict is Verdict.HOLDS)
    assert (index.high < 1.33) is (verdict is Verdict.FAILS)


@pytest.mark.parametrize(
    ("readings", "verdict", "outside", "unsure"),
    [
        ([4.00, 4.01], Verdict.HOLDS, 0, 0),
        ([4.00, 4.031], Verdict.NOT_SHOWN, 0, 1),  # guard band 0.0033 at u 0.002
        ([4.00, 4.029], Verdict.NOT_SHOWN, 0, 1),
        ([4.00, 4.034], Verdict.FAILS, 1, 0),
        ([3.97, 4.029, 4.034], Verdict.FAILS, 2, 1),
    ],
)
def test_without_one_every_reading_counts(
    readings: list[float], verdict: Verdict, outside: int, unsure: int
) -> None:
    finding = judged(readings, gauge_uncertainty=0.002)
    assert finding.verdict is verdict
    assert (only(finding).parts_outside, only(finding).parts_unsure) == (outside, unsure)
    assert finding.inside_so_far is (outside == 0)
    assert finding.parts_needed is None


def test_the_verdict_is_that_of_the_worst_cavity() -> None:
    good, open_, bad = parts(4.005, 0.002), parts(4.0195, 0.002), parts(4.04, 0.002)  # alike in spread
    assert judged(good, good, required_index=1.33).verdict is Verdict.HOLDS
    assert judged(good, open_, required_index=1.33).verdict is Verdict.NOT_SHOWN
    assert judged(good, open_, bad, required_index=1.33).verdict is Verdict.FAILS


def test_a_cavity_shows_mean_spread_offset_interval_and_index() -> None:
    readings = parts(4.010, 0.004, 7)
    cavity = only(judged(readings, required_index=1.33))
    alone = mean_interval(readings)
    index = performance_index(alone.mean, alone.sd, 7, lower=3.98, upper=4.03)
    assert cavity.parts == 7
    assert cavity.mean == pytest.approx(4.010)
    assert cavity.offset == pytest.approx(0.005)
    assert [cavity.interval.low, cavity.interval.high] == pytest.approx(
        [alone.interval.low, alone.interval.high]
    )
    assert cavity.index is not None
    assert [cavity.index.value, cavity.index.low, cavity.index.high] == pytest.approx(
        [index.value, index.low, index.high]
    )


def test_alike_cavities_are_judged_by_the_pooled_spread() -> None:
    finding = judged(parts(4.00, 0.004), parts(4.01, 0.005), required_index=1.33)
    pooled = ((0.004**2 + 0.005**2) / 2) ** 0.5
    assert finding.spread_pooled
    assert [cavity.sd for cavity in finding.cavities] == pytest.approx([pooled] * 2)
    index = performance_index(4.00, pooled, 10, lower=3.98, upper=4.03, degrees_of_freedom=18)
    assert finding.cavities[0].index is not None
    assert finding.cavities[0].index.low == pytest.approx(index.low)


def test_what_is_open_says_how_many_parts_would_show_it() -> None:
    """The worst open cavity stands at 1.6; alike cavities share their spread."""
    one = judged(parts(4.005, 0.025 / 3 / 1.6), required_index=1.33)
    assert one.parts_needed == parts_to_show(1.6, 1.33).parts
    two = judged(parts(4.005, 0.025 / 3 / 1.6), parts(4.005, 0.025 / 3 / 1.6), required_index=1.33)
    assert two.parts_needed == parts_to_show(1.6, 1.33, cavities=2).parts


def test_parts_are_not_asked_for_where_they_cannot_help() -> None:
    below = judged(parts(4.005, 0.025 / 3 / 1.2, 8), required_index=1.33)
    assert below.verdict is Verdict.NOT_SHOWN
    assert below.parts_needed is None
    assert judged(parts(4.005, 0.002), required_index=1.33).parts_needed is None


@pytest.mark.parametrize(
    ("limits", "target"),
    [
        ({}, 4.005),
        ({"target": 4.0}, 4.0),
        ({"upper": None}, 3.98),
        ({"lower": None}, 4.03),
    ],
)
def test_the_target_is_the_middle_unless_given(limits: dict[str, float | None], target: float) -> None:
    finding = judged(parts(4.01, 0.002), **limits)
    assert finding.target == pytest.approx(target)
    assert only(finding).offset == pytest.approx(4.01 - target)


@pytest.mark.parametrize("limit", ["lower", "upper"])
def test_one_limit_alone_is_judged(limit: str) -> None:
    other = {"lower": "upper", "upper": "lower"}[limit]
    good = judged(parts(4.005, 0.002), required_index=1.33, **{other: None})
    bad = judged(parts(3.97 if limit == "lower" else 4.04, 0.002), required_index=1.33, **{other: None})
    assert (good.verdict, bad.verdict) == (Verdict.HOLDS, Verdict.FAILS)


def test_one_part_shows_no_index() -> None:
    finding = judged([4.005], required_index=1.33)
    cavity = only(finding)
    assert finding.verdict is Verdict.NOT_SHOWN
    assert isnan(cavity.sd)
    assert cavity.index is None
    assert (cavity.interval.low, cavity.interval.high) == (-inf, inf)
    assert cavity.conformity is Conformity.UNSURE
    assert finding.parts_needed is None


def test_one_part_outside_does_not_hold() -> None:
    """Of parts whose size shows 1.33, three in a hundred thousand lie outside: one seen there is proof."""
    assert judged([4.05], required_index=1.33).verdict is Verdict.FAILS


def test_the_mean_of_one_part_is_not_proven_inside_by_the_gauge_alone() -> None:
    """The gauge says where this part lies; where the mean of all parts lies, one part cannot say."""
    assert only(judged([4.005], gauge_uncertainty=0.001)).conformity is Conformity.UNSURE


def test_equal_parts_show_no_index_and_say_so() -> None:
    finding = judged([4.005] * 6, required_index=1.33)
    assert finding.verdict is Verdict.NOT_SHOWN
    assert only(finding).index is None
    assert "all values are equal: the gauge is too coarse to see the spread" in map(str, finding.cautions)


def test_equal_parts_inside_hold_where_only_that_is_asked() -> None:
    assert judged([4.005] * 6).verdict is Verdict.HOLDS
    assert judged([4.04] * 6).verdict is Verdict.FAILS


def test_a_cavity_of_one_part_beside_others_borrows_their_spread() -> None:
    finding = judged(parts(4.005, 0.002), [4.005], required_index=1.0)
    assert finding.cavities[1].index is not None
    assert finding.cavities[1].index.degrees_of_freedom == 9


def cautions(finding: SizeFinding) -> list[str]:
    return [str(caution) for caution in finding.cautions]


def test_nothing_is_cautioned_against_where_all_is_well() -> None:
    assert cautions(judged(parts(4.005, 0.002), gauge_resolution=0.001, required_index=1.33)) == []


@pytest.mark.parametrize(
    ("readings", "asked", "said"),
    [
        (parts(4.005, 0.002, 4), {}, "only 4 parts in a cavity: fewer than 5 say little"),
        ([4.005], {}, "only 1 part in a cavity: fewer than 5 say little"),
        (parts(4.005, 0.002), {"gauge_uncertainty": None}, "no gauge study: the gauge is taken as exact"),
        (
            parts(4.005, 0.002),
            {"gauge_resolution": 0.01},
            "gauge resolution 0.01 is coarser than a tenth of the tolerance 0.05",
        ),
        (
            parts(4.005, 0.002),
            {"required_index": 2.5},
            "required_index = 2.5 lies outside the usual 0.67 to 2",
        ),
    ],
)
def test_what_a_good_engineer_would_say(
    readings: list[float], asked: dict[str, float | None], said: str
) -> None:
    assert said in cautions(judged(readings, **asked))


def test_a_reading_without_a_cavity_is_judged_with_a_caution() -> None:
    finding = judge_size(parts(4.005, 0.002), [""] * 10, lower=3.98, upper=4.03, gauge_uncertainty=0.0)
    assert [cavity.cavity for cavity in finding.cavities] == [""]
    assert "cavity not recorded: a bad cavity cannot be told from spread" in cautions(finding)


def test_a_tenth_of_the_tolerance_is_fine_enough() -> None:
    """Also where the tolerance is a difference of two binary fractions."""
    for lower, upper, resolution in ((3.98, 4.08, 0.01), (0.1, 0.4, 0.03), (1.1, 1.2, 0.01)):
        finding = judged(
            parts((lower + upper) / 2, 0.001), lower=lower, upper=upper, gauge_resolution=resolution
        )
        assert not any("coarser" in said for said in cautions(finding)), (lower, upper)


@law(
    mean=st.floats(3.95, 4.06),
    sd=st.floats(0.0005, 0.02),
    count=st.integers(2, 12),
    uncertainty=st.floats(0, 0.01),
    required=st.sampled_from([None, 1.0, 1.33]),
)
def test_mirrored_it_is_judged_the_same(
    mean: float, sd: float, count: int, uncertainty: float, required: float | None
) -> None:
    readings = parts(mean, sd, count)
    one = judged(readings, gauge_uncertainty=uncertainty, required_index=required)
    other = judged(
        [-value for value in readings],
        lower=-4.03,
        upper=-3.98,
        gauge_uncertainty=uncertainty,
        required_index=required,
    )
    assert one.verdict is other.verdict
    assert only(one).conformity is only(other).conformity


@law(
    mean=st.floats(3.95, 4.06),
    sd=st.floats(0.0005, 0.02),
    scale=st.sampled_from([0.1, 1 / 25.4, 1000.0]),
    seed=st.integers(0, 99),
)
def test_unit_and_order_do_not_matter(mean: float, sd: float, scale: float, seed: int) -> None:
    readings = parts(mean, sd)
    one = judged(readings, required_index=1.33, gauge_uncertainty=0.001)
    mixed = np.random.default_rng(seed).permutation(readings)
    other = judged(
        (scale * mixed).tolist(),
        required_index=1.33,
        gauge_uncertainty=0.001 * scale,
        lower=3.98 * scale,
        upper=4.03 * scale,
    )
    assert one.verdict is other.verdict
    assert only(one).index is not None
    assert only(other).index is not None
    assert only(other).index.low == pytest.approx(only(one).index.low, abs=1e-6)  # type: ignore[union-attr]


@law(readings=st.lists(st.floats(3.9, 4.1), min_size=1, max_size=12), uncertainty=st.floats(0.0001, 0.02))
def test_a_worse_gauge_never_turns_open_into_shown(readings: list[float], uncertainty: float) -> None:
    sharp, blunt = (judged(readings, gauge_uncertainty=u).verdict for u in (uncertainty, 2 * uncertainty))
    assert blunt in (sharp, Verdict.NOT_SHOWN)


@pytest.mark.parametrize(
    ("values", "cavities", "limits", "argument"),
    [
        ([], [], {"lower": 1.0}, "cavities"),
        ([4.0], ["1", "2"], {"lower": 1.0}, "cavities"),
        ([4.0], ["1"], {}, "limits"),
        ([4.0], ["1"], {"lower": 2.0, "upper": 1.0}, "lower"),
        ([4.0], ["1"], {"lower": 1.0, "gauge_resolution": 0.0}, "gauge_resolution"),
        ([4.0], ["1"], {"lower": 1.0, "required_index": 0.0}, "required_index"),
        ([4.0, float("nan")], ["1", "1"], {"lower": 1.0}, "values"),
    ],
)
def test_the_impossible_is_refused_by_name(
    values: list[float], cavities: list[str], limits: dict[str, float], argument: str
) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        judge_size(values, cavities, **limits)  # type: ignore[arg-type]
    assert refused.value.argument == argument


@pytest.mark.parametrize("count", [3, 5, 6, 7, 10])
@pytest.mark.parametrize("reading", [3.991, 3.997, 4.003, 4.007, 4.011, 4.013])
def test_equal_parts_have_no_spread_whatever_their_binary_fractions(reading: float, count: int) -> None:
    """The mean of equal numbers is not always that number to the last bit: that is no spread."""
    assert cavity_spreads([reading] * count, ["1"] * count).sd == 0
    finding = judged([reading] * count, required_index=1.33)
    assert only(finding).sd == 0
    assert finding.verdict is Verdict.NOT_SHOWN
    assert "all values are equal: the gauge is too coarse to see the spread" in map(str, finding.cautions)


def test_an_index_holds_only_where_the_gauge_can_show_the_mean_inside() -> None:
    """A gauge uncertain by ten tolerances shows nothing, however little its readings scatter."""
    values = [4.000, 4.001, 3.999, 4.000, 4.001, 3.999, 4.000, 4.001, 3.999, 4.000]
    asked = {"lower": 3.975, "upper": 4.025, "required_index": 1.33}
    good = judge_size(values, ["1"] * 10, **asked, gauge_uncertainty=0.001)
    blind = judge_size(values, ["1"] * 10, **asked, gauge_uncertainty=0.5)
    assert (good.verdict, blind.verdict) == (Verdict.HOLDS, Verdict.NOT_SHOWN)
    assert blind.parts_needed is None


def test_a_size_that_holds_by_pooling_alone_says_what_pooling_overlooks() -> None:
    rng = np.random.default_rng(4)
    spread = np.repeat([0.0040, 0.0030, 0.0030, 0.0030], 5)
    values = 4.0 + spread * np.tile([-1.2, -0.5, 0.0, 0.6, 1.1], 4) * rng.uniform(0.98, 1.02, 20)
    cavities = [label for label in "1234" for _ in range(5)]
    found = judge_size(
        values, cavities, lower=3.975, upper=4.025, required_index=1.33, gauge_uncertainty=0.0005
    )
    assert (found.verdict, found.spread_pooled) == (Verdict.HOLDS, True)
    assert any("not by each cavity's own: 5 parts of each" in caution.text for caution in found.cautions)
    many = judge_size(
        np.tile(values, 6),
        cavities * 6,
        lower=3.975,
        upper=4.025,
        required_index=1.33,
        gauge_uncertainty=0.0005,
    )
    assert not any("not by each cavity's own" in caution.text for caution in many.cautions)

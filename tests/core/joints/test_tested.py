"""Joints before and after a test: other ways to the same numbers, verdicts, laws, degenerate readings."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import optimize, stats

from offtool.core.joints.limit_shown import LimitShown
from offtool.core.joints.tested import Change, TestsCompared, compare_tests, judge_droop
from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict
from tests.core.laws import law
from tests.labels import independent, practice, remembered

FRESH = np.array([0.081, 0.088, 0.079, 0.090, 0.085])
AGED = np.array([0.063, 0.070, 0.060, 0.072, 0.066])
NAMES = ["1", "2", "3", "4", "5"]


def compared(
    after: np.ndarray = AGED, names: list[str] | None = None, before: np.ndarray = FRESH, **asked: float
) -> TestsCompared:
    own = [str(i + 1) for i in range(before.size)]
    return compare_tests(
        np.concatenate([before, after]),
        ["fresh"] * before.size + ["aged"] * after.size,
        [*own, *(own if names is None else names)],
        **asked,  # type: ignore[arg-type]
    )


def change(found: TestsCompared) -> Change:
    one = found.conditions[1].change
    assert one is not None
    return one


def ends(one: Change) -> list[float]:
    assert one.interval is not None
    return [one.interval.low, one.interval.high]


def roots(chance: Callable[[float], float], ratio: float) -> list[float]:
    """Where a two-sided chance falls to 5 %, as changes in per cent."""

    def excess(r: float) -> float:
        return chance(r) - 0.05

    low, high = optimize.brentq(excess, ratio - 0.4, ratio), optimize.brentq(excess, ratio, ratio + 0.4)
    return [100 * (low - 1), 100 * (high - 1)]


def test_the_change_of_the_same_pieces_is_what_a_paired_t_test_does_not_refuse() -> None:
    found = change(compared())
    ratio = AGED.mean() / FRESH.mean()
    assert found.by_piece
    assert found.change_pct == independent(100 * (ratio - 1), way="ratio of the means, by hand")
    assert ends(found) == independent(
        roots(lambda r: float(stats.ttest_rel(AGED, r * FRESH).pvalue), ratio),
        way="roots of scipy.stats.ttest_rel over the ratio",
        rel=1e-8,
    )


def test_the_change_of_other_pieces_is_what_a_t_test_of_unequal_spreads_does_not_refuse() -> None:
    after = np.array([0.060, 0.075, 0.052, 0.081, 0.066, 0.071])
    found = change(compared(after, [f"a{i}" for i in range(6)]))
    ratio = after.mean() / FRESH.mean()
    top, bottom = after.var(ddof=1) / 6, FRESH.var(ddof=1) / 5
    freedom = stats.ttest_ind(after, ratio * FRESH, equal_var=False).df

    def chance(r: float) -> float:
        t = (after.mean() - r * FRESH.mean()) / sqrt(top + r * r * bottom)
        return float(2 * stats.t.sf(abs(t), freedom))

    assert not found.by_piece
    assert found.degrees_of_freedom == independent(freedom, way="scipy.stats.ttest_ind, Welch")
    assert ends(found) == independent(roots(chance, ratio), way="roots of the t statistic", rel=1e-8)


def test_pieces_read_again_say_more_than_other_pieces() -> None:
    apart = change(compared(names=[f"a{i}" for i in range(5)])).interval
    again = change(compared()).interval
    assert apart is not None
    assert again is not None
    assert again.half_width < apart.half_width / 2


def test_each_piece_is_listed_with_its_change() -> None:
    first = change(compared()).pieces[0]
    assert (first.piece, first.change_pct) == ("1", independent(100 * (63 / 81 - 1), way="by hand"))


@pytest.mark.parametrize(
    ("allowed", "verdict"),
    [((-50.0, 50.0), Verdict.HOLDS), ((-10.0, 10.0), Verdict.FAILS), ((-22.0, 50.0), Verdict.NOT_SHOWN)],
)
def test_the_change_is_held_beside_what_is_allowed(allowed: tuple[float, float], verdict: Verdict) -> None:
    found = compared(allowed_low_pct=allowed[0], allowed_high_pct=allowed[1])
    assert (change(found).verdict, found.verdict) == (verdict, verdict)


def test_half_the_torque_may_go_unless_said_otherwise() -> None:
    found = compared()
    assert found.allowed_low_pct == practice("-50")
    assert found.allowed_high_pct == practice("50")


def limit_of(values: np.ndarray, *, lower: float, share: float = 0.95) -> LimitShown:
    (shown,) = compared(values, lower=lower, share=share).conditions[1].limits
    return shown


def test_the_bound_is_the_one_sided_tolerance_limit() -> None:
    values = np.array([0.9, 1.1, 1.0, 1.05, 0.95, 1.2, 0.8, 1.02, 0.98, 1.0])
    fresh = np.full(10, 1.0)
    found = compared(values, before=fresh, lower=0.5).conditions[1].limits[0]
    assert found.bound is not None
    assert (values.mean() - found.bound) / values.std(ddof=1) == remembered(
        "2.911", source="ISO 16269-6, one-sided k for n 10, 95 % / 95 %"
    )
    assert found.verdict is Verdict.HOLDS


@pytest.mark.parametrize("lower", [0.045, 0.055, 0.060, 0.064, 0.066, 0.068])
def test_the_limit_holds_or_not_as_the_noncentral_t_says(lower: float) -> None:
    t = float((AGED.mean() - lower) / AGED.std(ddof=1) * sqrt(5))
    sure = stats.nct.cdf(t, 4, stats.norm.ppf(0.95) * sqrt(5))
    expected = Verdict.HOLDS if sure >= 0.95 else Verdict.FAILS if sure <= 0.05 else Verdict.NOT_SHOWN
    assert limit_of(AGED, lower=lower).verdict is expected


def test_all_three_verdicts_are_met_as_a_limit_comes_nearer() -> None:
    found = [limit_of(AGED, lower=float(one)).verdict for one in np.linspace(0.04, 0.08, 41)]
    order = [Verdict.HOLDS, Verdict.NOT_SHOWN, Verdict.FAILS]
    assert [order.index(one) for one in found] == sorted(order.index(one) for one in found)
    assert set(found) == set(order)


def test_pieces_past_a_limit_are_counted_and_said() -> None:
    found = compared(lower=0.064)
    assert found.conditions[1].limits[0].beyond == 2
    assert any("aged: 2 of 5 pieces lie past the lower limit" in str(one) for one in found.cautions)


def test_both_conditions_are_held_beside_the_limits() -> None:
    found = compared(lower=0.03, upper=0.15)
    assert [[one.side for one in each.limits] for each in found.conditions] == [["lower", "upper"]] * 2
    assert found.verdict is Verdict.HOLDS


def test_pieces_equal_to_one_another_keep_a_limit_that_they_keep() -> None:
    assert limit_of(np.full(5, 0.07), lower=0.06).verdict is Verdict.HOLDS
    assert limit_of(np.full(5, 0.05), lower=0.06).verdict is Verdict.FAILS


def test_one_piece_shows_a_change_but_no_interval() -> None:
    found = compare_tests([0.1, 0.06], ["fresh", "aged"], ["a", "a"], lower=0.03)
    assert change(found).change_pct == independent(-40.0, way="by hand")
    assert (change(found).interval, found.verdict) == (None, Verdict.NOT_SHOWN)
    assert found.conditions[0].limits[0].bound is None
    assert any("too few pieces" in str(one) for one in found.cautions)


def test_readings_of_one_piece_are_averaged() -> None:
    twice = compare_tests(
        np.concatenate([FRESH - 0.001, FRESH + 0.001, AGED]), ["fresh"] * 10 + ["aged"] * 5, NAMES * 3
    )
    assert ends(change(twice)) == pytest.approx(ends(change(compared())), rel=1e-9)
    assert (twice.conditions[0].readings, twice.conditions[0].pieces) == (10, 5)


def test_pieces_read_only_once_are_left_out_of_the_change_and_said() -> None:
    found = compared(np.append(AGED, 0.2), [*NAMES, "new"])
    assert ends(change(found)) == ends(change(compared()))
    assert any("1 pieces were read only before or only after" in str(one) for one in found.cautions)


def test_a_single_piece_that_changed_too_much_is_named() -> None:
    after = AGED.copy()
    after[2] = 0.02
    assert any("changed by more than is allowed: 3" in str(one) for one in compared(after).cautions)


def test_nothing_before_is_refused_and_nothing_after_is_said() -> None:
    with pytest.raises(NotEnoughData, match="no readings of condition 'fresh'"):
        compare_tests(AGED, ["aged"] * 5, NAMES)
    assert "nothing is said of a change" in str(compare_tests(FRESH, ["fresh"] * 5, NAMES).cautions[0])


def test_limits_that_cross_and_lists_that_differ_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must be below"):
        compared(lower=0.2, upper=0.1)
    with pytest.raises(ImpossibleInput, match="one for each"):
        compare_tests(AGED, ["aged"], NAMES)


def test_joints_that_had_no_torque_before_have_no_change_to_judge() -> None:
    found = change(compared(before=np.zeros(5)))
    assert (found.interval, found.verdict) == (None, Verdict.NOT_SHOWN)


@law(scale=st.floats(1e-3, 1e3), order=st.permutations(range(5)))
def test_neither_the_unit_nor_the_order_matters(scale: float, order: list[int]) -> None:
    found = compare_tests(
        np.concatenate([scale * FRESH[order], scale * AGED]),
        ["fresh"] * 5 + ["aged"] * 5,
        [NAMES[i] for i in order] + NAMES,
    )
    assert ends(change(found)) == pytest.approx(ends(change(compared())), rel=1e-7)


def test_a_limb_that_sinks_little_holds_its_pose() -> None:
    found = judge_droop([2.1, 3.0, 1.4, 4.2, 2.8])
    assert found.shown.limit == practice("10")
    k = stats.nct.ppf(0.95, 4, stats.norm.ppf(0.95) * sqrt(5)) / sqrt(5)
    values = np.array([2.1, 3.0, 1.4, 4.2, 2.8])
    assert found.shown.bound == independent(
        values.mean() + k * values.std(ddof=1), way="scipy.stats.nct", rel=1e-8
    )
    assert found.verdict is Verdict.HOLDS


def test_a_limb_that_sinks_too_far_does_not_hold_and_a_wild_one_is_not_shown() -> None:
    assert judge_droop([12.0, 13.0, 11.5, 12.2, 12.8]).verdict is Verdict.FAILS
    assert judge_droop([1.0, 9.0, 4.0, 2.0, 7.0]).verdict is Verdict.NOT_SHOWN
    assert judge_droop([2.0]).verdict is Verdict.NOT_SHOWN
    with pytest.raises(NotEnoughData):
        judge_droop([])

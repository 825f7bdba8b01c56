"""Shares of variation: textbook mean squares, REML of R and statsmodels, laws, speed."""

from __future__ import annotations

import warnings

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from hypothesis import strategies as st
from scipy import optimize, stats
from tests.core.laws import law
from tests.labels import independent
from tests.published import table

from offtool.core.inspection.variation import VariationShares, pivots, variation_shares
from offtool.core.values import ImpossibleInput, NotEnoughData


def trial(seed: int, shots: int = 12, cavities: int = 4) -> np.ndarray:
    """[shot, cavity] with something of every source."""
    rng = np.random.default_rng(seed)
    shot = rng.normal(0, 1, shots) + 0.1 * np.arange(shots)
    return rng.normal(0, 2, cavities) + shot[:, None] + rng.normal(size=(shots, cavities))


def shares_of(values: np.ndarray, kept: np.ndarray | None = None, **how: float) -> VariationShares:
    """Of values[shot, cavity]; `kept` says which were measured."""
    kept = np.ones(values.shape, dtype=bool) if kept is None else kept
    shot, cavity = np.indices(values.shape)
    return variation_shares(values[kept], [str(c) for c in cavity[kept]], shot[kept] + 1.0, **how)


def variance(found: VariationShares, source: str) -> float:
    """Of a source that must be there."""
    share = found.share(source)  # type: ignore[arg-type]
    assert share is not None
    return share.variance


def penicillin(every: int | None = None) -> VariationShares:
    """Samples as cavities, plates as shots 1 to 24; every seventh row left out from row 5 on."""
    rows = table("penicillin.csv")
    left = [r for i, r in enumerate(rows, 1) if every is None or (i < 5 or (i - 5) % every)]
    plates = sorted({row[1] for row in rows})
    return variation_shares(
        [float(row[0]) for row in left],
        [row[2] for row in left],
        [plates.index(row[1]) + 1.0 for row in left],
    )


def test_plates_and_samples_of_penicillin_by_r() -> None:
    # Penicillin$shot <- as.integer(factor(Penicillin$plate))
    # m <- lmer(diameter ~ sample + shot + (1|plate), Penicillin); VarCorr(m); fixef(m)
    found = penicillin()
    assert found.method == "analysis of variance"
    assert variance(found, "shot") == independent(0.663230861335, way="R lme4", rel=1e-7)
    assert variance(found, "part") == independent(0.302415458776, way="R lme4", rel=1e-7)
    assert found.drift_per_shot == independent(-0.0411594202899, way="R lme4", rel=1e-9)


def test_plates_and_samples_with_gaps_by_r() -> None:
    # k <- setdiff(1:144, seq(5, 144, 7)); the same model on Penicillin[k,]
    found = penicillin(every=7)
    assert found.method == "REML"
    assert variance(found, "shot") == independent(0.705408498331, way="R lme4", rel=2e-6)
    assert variance(found, "part") == independent(0.318430521811, way="R lme4", rel=2e-6)
    assert found.drift_per_shot == independent(-0.0401505080463, way="R lme4", rel=1e-6)


def test_a_trial_with_gaps_by_the_mixed_model_of_statsmodels() -> None:
    values = trial(4, shots=30, cavities=8)
    kept = np.random.default_rng(1).random(values.shape) > 0.15
    found = shares_of(values, kept)
    shot, cavity = np.indices(values.shape)
    frame = pd.DataFrame({"y": values[kept], "c": cavity[kept], "s": shot[kept]})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = smf.mixedlm("y ~ C(c) + s", frame, groups="s").fit(reml=True)
    way = "statsmodels MixedLM"
    assert variance(found, "shot") == independent(float(model.cov_re.iloc[0, 0]), way=way, rel=1e-4)
    assert variance(found, "part") == independent(float(model.scale), way=way, rel=1e-4)
    assert found.drift_per_shot == independent(float(model.params["s"]), way=way, rel=1e-4)


def test_a_full_table_by_its_mean_squares() -> None:
    """By loops over the table, line by line as in a textbook."""
    values = trial(7)
    shots, cavities = values.shape
    grand = values.mean()
    cavity, shot = values.mean(axis=0), values.mean(axis=1)
    x = np.arange(shots) - (shots - 1) / 2
    slope = sum(x[i] * shot[i] for i in range(shots)) / sum(x**2)
    drift_square = cavities * slope**2 * sum(x**2)
    shot_square = cavities * sum((shot[i] - grand - slope * x[i]) ** 2 for i in range(shots)) / (shots - 2)
    rest_square = sum(
        (values[i, j] - shot[i] - cavity[j] + grand) ** 2 for i in range(shots) for j in range(cavities)
    ) / ((shots - 1) * (cavities - 1))
    cavity_square = shots * sum((one - grand) ** 2 for one in cavity) / (cavities - 1)
    expected = {
        "cavity": (cavity_square - rest_square) / shots,
        "shot": (shot_square - rest_square) / cavities,
        "drift": max(0.0, drift_square - shot_square) / cavities / (shots - 1),
        "part": rest_square,
    }
    found = shares_of(values)
    for source, value in expected.items():
        assert variance(found, source) == independent(value, way="loops over the table", rel=1e-9)
    share = found.share("drift")
    assert share is not None
    fitted = stats.linregress(np.arange(shots), shot)
    assert share.p == independent(fitted.pvalue, way="scipy.stats.linregress of shot means", rel=1e-7)


def test_the_gauge_is_taken_out_of_the_parts() -> None:
    without, with_gauge = shares_of(trial(1)), shares_of(trial(1), gauge_sd=0.4, gauge_freedom=20)
    assert variance(with_gauge, "part") == pytest.approx(variance(without, "part") - 0.16)
    assert with_gauge.total_sd == pytest.approx(without.total_sd)
    gauge = with_gauge.share("gauge")
    assert gauge is not None
    assert gauge.interval is not None
    exact = 0.4 * np.sqrt(20 / stats.chi2(20).ppf([0.975, 0.025]))
    assert [gauge.interval.low, gauge.interval.high] == independent(exact, way="scipy chi2", rel=5e-3)


def test_the_parts_interval_is_the_exact_one_of_chi_square() -> None:
    part = shares_of(trial(2)).share("part")
    assert part is not None
    assert part.interval is not None
    exact = part.sd * np.sqrt(33 / stats.chi2(33).ppf([0.975, 0.025]))
    assert [part.interval.low, part.interval.high] == independent(exact, way="scipy chi2", rel=3e-3)


@pytest.mark.parametrize(("squares", "freedom"), [(9.0, 1), (30.0, 7), (60.0, 15), (400.0, 7)])
def test_noncentralities_are_those_of_the_noncentral_chi_square(squares: float, freedom: int) -> None:
    """Those under which so much or less comes with chance 0.975 and 0.025."""
    found = np.sort(pivots.noncentralities("cavity", np.full(pivots.DRAWS, squares), freedom))
    low, high = found[int(0.025 * pivots.DRAWS)], found[int(0.975 * pivots.DRAWS)]
    for end, chance in ((low, 0.975), (high, 0.025)):
        if stats.chi2(freedom).cdf(squares) <= chance:
            assert end == 0.0
            continue
        root = optimize.brentq(
            lambda nc, chance=chance: stats.ncx2.cdf(squares, freedom, nc) - chance, 1e-9, 4 * squares
        )
        assert end == independent(root, way="root of scipy.stats.ncx2", rel=0.01, within=0.02)


def test_gaps_that_are_filled_again_change_hardly_anything() -> None:
    """One cell missing of many: REML stays near the mean squares of the full table."""
    values = trial(5, shots=40, cavities=8)
    kept = np.ones(values.shape, dtype=bool)
    kept[3, 2] = False
    full, gap = shares_of(values), shares_of(values, kept)
    for one in full.shares:
        other = gap.share(one.source)
        assert other is not None
        assert other.sd == pytest.approx(one.sd, rel=0.03)
        assert one.interval is not None
        assert other.interval is not None
        assert other.interval.high == pytest.approx(one.interval.high, rel=0.04)


@law(seed=st.integers(0, 999), scale=st.floats(0.01, 100), shift=st.floats(-1000, 1000), gaps=st.booleans())
def test_names_order_unit_and_zero_do_not_matter(seed: int, scale: float, shift: float, gaps: bool) -> None:
    rng = np.random.default_rng(seed)
    values = trial(seed)
    shot, cavity = (one.ravel() for one in np.indices(values.shape))
    kept = np.flatnonzero(rng.random(values.size) > 0.2 * gaps)
    one = variation_shares(values.ravel()[kept], [str(c) for c in cavity[kept]], shot[kept].astype(float))
    mixed = rng.permutation(kept)
    other = variation_shares(
        scale * values.ravel()[mixed] + shift, [f"cavity {9 - c}" for c in cavity[mixed]], shot[mixed] + 17.0
    )
    for here, there in zip(one.shares, other.shares, strict=True):
        assert there.sd == pytest.approx(scale * here.sd, rel=1e-4, abs=1e-4 * scale)
        assert here.interval is not None
        assert there.interval is not None
        assert there.interval.high == pytest.approx(scale * here.interval.high, rel=1e-3)


@law(seed=st.integers(0, 999), more=st.floats(-20, 20), shot=st.integers(0, 11))
def test_what_one_shot_adds_to_all_cavities_leaves_cavities_and_parts(
    seed: int, more: float, shot: int
) -> None:
    values = trial(seed)
    other = values.copy()
    other[shot] += more
    one, two = shares_of(values), shares_of(other)
    for source in ("cavity", "part"):
        assert variance(two, source) == pytest.approx(variance(one, source), rel=1e-7, abs=1e-9)


@law(seed=st.integers(0, 999), slope=st.floats(-3, 3))
def test_a_line_changes_only_the_drift(seed: int, slope: float) -> None:
    values = trial(seed)
    one, two = shares_of(values), shares_of(values + slope * np.arange(12)[:, None])
    for source in ("cavity", "shot", "part"):
        assert variance(two, source) == pytest.approx(variance(one, source), rel=1e-7, abs=1e-9)
    assert one.drift_per_shot is not None
    assert two.drift_per_shot == pytest.approx(one.drift_per_shot + slope, abs=1e-9)


@law(seed=st.integers(0, 999))
def test_what_one_cavity_adds_changes_only_the_cavities(seed: int) -> None:
    values = trial(seed)
    one, two = shares_of(values), shares_of(values + np.array([0.0, 5.0, 0.0, 0.0]))
    for source in ("shot", "drift", "part"):
        assert variance(two, source) == pytest.approx(variance(one, source), rel=1e-7, abs=1e-9)


@law(seed=st.integers(0, 999), gauge=st.none() | st.floats(0, 3))
def test_shares_add_up_to_the_total_and_lie_in_their_intervals(seed: int, gauge: float | None) -> None:
    found = shares_of(trial(seed), **({} if gauge is None else {"gauge_sd": gauge}))
    assert sum(one.of_total for one in found.shares) == pytest.approx(1.0)
    assert sum(one.variance for one in found.shares) == pytest.approx(found.total_sd**2)
    for one in found.shares:
        assert one.interval is None or one.sd in one.interval
        assert one.of_total_interval is not None
        assert one.of_total in one.of_total_interval


def test_two_readings_of_every_part_are_one_part_and_their_difference_stays_in_its_share() -> None:
    values = trial(3)
    shot, cavity = np.indices(values.shape)
    apart = 0.5
    twice = variation_shares(
        np.concatenate([(values - apart).ravel(), (values + apart).ravel()]),
        [str(c) for c in cavity.ravel()] * 2,
        np.tile(shot.ravel() + 1.0, 2),
    )
    once = shares_of(values)
    assert variance(twice, "shot") == pytest.approx(variance(once, "shot"))
    # Within a part the mean square is 2 x 0.5^2 for one degree of freedom; half of it is not in the mean.
    assert variance(twice, "part") == pytest.approx(variance(once, "part") + 0.5 * 2 * apart**2)


def test_one_cavity_and_few_shots_have_a_stated_answer() -> None:
    single = shares_of(trial(1)[:, :1])
    assert [one.source for one in single.shares] == ["drift", "part"]
    assert "one cavity" in str(single.cautions[0])
    two_shots = shares_of(trial(1)[:2])
    assert [one.source for one in two_shots.shares] == ["cavity", "shot", "part"]
    assert any("drift cannot be told" in str(one) for one in two_shots.cautions)
    with pytest.raises(NotEnoughData, match="measured once"):
        shares_of(trial(1)[:1])


def test_one_part_a_shot_leaves_shots_in_the_parts_share() -> None:
    found = variation_shares([1.0, 2.0, 1.2, 2.1, 0.9, 2.3], ["1", "2"] * 3, [1, 2, 3, 4, 5, 6])
    assert [one.source for one in found.shares] == ["cavity", "drift", "part"]
    assert any("shots cannot be told from parts" in str(one) for one in found.cautions)


def test_equal_readings_have_no_shares() -> None:
    found = shares_of(np.full((5, 3), 4.0))
    assert found.total_sd == 0.0
    assert all(one.interval is None and one.of_total == 0.0 for one in found.shares)
    assert "too coarse" in str(found.cautions[0])


def test_a_gauge_that_says_more_than_is_left_is_cautioned_of() -> None:
    found = shares_of(trial(1), gauge_sd=30.0)
    assert variance(found, "part") == 0.0
    assert any("same gauge" in str(one) for one in found.cautions)


def test_lists_must_be_equally_long() -> None:
    with pytest.raises(ImpossibleInput, match="each of 2 readings"):
        variation_shares([1.0, 2.0], ["1", "2"], [1.0])

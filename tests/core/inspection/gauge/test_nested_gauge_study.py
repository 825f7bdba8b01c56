"""The nested gauge study: casks in batches as printed, R, laws, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.inspection.gauge import GaugeJudgement, GaugeStudy, nested_gauge_study
from offtool.core.values import NotEnoughData
from tests.core.laws import law
from tests.labels import independent, published
from tests.published import table

DAVIES = "Davies and Goldsmith, Statistical Methods in Research and Production; R lme4, Pastes"


def pastes() -> GaugeStudy:
    """Batches in the place of operators, casks in the place of parts."""
    rows = table("gauge_pastes.csv")
    return nested_gauge_study(
        [float(row[0]) for row in rows], [row[1] for row in rows], [row[2] for row in rows]
    )


def sds(study: GaugeStudy) -> dict[str, float]:
    return {one.source: one.sd for one in study.shares}


def test_the_printed_mean_squares_and_deviations() -> None:
    study = pastes()
    rows = {row.source: row for row in study.anova}
    for source, mean_square, freedom in (
        ("operator", "27.489", 9),
        ("part", "17.545", 20),
        ("repeatability", "0.678", 30),
    ):
        assert rows[source].mean_square == published(mean_square, source=DAVIES)
        assert rows[source].freedom == freedom
    found = sds(study)
    assert found["part"] == published("2.9041", source=DAVIES)
    assert found["operator"] == published("1.2874", source=DAVIES)
    assert found["repeatability"] == published("0.8234", source=DAVIES)


def test_the_variances_are_those_of_restricted_maximum_likelihood() -> None:
    """R 4.2, lme4: as.data.frame(VarCorr(lmer(strength ~ (1|batch/cask), p)))."""
    found = {one.source: one.variance for one in pastes().shares}
    assert found["part"] == independent(8.433665931295, way="R lme4, REML", rel=1e-6)
    assert found["operator"] == independent(1.657310911834, way="R lme4, REML", rel=1e-5)
    assert found["repeatability"] == independent(0.677999949669, way="R lme4, REML", rel=1e-6)


def test_a_casks_f_is_that_of_r() -> None:
    """R 4.2: summary(aov(strength ~ batch/cask, p))[[1]]; batches are tested against casks instead."""
    rows = {row.source: row for row in pastes().anova}
    assert rows["part"].f == independent(25.87807, way="R aov", rel=1e-6)
    assert rows["part"].p == independent(9.7914e-14, way="R aov", rel=1e-5)
    assert rows["operator"].f == independent(27.48918519 / 17.54533333, way="R mean squares", rel=1e-8)


def test_it_says_that_pieces_are_taken_as_alike() -> None:
    assert any("pieces of one batch are taken as alike" in str(one) for one in pastes().cautions)


def drawn(seed: int) -> tuple[np.ndarray, list[str], list[str]]:
    rng = np.random.default_rng(seed)
    shape = (3, 5, 2)
    who, part = (axis.ravel().astype(str).tolist() for axis in np.indices(shape)[:2])
    values = rng.normal(0, 0.5, (3, 1, 1)) + rng.normal(0, 1, (3, 5, 1)) + rng.normal(0, 0.3, shape)
    return values.ravel(), who, part


@law(seed=st.integers(0, 9999), scale=st.floats(0.01, 100), shift=st.floats(-100, 100), examples=20)
def test_another_unit_and_another_zero_scale_deviations_and_no_share(
    seed: int, scale: float, shift: float
) -> None:
    values, who, part = drawn(seed)
    one, other = (nested_gauge_study(v, who, part) for v in (values, scale * values + shift))
    assert list(sds(other).values()) == pytest.approx(
        [scale * sd for sd in sds(one).values()], rel=1e-6, abs=1e-9 * scale
    )
    assert [share.contribution for share in other.shares] == pytest.approx(
        [share.contribution for share in one.shares], rel=1e-6, abs=1e-8
    )


@law(seed=st.integers(0, 9999), examples=20)
def test_parts_named_apart_or_alike_for_each_operator_are_the_same_parts(seed: int) -> None:
    values, who, part = drawn(seed)
    order = np.random.default_rng(seed).permutation(values.size)
    apart = [f"{who[i]}:{part[i]}" for i in order]
    one = nested_gauge_study(values, who, part)
    other = nested_gauge_study(values[order], [who[i] for i in order], apart)
    assert list(sds(other).values()) == pytest.approx(list(sds(one).values()), rel=1e-9, abs=1e-12)


@law(seed=st.integers(0, 9999), offset=st.floats(1, 50), examples=20)
def test_an_operator_who_reads_higher_raises_only_the_operator(seed: int, offset: float) -> None:
    values, who, part = drawn(seed)
    values = values - np.repeat(values.reshape(3, 10).mean(axis=1), 10)
    high = np.array([offset * (one == "2") for one in who])
    one, other = (sds(nested_gauge_study(v, who, part)) for v in (values, values + high))
    assert other["part"] == pytest.approx(one["part"])
    assert other["repeatability"] == pytest.approx(one["repeatability"])
    assert one["operator"] == 0 < other["operator"] or offset < 3


def test_one_operator_tells_repeatability_and_parts_only() -> None:
    values, who, part = drawn(1)
    study = nested_gauge_study(values[:10], who[:10], part[:10], tolerance=10.0)
    assert set(sds(study)) == {"repeatability", "gauge", "part", "total"}
    assert any("one operator" in str(one) for one in study.cautions)
    assert study.judgement in GaugeJudgement


@law(
    values=st.lists(st.sampled_from([-1.0, 0.0, 1e-6, 0.02, 4.0, 1000.0]), min_size=12, max_size=12),
    shape=st.sampled_from([(2, 2, 3), (3, 2, 2), (1, 6, 2), (2, 3, 2)]),
    tolerance=st.sampled_from([None, 0.01, 5.0]),
    examples=60,
)
def test_any_full_table_is_answered_without_a_number_that_is_none(
    values: list[float], shape: tuple[int, int, int], tolerance: float | None
) -> None:
    who, part = (axis.ravel().astype(str).tolist() for axis in np.indices(shape)[:2])
    try:
        study = nested_gauge_study(values, who, part, tolerance=tolerance)
    except NotEnoughData:
        return
    assert not np.isnan([study.gauge_sd, study.gauge_freedom, *sds(study).values()]).any()
    for share in study.shares:
        assert (share.sd_interval is None) is (study.gauge_sd_interval is None)
        assert share.sd_interval is None or share.sd_interval.low <= share.sd <= share.sd_interval.high


@pytest.mark.parametrize(
    ("drop", "said"),
    [
        ([29], "part 4 of operator 2 has 1, where others have 2"),
        ([28, 29], "operator 2 has 4 of 5 parts"),
        (range(1, 30, 2), "one reading of each part"),
        ([i for i in range(30) if i % 10 > 1], "one part for each operator"),
    ],
)
def test_what_is_missing_is_named(drop: list[int], said: str) -> None:
    values, who, part = drawn(2)
    kept = [i for i in range(30) if i not in drop]
    with pytest.raises(NotEnoughData, match=said) as refused:
        nested_gauge_study(values[kept], [who[i] for i in kept], [part[i] for i in kept])
    assert refused.value.remedy

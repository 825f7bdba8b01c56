"""Random groups: published components, REML of R, laws."""

from __future__ import annotations

import warnings

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from hypothesis import strategies as st
from tests.core.laws import law
from tests.labels import independent, published
from tests.published import table

from offtool.core.inspection.variation import NestedComponents, nested_components
from offtool.core.values import NotEnoughData

DAVIES = "Davies, Statistical Methods in Research and Production; R lme4"


def dyestuff(without: tuple[int, ...] = ()) -> tuple[list[float], list[str]]:
    """Yields and batches; rows counted from 0."""
    rows = [row for i, row in enumerate(table("dyestuff.csv")) if i not in without]
    return [float(row[1]) for row in rows], [row[0] for row in rows]


def pastes(without: tuple[int, ...] = ()) -> tuple[list[float], list[str], list[str]]:
    """Strengths, batches, casks; rows counted from 0."""
    rows = [row for i, row in enumerate(table("gauge_pastes.csv")) if i not in without]
    return [float(row[0]) for row in rows], [row[1] for row in rows], [row[2] for row in rows]


def variances(found: NestedComponents) -> list[float]:
    """From the outermost level in."""
    return [one.variance for one in found.components]


def test_dyestuff() -> None:
    found = nested_components(*dyestuff())
    batch, rest = found.components
    assert found.method == "analysis of variance"
    assert batch.mean_square == published("11271.50", source=DAVIES)
    assert rest.mean_square == published("2451.25", source=DAVIES)
    assert batch.variance == published("1764.05", source=DAVIES)
    assert rest.variance == published("2451.25", source=DAVIES)
    # qf based: R 4.2, anova(lm(Yield ~ Batch, lme4::Dyestuff))$"Pr(>F)"[1]
    assert batch.p == independent(0.004397531268, way="R anova(lm())", rel=1e-8)


def test_pastes() -> None:
    found = nested_components(*pastes())
    batch, cask, rest = found.components
    source = "Davies and Goldsmith, Statistical Methods in Research and Production; R lme4"
    assert batch.mean_square == published("27.489", source=source)
    assert cask.mean_square == published("17.545", source=source)
    assert rest.mean_square == published("0.678", source=source)
    assert batch.variance == published("1.65731", source=source)
    assert cask.variance == published("8.43367", source=source)
    assert (batch.sd, cask.sd, rest.sd) == (
        published("1.2874", source=source),
        published("2.9041", source=source),
        published("0.8234", source=source),
    )


def test_uneven_groups_by_the_restricted_likelihood_of_r() -> None:
    # k <- setdiff(0:29, c(0,1,2,8,14,15,29)) + 1; VarCorr(lmer(Yield ~ 1 + (1|Batch), Dyestuff[k,]))
    found = nested_components(*dyestuff(without=(0, 1, 2, 8, 14, 15, 29)))
    assert found.method == "REML"
    assert variances(found) == independent([1485.20380749, 2269.49584538], way="R lme4", rel=2e-6)


def test_uneven_nested_groups_by_the_restricted_likelihood_of_r() -> None:
    # k <- setdiff(0:59, c(0,7,8,9,20,33,41,50,51)) + 1
    # m <- lmer(strength ~ 1 + (1|batch) + (1|sample), Pastes[k,]); VarCorr(m); fixef(m)
    found = nested_components(*pastes(without=(0, 7, 8, 9, 20, 33, 41, 50, 51)))
    expected = [3.524770941330, 6.478954272867, 0.722020525223]
    assert variances(found) == independent(expected, way="R lme4", rel=5e-6)
    assert found.mean == independent(59.9606672657, way="R lme4", rel=1e-7)


def test_uneven_groups_by_the_mixed_model_of_statsmodels() -> None:
    rng = np.random.default_rng(3)
    group = np.repeat(np.arange(9), rng.integers(2, 9, 9))
    value = rng.normal(0, 2, 9)[group] + rng.normal(size=group.size)
    found = nested_components(value, [str(g) for g in group])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        frame = pd.DataFrame({"y": value, "g": group})
        model = smf.mixedlm("y ~ 1", frame, groups="g").fit(reml=True)
    expected = [float(model.cov_re.iloc[0, 0]), float(model.scale)]
    assert variances(found) == independent(expected, way="statsmodels MixedLM", rel=1e-4)


@law(seed=st.integers(0, 999), scale=st.floats(0.01, 100), shift=st.floats(-1000, 1000), examples=20)
def test_names_order_unit_and_zero_do_not_matter(seed: int, scale: float, shift: float) -> None:
    rng = np.random.default_rng(seed)
    group = np.repeat(np.arange(5), rng.integers(2, 5, 5))
    value = rng.normal(0, 2, 5)[group] + rng.normal(size=group.size)
    one = nested_components(value, [str(g) for g in group])
    order = rng.permutation(group.size)
    other = nested_components(scale * value[order] + shift, [f"b{7 - g}" for g in group[order]])
    for here, there in zip(one.components, other.components, strict=True):
        assert there.sd == pytest.approx(scale * here.sd, rel=1e-3, abs=1e-3 * scale)
        assert there.interval.high == pytest.approx(scale * here.interval.high, rel=1e-3)


def test_shares_add_up_and_intervals_hold_the_estimates() -> None:
    found = nested_components(*pastes(without=(3, 4, 5)))
    assert sum(one.of_total for one in found.components) == pytest.approx(1.0)
    for one in found.components:
        assert one.sd in one.interval
        assert one.of_total_interval is not None
        assert one.of_total in one.of_total_interval


def test_equal_batches_have_no_variance_and_an_interval_that_says_what_it_can_be() -> None:
    batch = nested_components([1.0, 2.0, 3.0] * 4, [g for g in "ABCD" for _ in range(3)]).components[0]
    assert (batch.variance, batch.interval.low) == (0.0, 0.0)
    assert batch.p == pytest.approx(1.0)
    flat = nested_components([4.0] * 6, ["A", "A", "B", "B", "C", "C"])
    assert flat.total_sd == 0.0
    assert "too coarse" in str(flat.cautions[0])


def test_a_level_without_two_members_is_refused() -> None:
    with pytest.raises(NotEnoughData, match="no two members"):
        nested_components([1.0, 2.0, 3.0], ["A", "A", "A"])
    with pytest.raises(NotEnoughData):
        nested_components([1.0, 2.0, 3.0, 4.0], ["A", "A", "B", "B"], ["a", "a", "b", "b"])

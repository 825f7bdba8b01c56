"""Many tests at once: the published example, two libraries, and what must hold for any p."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.multitest import multipletests

from offtool.core.inspection.many import control_false_discoveries, expected_false_alarms
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent

# Benjamini and Hochberg 1995, J. R. Statist. Soc. B 57:289, section 4: treatments of myocardial infarction.
# From memory; four stand at 0.05 where Bonferroni leaves three, as the paper says.
HEART = [
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459),
    *(0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000),
]


def test_in_the_published_example_four_stand() -> None:
    found = control_false_discoveries(HEART)
    assert found.positions == (0, 1, 2, 3)
    assert found.tested == 15
    assert sum(p <= 0.05 / 15 for p in HEART) == 3


def test_if_they_depend_on_each_other_in_any_way_three_stand() -> None:
    assert control_false_discoveries(HEART, dependent=True).positions == (0, 1, 2)


@pytest.mark.parametrize(
    ("dependent", "adjusted"),
    [
        # R 4.2.2: p.adjust(p, "BH")[1:9] and p.adjust(p, "BY")[1:5]
        (False, [0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.0638571428571, 0.0638571428571, 0.0645, 0.0765]),
        (True, [0.00497734348984, 0.00995468697969, 0.03152317543568, 0.11821190788378, 0.20008920829171]),
    ],
)
def test_the_adjusted_p_are_those_of_r(dependent: bool, adjusted: list[float]) -> None:
    found = control_false_discoveries(HEART, dependent=dependent).adjusted
    assert found[: len(adjusted)] == independent(adjusted, way="R, p.adjust", rel=1e-10)


many_p = st.lists(st.floats(0, 1), min_size=1, max_size=60)


@law(p=many_p, dependent=st.booleans(), rate=st.floats(0.001, 0.5))
def test_two_libraries_agree(p: list[float], dependent: bool, rate: float) -> None:
    found = control_false_discoveries(p, dependent=dependent, rate=rate)
    scipy = stats.false_discovery_control(p, method="by" if dependent else "bh")
    stand, other, _, _ = multipletests(p, alpha=rate, method="fdr_by" if dependent else "fdr_bh")
    assert found.adjusted == pytest.approx(scipy)
    assert found.adjusted == pytest.approx(other)
    far = np.abs(found.adjusted - rate) > 1e-9 * rate
    assert (found.stands == stand)[far].all()


@law(p=many_p)
def test_the_order_of_the_tests_changes_nothing(p: list[float]) -> None:
    order = np.random.default_rng(0).permutation(len(p))
    one, other = control_false_discoveries(p), control_false_discoveries(np.array(p)[order])
    assert other.adjusted == pytest.approx(one.adjusted[order])


@law(p=many_p, rate=st.floats(0.001, 0.5))
def test_a_smaller_p_never_falls_where_a_larger_stands(p: list[float], rate: float) -> None:
    found = control_false_discoveries(p, rate=rate)
    assert (found.adjusted >= np.array(p) * (1 - 1e-12)).all()
    standing, fallen = np.array(p)[found.stands], np.array(p)[~found.stands]
    assert not (standing.size and fallen.size) or standing.max() <= fallen.min()
    strict = control_false_discoveries(p, rate=rate, dependent=True)
    assert set(strict.positions) <= set(found.positions)
    looser = control_false_discoveries(p, rate=min(2 * rate, 0.99))
    assert set(found.positions) <= set(looser.positions)


def test_one_test_is_itself() -> None:
    for dependent in (False, True):
        assert control_false_discoveries([0.04], dependent=dependent).adjusted[0] == 0.04


def test_a_test_that_could_not_be_run_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="could not be run"):
        control_false_discoveries([0.01, float("nan")])
    with pytest.raises(ImpossibleInput, match="at most 1"):
        control_false_discoveries([0.01, 1.2])


def test_no_tests_are_answered_with_a_caution() -> None:
    found = control_false_discoveries([])
    assert (found.positions, found.tested) == ((), 0)
    assert "no tests" in found.cautions[0].text


@law(tests=st.integers(0, 5000), significance=st.floats(0.0001, 0.5))
def test_false_alarms_are_a_binomial_count(tests: int, significance: float) -> None:
    found = expected_false_alarms(tests, significance)
    assert found.expected == pytest.approx(stats.binom.mean(tests, significance))
    assert found.chance_of_any == pytest.approx(stats.binom.sf(0, tests, significance))


def test_twenty_tests_give_one_false_alarm() -> None:
    found = expected_false_alarms(20)
    assert found.expected == pytest.approx(1.0)
    assert found.chance_of_any == independent(1 - 0.95**20, way="by hand")

"""What measured sizes say: against quadrature, against plain normal densities, and where sheets are lost."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, stats

from offtool.core.samples.identify import MeasuredSize, SizeRecord, pool_runs, size_finding
from offtool.core.samples.identify.capping import MEASURED_CAP
from offtool.core.samples.identify.sizes import MISREAD, SCALE_SD, STANDS_ALONE
from offtool.core.samples.identify.unmeasured import MOVED, places_of
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.samples.identify.cases import make, states
from tests.labels import independent

THREE = states(3)
NAN = float("nan")


def record(means: list[list[float]], sd: float = 0.01, grows: float = 1.0, name: str = "peg") -> SizeRecord:
    """Makes × cavities, all spread alike."""
    table = np.array(means)
    return SizeRecord(
        name=name, unit="mm", means=table, sds=np.where(np.isnan(table), np.nan, sd), grows=grows
    )


def measured(one: SizeRecord, value: float, uncertainty: float = 0.0) -> MeasuredSize:
    return MeasuredSize(record=one, value=value, uncertainty=uncertainty)


def wide(one: SizeRecord, uncertainty: float, scale_sd: float = 0.0) -> tuple[float, float]:
    """The normal of values that are read wrong; all sizes may go together there too."""
    sd = float(np.nanmedian(one.sds))
    apart = one.grows * float(np.nanmean(one.means)) * scale_sd
    spread = np.sqrt(np.nanstd(one.means) ** 2 + sd**2 + uncertainty**2 + apart**2)
    return float(np.nanmean(one.means)), STANDS_ALONE * float(spread)


def test_without_scale_and_misreading_it_is_the_plain_normal_density() -> None:
    one = record([[10.0], [10.02], [10.05]])
    found = size_finding([measured(one, 10.015, 0.004)], THREE, scale_sd=0, misread=1e-300)
    sd = np.hypot(0.01, 0.004)
    logs = stats.norm.logpdf(10.015, [10.0, 10.02, 10.05], sd)
    assert found.log_likelihood[:3] == independent(logs, way="scipy.stats.norm")


@law(
    first=st.floats(9.96, 10.1),
    second=st.floats(39.9, 40.15),
    weight=st.floats(4.95, 5.06),
    spread=st.floats(0.0002, 0.002),
    examples=8,
)
def test_the_shared_scale_is_integrated_out(
    first: float, second: float, weight: float, spread: float
) -> None:
    """Two lengths and a weight, which grows three times as fast."""
    records = [
        record([[10.0], [10.03], [10.06]]),
        record([[40.0], [40.05], [40.05]], sd=0.015, name="length"),
        record([[5.0], [5.0], [5.02]], sd=0.015, grows=3.0, name="weight"),
    ]
    values = (first, second, weight)
    given = [measured(one, value, 0.005) for one, value in zip(records, values, strict=True)]

    def at(scale: float, row: int) -> float:
        density = stats.norm.pdf(scale, 0, spread)
        for one, value in zip(records, values, strict=True):
            sd = np.hypot(one.sds[row, 0], 0.005)
            right = stats.norm.pdf(value, one.means[row, 0] * (1 + one.grows * scale), sd)
            density *= (1 - MISREAD) * right + MISREAD * stats.norm.pdf(value, *wide(one, 0.005, spread))
        return float(density)

    logs = [
        log(integrate.quad(at, -4 * spread, 4 * spread, args=(row,), limit=400, epsabs=0, epsrel=1e-8)[0])
        for row in range(3)
    ]
    found = size_finding(given, THREE, scale_sd=spread).log_likelihood
    none = sum(
        stats.norm.logpdf(value, *wide(one, 0.005, spread))
        for one, value in zip(records, values, strict=True)
    )
    floor = max(*logs, none) - log(MEASURED_CAP)
    expected = np.maximum([*logs, none], floor)
    # A sum over nodes that are one deviation of the finest size apart; the ends beyond four are left out.
    assert found == independent(expected, way="scipy.integrate.quad", within=0.05)


def test_cavities_that_are_not_known_are_averaged() -> None:
    one = record([[10.0, 10.04], [10.2, 10.24], [10.4, 10.44]], sd=0.02)
    known = [size_finding([measured(one, 10.01)], THREE, cavity=c).log_likelihood[0] for c in (0, 1)]
    both = size_finding([measured(one, 10.01)], THREE).log_likelihood[0]
    assert both == independent(float(np.logaddexp(*known) - log(2)), way="the mean of both, by hand")
    assert known[0] > both > known[1]


def test_one_value_counts_no_more_than_its_chance_of_being_misread_allows() -> None:
    one = record([[10.0], [10.1], [10.2]])
    found = size_finding([measured(one, 10.0)], THREE, scale_sd=0)
    read_wrong = log(MISREAD) + stats.norm.logpdf(10.0, *wide(one, 0.0))
    assert found.log_likelihood[2] == independent(float(read_wrong), way="the wide normal alone", within=1e-6)


@law(value=st.floats(5, 20), count=st.integers(1, 6))
def test_sizes_count_ten_thousand_to_one_at_most(value: float, count: int) -> None:
    given = [measured(record([[10.0], [10.5], [11.0]], name=f"size {k}"), value) for k in range(count)]
    found = size_finding(given, THREE)
    assert np.ptp(found.log_likelihood) <= log(MEASURED_CAP) + 1e-9
    assert found.capped == bool(np.isclose(np.ptp(found.log_likelihood), log(MEASURED_CAP)))


@law(value=st.floats(9.9, 10.2), unit=st.floats(0.01, 100))
def test_the_unit_does_not_matter(value: float, unit: float) -> None:
    one, other = record([[10.0], [10.05], [10.1]]), record([[10 * unit], [10.05 * unit], [10.1 * unit]])
    other = SizeRecord(name="peg", unit="x", means=other.means, sds=one.sds * unit)
    mine = size_finding([measured(one, value, 0.01)], THREE).log_likelihood
    scaled = size_finding([measured(other, value * unit, 0.01 * unit)], THREE).log_likelihood
    assert scaled - scaled.max() == pytest.approx(mine - mine.max(), abs=1e-6)


def test_a_part_that_shrank_as_a_whole_is_still_known_by_its_ratios() -> None:
    """0.15 % smaller in everything: two deviations of the scale, but each size five of its own."""
    first = [record([[20.0], [20.06], [20.0]], sd=0.004), record([[50.0], [50.0], [50.15]], sd=0.01)]
    given = [measured(first[0], 20.06 * 0.9985), measured(first[1], 50.0 * 0.9985)]
    logs = size_finding(given, THREE).log_likelihood
    assert int(np.argmax(logs[:3])) == 1
    assert logs[1] > logs[3]


def test_a_state_between_two_that_were_measured_has_either_size() -> None:
    """By hand: a third of the way, the cut fell with one in three; or was made in parts, with one in ten."""
    four = states(4)
    places = places_of(np.array([[10.0], [NAN], [NAN], [10.3]]), four, 0.01)
    assert [float(one[1, 0]) for one in places.centres] == pytest.approx([10.0, 10.3, 10.15])
    assert [float(one[1, 0]) for one in places.shares] == pytest.approx([0.9 * 2 / 3, 0.9 / 3, 0.1])
    assert [float(one[0, 0]) for one in places.shares] == pytest.approx([1.0, 0.0, 0.0])
    logs = size_finding(
        [measured(record([[10.0], [NAN], [NAN], [10.3]]), 10.3)], four, scale_sd=0
    ).log_likelihood
    assert logs[0] < logs[1] < logs[2] < logs[3]


def test_before_the_first_sheet_a_size_may_have_moved_at_each_change_of_steel() -> None:
    places = places_of(np.array([[NAN], [NAN], [10.0]]), THREE, 0.01)
    assert float(places.shares[2][0, 0]) == pytest.approx(1 - (1 - MOVED) ** 2)
    assert float(places.shares[2][1, 0]) == pytest.approx(MOVED)
    near, far = (
        size_finding([measured(record([[NAN], [NAN], [10.0]]), value)], THREE).log_likelihood
        for value in (10.0, 10.1)
    )
    assert near[2] > near[1] > near[0]
    assert far[0] > far[1] > far[2]


@law(known=st.integers(0, 30), value=st.floats(9.9, 10.4))
def test_shares_of_the_places_add_up_to_one_and_every_answer_is_finite(known: int, value: float) -> None:
    five = states(5)
    means = np.array([[10.0 + 0.07 * k if known >> k & 1 else NAN] for k in range(5)])
    places = places_of(means, five, 0.01)
    assert sum(places.shares) == pytest.approx(np.ones((5, 1)))
    found = size_finding([measured(record(means.tolist()), value)], five)
    assert np.isfinite(found.log_likelihood).all()


def test_a_size_of_which_no_state_was_measured_says_nothing() -> None:
    found = size_finding([measured(record([[NAN], [NAN], [NAN]]), 10.0)], THREE)
    assert found.log_likelihood == pytest.approx(np.full(4, found.log_likelihood[0]))


@pytest.mark.parametrize(
    ("value", "uncertainty"), [(NAN, 0.01), (float("inf"), 0.01), (10.0, -0.01), (10.0, NAN)]
)
def test_a_value_that_cannot_be_is_refused(value: float, uncertainty: float) -> None:
    with pytest.raises(ImpossibleInput, match="peg"):
        size_finding([measured(record([[10.0], [10.1], [10.2]]), value, uncertainty)], THREE)


def test_no_value_at_all_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="at least one value"):
        size_finding([], THREE)


def simulated_runs(seed: int, runs: int, shots: int, own: float) -> tuple[np.ndarray, list[SizeRecord], list]:
    """True means of ten sizes in so many runs of one state, and what a few shots of each gave."""
    rng = np.random.default_rng(seed)
    steel, sd = rng.uniform(5, 50, (10, 1)), 0.01
    true = steel * (1 + rng.normal(0, SCALE_SD, runs)) + rng.normal(0, own, (10, runs))
    seen = true + rng.normal(0, sd / np.sqrt(shots), true.shape)
    makes = [make(f"run {k}") for k in range(runs)]
    return true, [record(row[:, None].tolist(), sd, name=f"size {i}") for i, row in enumerate(seen)], makes


@pytest.mark.parametrize("own", [0.0, 0.004, 0.05])
def test_runs_of_one_state_steady_each_other_and_never_blur(own: float) -> None:
    """Over forty tools: nearer to the truth where runs differ by their scale, never further where not."""
    before, after = [], []
    for seed in range(40):
        true, records, makes = simulated_runs(seed, runs=5, shots=6, own=own)
        steadied = pool_runs(records, makes, 6)
        before.append([(one.means[:, 0] - row) ** 2 for one, row in zip(records, true, strict=True)])
        after.append([(one.means[:, 0] - row) ** 2 for one, row in zip(steadied, true, strict=True)])
    ratio = np.mean(after) / np.mean(before)
    # Of 50 chances, 10 for the steel and 5 for the scales are left where nothing else moves: 0.3, less for
    # what is known of scales.
    assert ratio < {0.0: 0.4, 0.004: 0.95, 0.05: 1.02}[own]


def test_a_single_run_and_a_lost_sheet_stay_as_they_are() -> None:
    makes = [make("T0", 0), make("T1", 1), make("T2", 1), make("T3", 2)]
    one = record([[10.0], [10.05], [10.07], [NAN]])
    (steadied,) = pool_runs([one], makes, 5)
    assert steadied.means[0, 0] == 10.0
    assert np.isnan(steadied.means[3, 0])
    assert np.isnan(steadied.sds[3, 0])
    assert steadied.sds[0, 0] == independent(0.01 * np.sqrt(1 + 1 / 5), way="a part beside a mean of 5")
    assert 10.05 <= steadied.means[1, 0] <= steadied.means[2, 0] <= 10.07


def test_two_makes_of_one_run_stay_one() -> None:
    makes = [make("T1"), make("T2"), make("T2")]
    (steadied,) = pool_runs([record([[10.0], [10.02], [10.02]])], makes, 5)
    (plain,) = pool_runs([record([[10.0], [10.02]])], makes[:2], 5)
    assert steadied.means[1:, 0].tolist() == [plain.means[1, 0]] * 2

"""Random streams, runs on whatever executor, stopping half-way, the warm-up's end, and what more gives."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from itertools import islice, pairwise

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.pilot.simulation import (
    Addition,
    Intake,
    Line,
    LineSimulated,
    More,
    RandomTime,
    TimeShape,
    WhatMoreGives,
    all_additions,
    constant_time,
    simulate_line,
    what_more_gives,
)
from offtool.core.pilot.simulation.draws import Purpose, stream, times
from offtool.core.pilot.simulation.estimates import estimate_mean
from offtool.core.pilot.simulation.run import run_line
from offtool.core.pilot.simulation.warm_up import warm_up_marks
from offtool.core.values import OfftoolError, Verdict
from tests.core.laws import law
from tests.core.pilot.simulation.lines import ALONE_PER_H, in_a_row, random_row, station
from tests.coverage.line import random_row_of_known_rate
from tests.labels import independent


@pytest.mark.parametrize(
    "time",
    [
        RandomTime(shape=TimeShape.LOGNORMAL, mean_s=20, spread_s=6),
        RandomTime(shape=TimeShape.GAMMA, mean_s=20, spread_s=30),
        RandomTime(shape=TimeShape.EXPONENTIAL, mean_s=20),
        RandomTime(shape=TimeShape.MEASURED, readings_s=(10.0, 20.0, 45.0)),
    ],
    ids=lambda one: one.shape.value,
)
def test_drawn_times_have_the_mean_and_spread_that_were_given(time: RandomTime) -> None:
    drawn = np.array(list(islice(times(time, np.random.default_rng(7)), 200_000)))
    readings = np.array(time.readings_s or [0.0])
    spread = time.spread_s or (float(readings.std()) if time.readings_s else time.mean_s)
    assert drawn.mean() == independent(time.middle_s, way="as given", within=4 * spread / 200_000**0.5)
    assert drawn.std() == independent(spread, way="as given", rel=0.05)
    assert drawn.min() > 0


def test_lognormal_times_have_the_median_of_a_lognormal() -> None:
    time = RandomTime(shape=TimeShape.LOGNORMAL, mean_s=20, spread_s=10)
    drawn = np.array(list(islice(times(time, np.random.default_rng(7)), 200_000)))
    assert np.median(drawn) == independent(20 / (1 + 0.25) ** 0.5, way="mean / √(1 + cv²)", rel=0.01)


def test_a_stream_belongs_to_its_run_station_purpose_and_place() -> None:
    def first(run: int, who: str, purpose: Purpose, place: int) -> float:
        return float(stream(5, run, who, purpose, place).random())

    keys = [
        (run, who, purpose, place)
        for run in (0, 1)
        for who in ("weld", "weld 2", "paint")
        for purpose in Purpose
        for place in (0, 1)
    ]
    assert len({first(*key) for key in keys}) == len(keys)
    assert first(*keys[3]) == first(*keys[3])


def test_a_station_more_shifts_nobody_elses_numbers() -> None:
    """What the first two stations do when a third, that never holds them up, is added behind."""
    times_ = [RandomTime(shape=TimeShape.GAMMA, mean_s=10, spread_s=4)] * 2
    two = run_line(in_a_row(times_, (2,)), 2, 9, 0)
    three = run_line(in_a_row([*times_, constant_time(0.1)], (2, None)), 2, 9, 0)
    assert two is not None
    assert three is not None
    assert np.array_equal(two.spent_s, three.spent_s[:, :2])


def test_the_same_seed_gives_the_same_answer_on_any_executor() -> None:
    """Processes and a cluster, which take long to start, are held where they are chosen."""
    line = random_row(1, 2)
    here = simulate_line(line, hours=1, runs=6, seed=4)
    with ThreadPoolExecutor(3) as threads:
        assert simulate_line(line, hours=1, runs=6, seed=4, executor=threads) == here
    assert simulate_line(line, hours=1, runs=6, seed=5).per_h != here.per_h


@pytest.mark.parametrize("threads", [0, 2])
def test_progress_is_told_and_a_stop_leaves_what_was_done(threads: int) -> None:
    seen: list[tuple[int, int]] = []
    line = random_row(1)
    pool = ThreadPoolExecutor(threads) if threads else None
    found = simulate_line(
        line, hours=0.5, runs=400, executor=pool,
        progress=lambda done, of: seen.append((done, of)), stop=lambda: len(seen) >= 4,
    )  # fmt: skip
    if pool is not None:
        pool.shutdown()
    assert [one for one, _ in seen] == list(range(1, len(seen) + 1))
    assert {of for _, of in seen} == {400}
    assert found.stopped
    assert 1 <= found.runs < 400
    assert any(f"{found.runs} of 400 runs are done" in str(one) for one in found.cautions)
    assert found.per_h == simulate_line(line, hours=0.5, runs=found.runs).per_h


@pytest.mark.parametrize("threads", [0, 2])
def test_what_is_known_so_far_is_what_so_many_runs_would_have_given(threads: int) -> None:
    line, seen, compared = random_row(1), list[LineSimulated](), list[WhatMoreGives]()
    pool = ThreadPoolExecutor(threads) if threads else None
    simulate_line(line, hours=0.5, runs=20, executor=pool, so_far=seen.append)
    what_more_gives(
        line, all_additions(line), hours=0.5, runs=10, executor=pool, so_far=compared.append
    )  # fmt: skip
    if pool is not None:
        pool.shutdown()
    counts = [one.runs for one in seen]
    assert counts[0] >= 4
    assert all(after >= 2 * before for before, after in pairwise(counts))
    assert threads or counts == [4, 8, 16]
    for one in seen:
        assert one.per_h == simulate_line(line, hours=0.5, runs=one.runs).per_h
    assert compared[0].runs >= 4
    alone = what_more_gives(line, all_additions(line), hours=0.5, runs=compared[0].runs)
    assert compared[0].gains == alone.gains


def test_every_run_lies_between_the_least_and_the_most_and_the_counts_only_grow() -> None:
    found = simulate_line(random_row(1, 2), hours=1, runs=12)
    least, output, most = map(np.array, (found.output_least, found.output, found.output_most))
    assert (least <= output).all()
    assert (output <= most).all()
    assert all((np.diff(one) >= 0).all() for one in (least, output, most))
    single = [simulate_line(random_row(1, 2), hours=1, runs=n).good.value * n for n in (1, 2, 3)]
    of_each = np.diff([0.0, *single])
    assert least[-1] <= of_each.min()
    assert of_each.max() <= most[-1]


def test_a_stop_before_the_first_run_is_said() -> None:
    with pytest.raises(OfftoolError, match="stopped before a run was done"):
        simulate_line(random_row(1), hours=0.5, runs=2, stop=lambda: True)


@law(level=st.floats(-5, 5), seed=st.integers(0, 1000), rise=st.integers(0, 20))
def test_the_cut_is_the_one_that_a_plain_search_finds(level: float, seed: int, rise: int) -> None:
    rng = np.random.default_rng(seed)
    series = level + rng.normal(size=120) + 20 * np.exp(-np.arange(120) / (rise + 0.1))
    means = series.reshape(-1, 5).mean(axis=1)
    spread = [float(means[cut:].var() / (means.size - cut)) for cut in range(means.size // 2 + 1)]
    assert warm_up_marks(series) == 5 * int(np.argmin(spread))


def test_a_line_that_starts_empty_is_cut_where_it_has_filled() -> None:
    flat = np.full(200, 3.0)
    ramp = np.concatenate([np.linspace(0, 3, 40), flat])
    assert warm_up_marks(flat) == 0
    assert warm_up_marks(ramp) == independent(40, way="where the ramp ends", within=5)
    assert warm_up_marks(np.arange(200.0)) == independent(100, way="never settles: the half")
    assert warm_up_marks(np.arange(4.0)) == 0


def test_a_queue_that_grows_is_said_not_to_have_settled() -> None:
    line = in_a_row([constant_time(8.0), RandomTime(shape=TimeShape.GAMMA, mean_s=10, spread_s=3)], (None,))
    found = simulate_line(line, hours=4, runs=10)
    assert not found.settled
    assert any("has not settled" in str(one) for one in found.cautions)
    assert simulate_line(random_row(2), hours=4, runs=10).settled


def test_the_interval_of_runs_is_students() -> None:
    values = np.array([10.0, 12.0, 11.0, 15.0])
    found = estimate_mean(values, 0.9)
    assert found.interval is not None
    low, high = stats.t.interval(0.9, 3, loc=values.mean(), scale=stats.sem(values))
    assert (found.interval.low, found.interval.high) == independent((low, high), way="scipy.stats.t")
    assert estimate_mean(values[:1], 0.9).interval is None


def test_a_single_run_has_an_interval_of_its_batches_and_says_so() -> None:
    found = simulate_line(random_row(3), hours=40, runs=1)
    assert found.per_h.count == 10
    assert found.per_h.interval is not None
    assert found.one_run_per_h is None
    assert any("one run alone" in str(one) for one in found.cautions)
    many = simulate_line(random_row(3), hours=8, runs=5)
    assert many.one_run_per_h is not None
    assert many.per_h.interval is not None
    assert many.one_run_per_h.half_width > 2 * many.per_h.interval.half_width


def test_the_interval_holds_the_known_rate_about_as_often_as_it_claims() -> None:
    """A quick look; `python -m tests.coverage` tries it in many more worlds."""
    rng, worlds = np.random.default_rng(11), 40
    held = sum(random_row_of_known_rate(rng) for _ in range(worlds))
    assert 0.95 - 4 * (0.95 * 0.05 / worlds) ** 0.5 <= held / worlds


def test_one_more_place_gives_what_the_closed_form_says_and_common_numbers_tell_it_sooner() -> None:
    line = random_row(1)
    place = Addition(more=More.PLACE, station="2", item="1")
    found = what_more_gives(line, [place], hours=10, runs=20, confidence=0.9999)
    gain = found.gains[0]
    assert gain.gain_per_h.interval is not None
    assert gain.gain_per_h.value == independent(
        (4 / 5 - 3 / 4) * ALONE_PER_H, way="(B + 2) / (B + 3)", within=gain.gain_per_h.interval.half_width
    )
    assert gain.shown is Verdict.HOLDS
    assert gain.interval_apart > 2
    assert found.words.startswith("one more buffer place for 1 at 2 gives")
    assert found.base == simulate_line(line, hours=10, runs=20, confidence=0.9999)


def test_what_never_fills_gains_exactly_nothing() -> None:
    line = in_a_row([constant_time(10.0), constant_time(9.0)], (5,))
    found = what_more_gives(line, all_additions(line), hours=1, runs=3, warm_up_h=0.5)
    by_words = {one.addition.words: one for one in found.gains}
    nothing = by_words["one more buffer place for 1 at 2"]
    assert nothing.gain_per_h.value == 0
    assert nothing.shown is Verdict.NOT_SHOWN
    assert found.gains[0].addition.words == "one more person at 1"
    assert found.gains[0].gain_per_h.value == independent(400 - 360, way="3600 / 9 less 3600 / 10", within=4)


def test_many_intervals_are_each_wider_than_one() -> None:
    line = random_row(1)
    place = Addition(more=More.PLACE, station="2", item="1")
    alone = what_more_gives(line, [place], hours=1, runs=5).gains[0].gain_per_h.interval
    among = what_more_gives(line, all_additions(line), hours=1, runs=5)
    same = next(one for one in among.gains if one.addition == place).gain_per_h.interval
    assert alone is not None
    assert same is not None
    assert same.half_width > alone.half_width
    assert any("3 additions were compared" in str(one) for one in among.cautions)


def test_additions_are_people_limited_places_and_counted_fixtures() -> None:
    line = Line(
        stations=(
            station("glue", endless=True, fixtures=3),
            station("pack", takes=(Intake(item="glue", places=None),)),
        )
    )
    assert [one.words for one in all_additions(line)] == [
        "one more person at glue",
        "one more fixture at glue",
        "one more person at pack",
    ]


@pytest.mark.parametrize(
    ("planned", "verdict"), [(290.0, Verdict.HOLDS), (330.0, Verdict.FAILS), (306.0, Verdict.NOT_SHOWN)]
)
def test_a_plan_is_reached_by_the_whole_interval_or_is_not_shown(planned: float, verdict: Verdict) -> None:
    line = Line(stations=random_row(3).stations, planned_per_h=planned)
    found = simulate_line(line, hours=8, runs=10, seed=2)
    assert found.per_h.interval is not None
    if verdict is Verdict.NOT_SHOWN:  # a plan within the interval, wherever that lies
        line = Line(stations=line.stations, planned_per_h=found.per_h.value)
        found = simulate_line(line, hours=8, runs=10, seed=2)
    assert found.plan is verdict
    assert {"holds": "reaches", "does not hold": "does not reach", "not shown": "does not show"}[
        verdict.value
    ] in found.words

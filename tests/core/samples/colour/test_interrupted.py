"""Which run was interrupted: the exact answer of every possibility counted, and right where it is sure."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from time import perf_counter
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, stats

from offtool.core.colour import ciede2000
from offtool.core.colour.spaces import linear_from_lab
from offtool.core.samples.colour import (
    NO_COLOUR_LOG_DENSITY,
    InterruptedRun,
    Job,
    PartColour,
    colour_log_likelihood,
    interrupted_run,
)
from offtool.core.samples.colour.likelihood import GAMUT_VOLUME_DE
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.samples.colour.shop import (
    NEW_YEAR,
    a_piece,
    a_shop,
    count_every_way,
    exact_density,
)
from tests.labels import independent

PIECES = 400
PRIOR = 0.1


def job(
    code: str,
    press: str,
    lab: tuple[float, float, float],
    begins: int,
    ends: int,
    **more: Any,
) -> Job:
    return Job(
        code=code, press=press, product=more.pop("product", "otter"), lightness=lab[0], a=lab[1], b=lab[2],
        spread_de=0.6, begins=NEW_YEAR + timedelta(begins), ends=NEW_YEAR + timedelta(ends), **more,
    )  # fmt: skip


def part(name: str, tool: str, lab: tuple[float, float, float], uncertainty: float = 1.0) -> PartColour:
    return PartColour(
        part=name,
        tool=tool,
        lightness=lab[0],
        a=lab[1],
        b=lab[2],
        uncertainty_de=uncertainty,
    )


RED, BLUE, TAN = (45.0, 60.0, 35.0), (35.0, 5.0, -45.0), (70.0, 10.0, 25.0)
JOBS = [
    job("J1", "P1", RED, 0, 20),
    job("J2", "P2", BLUE, 0, 20),
    job("J3", "P1", RED, 30, 50, product="heron"),
    job("J4", "P2", TAN, 30, 50, product="heron"),
]
PRESSES = {"M1": frozenset({"P1"}), "M2": frozenset({"P2"})}


def test_all_parts_together_tell_what_each_alone_cannot() -> None:
    found = interrupted_run([part("body", "M1", RED), part("arm", "M2", BLUE)], JOBS, presses=PRESSES)
    body = found.parts[0]
    assert found.best is not None
    assert found.best.jobs == ("J1", "J2")
    assert found.best.probability > 0.95
    assert (found.best.begins, found.best.ends) == (JOBS[0].begins, JOBS[0].ends)
    assert body.alone[0].probability == pytest.approx(body.alone[1].probability)
    assert body.jobs[0].code == "J1"
    assert found.words == "shot while J1 and J2 (otter) ran, between 2026-01-01 and 2026-01-21: over 99.9 %"


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("parts_a_tool", [1, 2])
def test_the_answer_is_that_of_every_possibility_counted(seed: int, parts_a_tool: int) -> None:
    rng = np.random.default_rng(seed)
    shop = a_shop(rng, presses=3, days=60, colours=4, tools=2)
    piece = a_piece(shop, rng, uncertainty=4.0, prior_none=0.3, parts_a_tool=parts_a_tool)
    bounds = {"earliest": NEW_YEAR + timedelta(12), "latest": NEW_YEAR + timedelta(48)} if seed % 2 else {}
    counted = count_every_way(piece.parts, shop.jobs, shop.presses, 0.2, **bounds)
    found = interrupted_run(piece.parts, shop.jobs, presses=shop.presses, prior_none=0.2, **bounds)

    none = counted.sets.pop(frozenset(), 0.0)
    assert found.none_probability == independent(none, way="every possibility", rel=1e-9)
    for one in found.sets:
        assert one.probability == pytest.approx(counted.sets[frozenset(one.jobs)], abs=0.02)
    listed = sum(one.probability for one in found.sets)
    assert listed + found.rest_probability + none == pytest.approx(1)
    for one in found.parts:
        for chance in one.jobs:
            assert chance.probability == pytest.approx(counted.parts[one.part, chance.code], abs=1e-9)
    for span in found.spans:
        days = sum(chance for day, chance in counted.days.items() if span.begins <= day <= span.ends)
        assert span.probability == pytest.approx(days, abs=1e-9)
    for one in found.products:
        assert one.probability == pytest.approx(counted.products[one.product], abs=1e-9)
    assert found.days == len({day for span in found.spans for day in _days(span.begins, span.ends)})


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(one) for one in range((last - first).days + 1)]


@pytest.mark.parametrize("seed", range(6))
def test_sets_that_are_followed_come_out_exact(seed: int) -> None:
    """The rest that is not followed is all that is missing."""
    rng = np.random.default_rng(seed)
    shop = a_shop(rng, presses=3, days=60, colours=4, tools=2)
    piece = a_piece(shop, rng, uncertainty=2.0, prior_none=0.1)
    counted = count_every_way(piece.parts, shop.jobs, shop.presses, PRIOR)
    found = interrupted_run(piece.parts, shop.jobs, presses=shop.presses)
    missing = sum(counted.sets[frozenset(one.jobs)] - one.probability for one in found.sets)
    assert 0 <= missing + 1e-12 <= found.rest_probability + 2e-12
    assert found.rest_probability < 0.02


@cache
def pieces() -> list[tuple[Any, Any, InterruptedRun]]:
    """Pieces of many shops, with the exact posterior by the world's own densities."""
    found = []
    for seed in range(PIECES):
        rng = np.random.default_rng(seed)
        shop = a_shop(rng)
        piece = a_piece(shop, rng, uncertainty=float(rng.choice([0.5, 1.5, 3.0])), prior_none=PRIOR)
        bound = count_every_way(piece.parts, shop.jobs, shop.presses, PRIOR, density=exact_density)
        found.append(
            (
                piece,
                bound,
                interrupted_run(piece.parts, shop.jobs, presses=shop.presses),
            )
        )
    return found


def answer(run: InterruptedRun) -> frozenset[str]:
    """The likeliest set of jobs, empty for none of them."""
    if run.best is None or run.none_probability > run.best.probability:
        return frozenset()
    return frozenset(run.best.jobs)


def test_where_the_exact_posterior_reaches_80_percent_the_answer_is_right() -> None:
    sure = [one for one in pieces() if max(one[1].sets.values()) >= 0.8]
    right = [answer(run) == frozenset(piece.shown.values()) for piece, _, run in sure]
    assert len(sure) > PIECES / 4
    assert np.mean(right) >= 0.95


def test_it_loses_little_against_the_exact_posterior() -> None:
    truth = [frozenset(piece.shown.values()) for piece, _, _ in pieces()]
    ours = np.mean([answer(run) == true for (_, _, run), true in zip(pieces(), truth, strict=True)])
    bound = np.mean([exact.best == true for (_, exact, _), true in zip(pieces(), truth, strict=True)])
    assert ours >= bound - 0.02


def test_its_probabilities_mean_what_they_say() -> None:
    said = np.array([run.best.probability if run.best else 0.0 for _, _, run in pieces()])
    right = np.array([
        run.best is not None and frozenset(run.best.jobs) == frozenset(piece.shown.values())
        for piece, _, run in pieces()
    ])  # fmt: skip
    edges = np.quantile(said, [0.25, 0.5, 0.75])
    bins = np.digitize(said, edges)
    gap = sum(abs(said[bins == one].sum() - right[bins == one].sum()) for one in range(4)) / len(said)
    assert gap < 0.06


def test_all_parts_at_once_beat_each_part_alone() -> None:
    together, alone = [], []
    for piece, _, run in pieces():
        for one in run.parts:
            if one.part in piece.shown:
                together.append(bool(one.jobs) and one.jobs[0].code == piece.shown[one.part])
                alone.append(bool(one.alone) and one.alone[0].code == piece.shown[one.part])
    assert np.mean(together) > np.mean(alone) + 0.1


def test_a_spread_wrong_by_a_third_costs_little() -> None:
    right = {}
    for factor in (2 / 3, 1.0, 4 / 3):
        hits = []
        for seed in range(150):
            rng = np.random.default_rng(seed)
            shop = a_shop(rng)
            piece = a_piece(
                shop,
                rng,
                uncertainty=float(rng.choice([0.5, 1.5, 3.0])),
                prior_none=PRIOR,
            )
            told = [replace(one, uncertainty_de=one.uncertainty_de * factor) for one in piece.parts]
            jobs = [replace(one, spread_de=one.spread_de * factor) for one in shop.jobs]
            run = interrupted_run(told, jobs, presses=shop.presses)
            hits.append(answer(run) == frozenset(piece.shown.values()))
        right[factor] = np.mean(hits)
    assert min(right.values()) > right[1.0] - 0.03


def test_a_colour_of_no_job_is_said_to_be_none() -> None:
    found = interrupted_run([part("body", "M1", (60.0, -50.0, 40.0))], JOBS, presses=PRESSES)
    assert found.none_probability > 0.99
    assert "a colour of none of the jobs" in found.words


def test_dates_bound_the_days() -> None:
    body = [part("body", "M1", RED)]
    late = interrupted_run(body, JOBS, presses=PRESSES, earliest=JOBS[2].begins)
    assert late.best is not None
    assert late.best.jobs == ("J3",)
    assert late.days == 21
    early = interrupted_run(body, JOBS, presses=PRESSES, latest=NEW_YEAR)
    assert early.days == 1
    with pytest.raises(NotEnoughData, match="no job ran between"):
        interrupted_run(body, JOBS, presses=PRESSES, earliest=date(2027, 1, 1))


def test_a_tool_that_no_running_press_can_hold_says_nothing() -> None:
    found = interrupted_run([part("body", "M1", RED)], JOBS, presses={"M1": frozenset({"P9"})})
    assert found.none_probability == pytest.approx(1)
    assert found.best is None
    assert "able to hold M1" in str(found.cautions[0])


def test_no_presses_named_means_any() -> None:
    free = interrupted_run([part("body", "M1", TAN)], JOBS, presses={})
    named = interrupted_run([part("body", "M1", TAN)], JOBS, presses={"M1": frozenset({"P1", "P2"})})
    assert free.sets == named.sets


@law(shift=st.integers(-2000, 2000))
def test_the_calendar_may_be_moved(shift: int) -> None:
    parts = [part("body", "M1", RED, 3.0), part("arm", "M2", TAN, 3.0)]
    by = timedelta(shift)
    moved = [replace(one, begins=one.begins + by, ends=one.ends + by) for one in JOBS]
    there, here = (interrupted_run(parts, jobs, presses=PRESSES) for jobs in (moved, JOBS))
    assert [one.probability for one in there.sets] == [one.probability for one in here.sets]
    assert there.best is not None
    assert here.best is not None
    assert there.best.begins == here.best.begins + by


@law(order=st.permutations(range(4)))
def test_the_order_of_jobs_and_parts_does_not_matter(order: list[int]) -> None:
    parts = [part("body", "M1", RED, 3.0), part("arm", "M2", TAN, 3.0)]
    there = interrupted_run(parts[::-1], [JOBS[place] for place in order], presses=PRESSES)
    here = interrupted_run(parts, JOBS, presses=PRESSES)
    assert {frozenset(one.jobs): pytest.approx(one.probability) for one in there.sets} == {
        frozenset(one.jobs): one.probability for one in here.sets
    }


@law(prior=st.floats(0.001, 0.8), more=st.floats(0.001, 0.19))
def test_none_is_likelier_the_more_of_it_is_expected(prior: float, more: float) -> None:
    body = [part("body", "M1", (48.0, 58.0, 33.0))]
    low, high = (
        interrupted_run(body, JOBS, presses=PRESSES, prior_none=one) for one in (prior, prior + more)
    )
    assert high.none_probability > low.none_probability


def test_a_longer_run_is_likelier_of_two_alike() -> None:
    jobs = [job("long", "P1", RED, 0, 29), job("short", "P1", RED, 40, 49)]
    found = interrupted_run([part("body", "M1", RED)], jobs, presses=PRESSES)
    assert [one.jobs for one in found.sets] == [("long",), ("short",)]
    assert found.sets[0].probability / found.sets[1].probability == pytest.approx(30 / 10)


def test_where_the_run_stays_open_the_product_may_be_sure() -> None:
    jobs = [JOBS[0], replace(JOBS[2], product="otter")]
    found = interrupted_run([part("body", "M1", RED)], jobs, presses=PRESSES)
    assert "cannot tell which run: J" in found.words
    assert "a run of otter all the same" in found.words


def test_two_runs_in_one_colour_are_said_to_look_alike() -> None:
    found = interrupted_run([part("body", "M1", RED)], JOBS, presses=PRESSES)
    assert "cannot tell which run" in found.words
    assert any("J1 and J3 lie 0.0 apart" in str(one) for one in found.cautions)


def test_a_part_of_another_day_is_named() -> None:
    jobs = [*JOBS, job("J5", "P2", (80.0, -40.0, 60.0), 60, 90, product="heron")]
    parts = [
        part("body", "M1", RED), part("leg", "M1", RED), part("arm", "M2", BLUE),
        part("tail", "M4", (80.0, -40.0, 60.0)),
    ]  # fmt: skip
    found = interrupted_run(parts, jobs, presses={**PRESSES, "M4": frozenset({"P2"})})
    assert any("tail alone would be of J5" in str(one) for one in found.cautions)


def test_lights_are_brought_together() -> None:
    under_d50 = replace(part("body", "M1", RED), light="D50/2")
    found = interrupted_run([under_d50], JOBS, presses=PRESSES)
    assert any("different lights" in str(one) for one in found.cautions)


@pytest.mark.parametrize(
    ("change", "error", "said"),
    [
        ({"jobs": []}, NotEnoughData, "no jobs are known"),
        ({"parts": []}, NotEnoughData, "no part has a colour"),
        ({"jobs": [JOBS[0], JOBS[0]]}, ImpossibleInput, "names two jobs"),
        (
            {"jobs": [replace(JOBS[0], ends=date(2020, 1, 1))]},
            ImpossibleInput,
            "before it begins",
        ),
        ({"jobs": [replace(JOBS[0], spread_de=-1.0)]}, ImpossibleInput, "spread of J1"),
        (
            {"parts": [part("body", "M1", (float("nan"), 0.0, 0.0))]},
            ImpossibleInput,
            "colour of body",
        ),
        ({"prior_none": 0.0}, ImpossibleInput, "prior_none"),
        (
            {"earliest": date(2026, 2, 1), "latest": date(2026, 1, 1)},
            ImpossibleInput,
            "latest",
        ),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, Any], error: type[Exception], said: str) -> None:
    asked = {
        "parts": [part("body", "M1", RED)],
        "jobs": JOBS,
        "presses": PRESSES,
        **change,
    }
    with pytest.raises(error, match=said):
        interrupted_run(asked.pop("parts"), asked.pop("jobs"), **asked)


def test_the_density_is_that_of_three_normal_axes_a_tenth_of_it_twice_as_wide() -> None:
    apart = float(ciede2000(RED, TAN))
    sd = float(np.hypot(0.6, 9.0))
    axes = [
        share * stats.norm.pdf(apart, 0, wide * sd) * stats.norm.pdf(0, 0, wide * sd) ** 2
        for share, wide in ((0.9, 1), (0.1, 2))
    ]
    found = colour_log_likelihood(RED, 9.0, [TAN], 0.6)
    assert found[0] == independent(float(np.log(sum(axes))), way="scipy.stats.norm, one axis at a time")


def test_the_density_adds_up_to_one() -> None:
    """Over shells of CIEDE2000 around a colour."""

    def shell(apart: float) -> float:
        grey = (50.0 + apart, 0.0, 0.0)
        scaled = float(ciede2000(grey, (50.0, 0.0, 0.0)))
        return float(4 * np.pi * scaled**2 * np.exp(colour_log_likelihood(grey, 0.8, [(50, 0, 0)], 0.6)[0]))

    # within a few units of L 50 its weight is 1, so a step of lightness is a step of the formula
    total = integrate.quad(shell, 0, 12, limit=200)[0]
    assert total == independent(1.0, way="a density", within=0.02)


def test_the_flat_density_is_one_over_the_colours_of_a_screen() -> None:
    """The volume by CIEDE2000: random CIELAB, each with the cube that the formula's own slope gives it."""
    rng = np.random.default_rng(7)
    box = np.array([[0.0, 100.0], [-90.0, 100.0], [-110.0, 95.0]])
    lab = rng.uniform(box[:, 0], box[:, 1], (100_000, 3))
    light = linear_from_lab(lab)
    lab = lab[((light >= 0) & (light <= 1)).all(axis=1)]
    step = 1e-3

    def squared(along: np.ndarray) -> np.ndarray:
        return (ciede2000(lab - along * step / 2, lab + along * step / 2) / step) ** 2

    slope = np.empty((len(lab), 3, 3))
    axes = np.eye(3)
    for i in range(3):
        for j in range(3):
            slope[:, i, j] = (squared(axes[i] + axes[j]) - squared(axes[i] - axes[j])) / 4
    share = float(np.sqrt(np.linalg.det(slope)).sum()) / 100_000
    volume = share * float(np.prod(np.ptp(box, axis=1)))
    assert independent(volume, way="100,000 random colours", rel=0.03) == GAMUT_VOLUME_DE
    assert pytest.approx(-np.log(GAMUT_VOLUME_DE)) == NO_COLOUR_LOG_DENSITY


def test_many_jobs_are_answered_at_once() -> None:
    rng = np.random.default_rng(5)
    shop = a_shop(rng, presses=12, days=3 * 365, colours=40, tools=8)
    piece = a_piece(shop, rng, uncertainty=1.0, prior_none=PRIOR)
    start = perf_counter()
    found = interrupted_run(piece.parts, shop.jobs, presses=shop.presses)
    assert len(shop.jobs) > 400
    assert perf_counter() - start < 5
    assert found.sets

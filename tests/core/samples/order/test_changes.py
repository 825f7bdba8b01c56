"""Orders of changes with ties: how many there are, how readings are weighed, and that walks stay true."""

from __future__ import annotations

from itertools import count, product
from math import log

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.samples.order.changes import NEVER, Changes, Prior
from offtool.core.samples.order.every_order import every_order, weigh
from offtool.core.samples.order.lot import SHARES_OF_USUAL, Columns, columns_of
from offtool.core.samples.order.placing import Places, log_likelihood
from offtool.core.samples.order.sums import mean_of, sum_up
from offtool.core.samples.order.walk import Walk
from tests.core.laws import law
from tests.core.samples.order.made import noisy
from tests.labels import independent, remembered

PRIOR = Prior(together=0.5, repaired=0.1)
PLAIN = Prior(together=0.5, repaired=0.0)


def columns(samples: int, details: int, seed: int) -> Columns:
    """Of the first lot from this seed on in which every detail tells something."""
    for one in count(1_000 * seed):
        found = columns_of(noisy(samples, details, one), missed=0.05, imagined=0.03)[0]
        if found.count == details:
            return found
    raise AssertionError


@pytest.mark.parametrize(("details", "orders"), [(2, "3"), (3, "13"), (4, "75"), (5, "541"), (6, "4683")])
def test_every_order_with_ties_is_found_once(details: int, orders: str) -> None:
    found = every_order(columns(30, details, 4), PLAIN)
    assert len(found) == remembered(orders, source="ordered Bell numbers, OEIS A000670")
    assert len({tuple(one.came) for one in found}) == len(found)


def test_every_order_with_undoings_is_found_once() -> None:
    """One detail: it stays, or is undone in a later step. Two: counted by hand of all step numbers."""
    found = every_order(columns(30, 2, 4), PRIOR)
    counted = {
        (a, b, c, d)
        for a, c, b, d in product(range(1, 5), range(1, 5), (*range(1, 5), NEVER), (*range(1, 5), NEVER))
        if a < b and c < d
        for used in [{one for one in (a, b, c, d) if one < NEVER}]
        if used == set(range(1, len(used) + 1))
    }
    assert {(*_pair(one, 0), *_pair(one, 1)) for one in found} == counted
    assert len(found) == len(counted)


def _pair(changes: Changes, column: int) -> tuple[int, int]:
    return int(changes.came[column]), int(changes.undone[column])


def test_the_prior_of_orders_with_ties_adds_up_to_one() -> None:
    orders = every_order(columns(30, 5, 4), PLAIN)
    total = sum(np.exp(PLAIN.of(one)) for one in orders)
    assert total == independent(0.5, way="a step is opened with 1/2, the first one too", rel=1e-9)


def test_a_pair_of_details_is_together_half_of_the_time_before_anything_is_seen() -> None:
    orders = every_order(columns(30, 2, 4), PLAIN)
    weights = np.exp([PLAIN.of(one) for one in orders])
    ties = sum(weight for one, weight in zip(orders, weights, strict=True) if one.steps == 1)
    assert ties / weights.sum() == independent(0.5, way="two changes share a step with 1/2")


def test_readings_are_weighed_sample_by_sample_and_state_by_state() -> None:
    found = columns(5, 4, 2)
    changes = Changes(np.array([1, 2, 2, 3]), np.array([NEVER, NEVER, 3, NEVER]), 3)
    steel = [(0, 0, 0, 0), (1, 0, 0, 0), (1, 1, 1, 0), (1, 1, 0, 1)]
    rate = {(1, 1): 0.95, (1, 0): 0.05, (0, 1): 0.03, (0, 0): 0.97}
    total = 0.0
    for row in found.read.tolist():
        likely = [
            np.prod([rate[there, one] for there, one in zip(state, row, strict=True) if one >= 0])
            for state in steel
        ]
        total += log(sum(likely) / 4)
    assert log_likelihood(found, changes) == independent(total, way="product of rates, state by state")


@law(seed=st.integers(0, 500), column=st.integers(0, 3), examples=30)
def test_the_places_of_a_column_are_weighed_as_whole_orders_are(seed: int, column: int) -> None:
    """What a walk draws by is the posterior itself: both differ by a constant over all places."""
    found = columns(9, 4, seed)
    generator = np.random.default_rng(seed)
    orders = every_order(found, PLAIN)
    rest = orders[int(generator.integers(len(orders)))].copy()
    rest.take_out(column)
    places = Places.of(found, rest, PRIOR, column)
    stated, whole = [], []
    for slot, one in enumerate(places.once_all):
        stated.append(one)
        whole.append(_whole(found, rest, column, slot, None))
    undone = places.undone(places.slots.starts, places.slots.ends)
    for start, end, one in zip(places.slots.starts.tolist(), places.slots.ends.tolist(), undone, strict=True):
        stated.append(one)
        whole.append(_whole(found, rest, column, start, end))
    assert np.ptp(np.array(stated) - np.array(whole)) < 1e-9


def _whole(found: Columns, rest: Changes, column: int, slot: int, end: int | None) -> float:
    order = rest.copy()
    order.put_in(column, slot, end)
    return log_likelihood(found, order) + PRIOR.of(order)


@law(seed=st.integers(0, 1000))
def test_a_column_left_out_and_put_back_where_it_was_changes_nothing(seed: int) -> None:
    generator = np.random.default_rng(seed)
    orders = every_order(columns(30, 3, 4), PRIOR)
    before = orders[int(generator.integers(len(orders)))]
    after = before.copy()
    column = int(generator.integers(3))
    after.put_in(column, *after.take_out(column))
    assert (after.came.tolist(), after.undone.tolist(), after.steps) == (
        before.came.tolist(),
        before.undone.tolist(),
        before.steps,
    )


@pytest.mark.parametrize(("details", "prior"), [(3, PRIOR), (5, PLAIN)])
def test_a_long_walk_finds_what_all_orders_say(details: int, prior: Prior) -> None:
    found = columns(8, details, 11)
    misread = tuple(found.misread(times) for times in SHARES_OF_USUAL)
    exact = sum_up(*weigh(misread, prior, every_order(found, prior)))
    own = Walk(misread, prior, np.random.default_rng(2))
    came = np.arange(1, details + 1)
    ways = own.ways(Changes(came, np.full(details, NEVER), details), 2_500)
    walked = mean_of([sum_up(ways, np.full(len(ways), 1 / len(ways)))])
    for name in ("earlier", "same", "there", "came_first", "undone"):
        assert np.abs(getattr(exact, name) - getattr(walked, name)).max() < 0.05, name
    assert walked.missed == independent(exact.missed, way="all orders", within=0.005)

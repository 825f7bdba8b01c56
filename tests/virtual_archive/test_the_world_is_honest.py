"""The virtual archive does what it says, hides the truth, and its bound is exact by its own laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.virtual_archive.colours import Colour
from tests.virtual_archive.exact import chance_of_detail
from tests.virtual_archive.exact_sizes import where_it_stood
from tests.virtual_archive.lost import lose_a_third
from tests.virtual_archive.observed import pieces
from tests.virtual_archive.record import lay_beside, without_records, write_record
from tests.virtual_archive.worlds import COPY, CUT_SHARE, TURNS, Detail, Size, Tool, make_world

SEEDS = range(20)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_seed_is_the_same_world_and_the_same_pieces(seed: int) -> None:
    one, other = make_world(seed), make_world(seed)
    assert [tool.mean.tolist() for tool in one.tools] == [tool.mean.tolist() for tool in other.tools]
    assert one.origins == other.origins
    assert [repr(piece) for piece in pieces(one, 5)] == [repr(piece) for piece in pieces(other, 5)]
    assert one.origins != make_world(seed + 100).origins


def test_what_the_program_is_told_does_not_depend_on_the_truth() -> None:
    """Another truth behind the same sights gives the same case."""
    world = make_world(3)
    record = write_record(world, lose_a_third(world))
    for piece in pieces(world, 10):
        other = replace(piece, truth=0, swapped=tuple(True for _ in piece.parts))
        for first, second in (
            (lay_beside(record, piece), lay_beside(record, other)),
            (without_records(piece), without_records(other)),
        ):
            assert first.occasions == second.occasions
            for mine, theirs in zip(first.parts, second.parts, strict=True):
                for a, b in zip(mine.findings, theirs.findings, strict=True):
                    np.testing.assert_array_equal(a.log_likelihood, b.log_likelihood)


def test_worlds_are_as_the_handbook_in_the_middle() -> None:
    worlds = [make_world(seed) for seed in range(60)]
    assert all(np.isclose(one.shares.sum(), 1) for one in worlds)
    shares = np.mean([one.stage_shares for one in worlds], axis=0)
    assert shares[6] == pytest.approx(0.34, abs=0.05)  # production
    assert shares[COPY] == pytest.approx(0.05, abs=0.015)
    for one in worlds:
        assert all(table.sum(axis=1) == pytest.approx(np.ones(COPY + 1)) for table in one.tables.values())


def test_details_come_and_stay_and_the_last_state_has_them_all() -> None:
    for seed in SEEDS:
        for tool in make_world(seed).tools:
            for detail in tool.details:
                if detail.stays:
                    assert (np.diff(detail.there.astype(int)) >= 0).all()
                    assert detail.there[-1]
                    assert not detail.there[0]


def test_about_a_third_of_the_sheets_are_lost_and_one_of_sizes_is_left() -> None:
    lost, sheets = 0, 0
    for seed in range(100):
        world = make_world(seed)
        gone = lose_a_third(world)
        lost += len(gone.details)
        sheets += sum(tool.states for tool in world.tools)
        for j, tool in enumerate(world.tools):
            assert {(j, k) for k in range(tool.states)} - gone.sizes
    assert lost / sheets == pytest.approx(1 / 3, abs=0.04)


def simulated_moves(states: int, count: int, rng: np.random.Generator) -> np.ndarray:
    """How far a size had been moved in each state, many tools over."""
    cut = rng.random((count, states)) < CUT_SHARE
    cut[:, 0] = False
    return np.cumsum(np.where(cut, rng.uniform(0.02, 0.15, cut.shape), 0.0), axis=1)


def one_size(moved: list[float]) -> Tool:
    size = Size(name="peg", unit="mm", nominal=10, sd=0.01, cut=(0.02, 0.15), sign=1, grows=1, misread_by=1)
    table = np.array(moved)[:, None]
    return Tool(
        label="x",
        states=len(moved),
        cavities=1,
        sizes=(size,),
        base=np.zeros((1, 1)),
        moved=table,
        details=(),
    )


@pytest.mark.parametrize("whole", [0.05, 0.12, 0.2])
def test_the_bound_knows_where_a_size_stood_between_two_sheets(whole: float) -> None:
    """Of many simulated tools, those that were moved by as much in all: where they stood in between."""
    moves = simulated_moves(3, 1_000_000, np.random.default_rng(1))
    alike = moves[np.abs(moves[:, 2] - whole) < 0.002, 1]
    centres, shares = where_it_stood(one_size([0.0, np.nan, whole]), 0, 1, [0, 2])
    for edge in (0.01, 0.04, 0.1):
        expected = float((alike < edge).mean())
        assert float(shares[centres < edge].sum()) == pytest.approx(expected, abs=0.035)


def test_the_bound_knows_where_a_size_stood_after_the_last_sheet() -> None:
    moves = simulated_moves(3, 200_000, np.random.default_rng(2))[:, 2]
    centres, shares = where_it_stood(one_size([0.0, np.nan, np.nan]), 0, 2, [0])
    for edge in (0.001, 0.05, 0.1, 0.2):
        assert float(shares[centres < edge].sum()) == pytest.approx(float((moves < edge).mean()), abs=0.01)


def test_the_bound_fills_a_lost_sheet_of_an_insert_by_its_turns() -> None:
    """Between two states with it: it was there all the time, or turned twice."""
    there = chance_of_detail(Detail(name="x", stays=False, there=np.array([True, True, True])), [0, 2])
    stayed, turned = (1 - TURNS) ** 2, TURNS**2
    assert there.tolist() == pytest.approx([1, stayed / (stayed + turned), 1])


def test_a_colours_density_is_that_of_its_draws() -> None:
    """Shares of draws in a box about the centre against the density added up over it."""
    rng = np.random.default_rng(5)
    law = Colour(np.array([[50.0, 20.0, 10.0], [60.0, -10.0, 0.0]]), np.array([0.7, 0.3]))
    draws = np.array([law.drawn(rng, 1.0) for _ in range(8000)])
    half = 1.5
    inside = (np.abs(draws - law.centres[0]) < half).all(axis=1).mean()
    steps = np.linspace(-half, half, 13)[:-1] + half / 12
    grid = law.centres[0] + np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    added = sum(law.density(one, 1.0) for one in grid) * (2 * half / 12) ** 3
    assert added == pytest.approx(float(inside), abs=4 * np.sqrt(inside / 8000))

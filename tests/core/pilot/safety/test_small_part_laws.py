"""Laws of fitting; the search against shapes that were put into the gauge, and against many turns tried."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.pilot.safety import judge_small_part, small_part_box
from offtool.core.pilot.safety.bounds import never_fits, seen
from offtool.core.pilot.safety.turns import DIRECTIONS, TURNS, Cells, all_cells, frames, frames_up
from tests.core.laws import law
from tests.core.pilot.safety import shapes

SEEDS = st.integers(0, 10_000)
EDGES = st.floats(2, 70)


@law(seed=SEEDS, corners=st.integers(4, 40), share=st.floats(0.3, 0.98), examples=25)
def test_what_was_put_into_the_gauge_is_found_to_fit(seed: int, corners: int, share: float) -> None:
    """Points on the walls of a gauge that is a little smaller, turned and shifted so that nobody sees how."""
    planted = shapes.inside_gauge(corners, seed, share)
    assert shapes.out_of_gauge(planted, np.eye(3), np.zeros(3)) <= 1e-9
    assert judge_small_part(shapes.turned(planted, seed)).fits is True


@law(seed=SEEDS, a=EDGES, b=EDGES, c=EDGES, examples=25)
def test_turning_and_shifting_change_nothing(seed: int, a: float, b: float, c: float) -> None:
    shape = shapes.box(a, b, c)
    one, other = judge_small_part(shape), judge_small_part(shapes.turned(shape, seed))
    assert (one.fits is True) is (other.fits is True)


@law(a=EDGES, b=EDGES, c=EDGES, less=st.floats(0.05, 0.95), examples=25)
def test_what_is_cut_from_a_small_part_is_one(a: float, b: float, c: float, less: float) -> None:
    if small_part_box(a, b, c).fits:
        assert small_part_box(a, b * less, c).fits is True
    elif small_part_box(a, b * less, c).fits is False:
        assert small_part_box(a, b, c).fits is False


@law(seed=SEEDS, size=st.floats(5, 60), more=st.floats(1.01, 3), examples=20)
def test_a_larger_copy_of_what_does_not_fit_does_not_fit(seed: int, size: float, more: float) -> None:
    shape = np.random.default_rng(seed).uniform(-size / 2, size / 2, (12, 3))
    one, larger = judge_small_part(shape), judge_small_part(more * shape)
    if one.fits is False:
        assert larger.fits is not True
    if larger.fits:
        assert one.fits is True


@pytest.mark.parametrize("seed", range(3))
def test_no_turn_tried_at_random_beats_the_one_found(seed: int) -> None:
    """10 000 random turns, each slid as well as a grid allows: none fits where it is said that none does."""
    random = np.random.default_rng(seed)
    shape = random.uniform(-1, 1, (8, 3)) * random.uniform(10, 26, 3)
    found = judge_small_part(shape)
    q = random.normal(size=(10_000, 4))
    turned = np.einsum("kij,pj->kpi", frames(q / np.linalg.norm(q, axis=1, keepdims=True)), shape)
    best = np.inf
    for across in np.linspace(-3, 3, 7):
        for along in np.linspace(-6, 3, 10):
            middle = (turned[..., :2].max(axis=1) + turned[..., :2].min(axis=1)) / 2 + [across, along]
            x, y = np.moveaxis(turned[..., :2] - middle[:, None], -1, 0)
            wall = np.hypot(x, y).max(axis=1) - shapes.R
            length = turned[..., 2].max(axis=1) + (-turned[..., 2] - y).max(axis=1) - shapes.D
            best = min(best, float(np.maximum(wall, length / (1 + np.sqrt(2))).min()))
    if best <= 0:
        assert found.fits is True
    else:
        assert found.out_mm <= best


@law(seed=SEEDS, corners=st.integers(3, 30), examples=40)
def test_a_shape_inside_is_never_proven_outside(seed: int, corners: int) -> None:
    """Its own turn, and turns near to it with the reach that covers the way back."""
    planted = shapes.inside_gauge(corners, seed)
    assert not never_fits(seen(planted, np.eye(3)[None]), np.zeros(1))[0]
    random = np.random.default_rng(seed)
    q = np.append(1.0, random.normal(size=3) * 0.05)
    frame = frames(q[None] / np.linalg.norm(q))
    moved = np.linalg.norm(planted @ frame[0].T - planted, axis=1).max()
    assert not never_fits(seen(planted, frame), np.array([moved]))[0]


@law(seed=SEEDS, height=st.floats(0.2, 1), wide=st.floats(0.05, 1), examples=60)
def test_what_fills_the_gauge_is_not_proven_outside_near_its_own_turn(
    seed: int, height: float, wide: float
) -> None:
    """Its edges at rim and floor, narrowed and turned a little: the way back is its reach."""
    turn = np.arange(60) * 2 * np.pi / 60
    x, y = wide * shapes.R * np.cos(turn), shapes.R * np.sin(turn)
    full = np.vstack([np.column_stack([x, y, 0 * y]), np.column_stack([x, y, -height * (shapes.D + y)])])
    middle = (full.max(axis=0) + full.min(axis=0)) / 2
    q = np.append(1.0, np.random.default_rng(seed).normal(size=3) * 0.02)
    frame = frames(q[None] / np.linalg.norm(q))
    moved = np.linalg.norm((full - middle) @ frame[0].T - (full - middle), axis=1).max()
    assert not never_fits(seen(full - middle, frame), np.array([moved]))[0]


@pytest.mark.parametrize("numbers", [DIRECTIONS, TURNS])
def test_every_turn_lies_in_a_cell_that_reaches_it(numbers: int) -> None:
    """Random turns: the cell whose face and square they lie in moves no point at 1 farther than its reach."""
    cells = all_cells(numbers).cut()
    random = np.random.default_rng(5)
    for v in random.normal(size=(200, numbers)):
        which = cell_of(cells, v)
        middle = cells.vectors()[which]
        away = moves(middle, v / np.linalg.norm(v))
        assert away <= cells.reach()[which] + 1e-12


def cell_of(cells: Cells, v: np.ndarray) -> int:
    face = int(np.argmax(np.abs(v)))
    on_face = np.roll(v / v[face], -face)[1:]
    held = (cells.face == face) & (np.abs(cells.middle - on_face) <= cells.half + 1e-12).all(axis=1)
    return int(np.flatnonzero(held)[0])


def moves(one: np.ndarray, other: np.ndarray) -> float:
    """How far the farthest point at 1 moves between two turns; between two directions, by their angle."""
    if len(one) == DIRECTIONS:
        return float(min(np.linalg.norm(one - other), np.linalg.norm(one + other)))
    return float(np.linalg.norm(frames(one[None])[0] - frames(other[None])[0], ord=2))


def test_frames_are_turns_and_no_mirror_images() -> None:
    random = np.random.default_rng(7)
    q = random.normal(size=(50, 4))
    up = random.normal(size=(50, 3))
    up /= np.linalg.norm(up, axis=1, keepdims=True)
    for made in (frames(q / np.linalg.norm(q, axis=1, keepdims=True)), frames_up(up)):
        assert np.allclose(made @ np.swapaxes(made, 1, 2), np.eye(3), atol=1e-12)
        assert np.allclose(np.linalg.det(made), 1)
    assert np.allclose(frames_up(up)[:, 2], up)

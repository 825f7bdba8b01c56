"""The world that decisions are tried in: the truth is the same for all, hidden, and does what it says."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from tests.core.simulated import chance
from tests.virtual_moulder.deciders import DECIDERS, Offtool
from tests.virtual_moulder.hand_made import EXACT, size, tool
from tests.virtual_moulder.moulder import VirtualTool, make_tool
from tests.virtual_moulder.worlds import WORLDS

TRUTH = [one.name for one in fields(VirtualTool) if one.name not in ("world", "rng")]


@pytest.mark.parametrize("world", WORLDS)
def test_the_same_seed_is_the_same_tool(world: str) -> None:
    one, other = make_tool(WORLDS[world], 11), make_tool(WORLDS[world], 11)
    for name in TRUTH:
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)
    np.testing.assert_array_equal(one.trial().value, other.trial().value)
    assert not np.array_equal(make_tool(WORLDS[world], 12).steel, one.steel)


@pytest.mark.parametrize("world", WORLDS)
def test_every_decider_is_shown_the_same_first_trial_and_leaves_the_truth_alone(world: str) -> None:
    for decider in DECIDERS.values():
        mine, untouched = make_tool(WORLDS[world], 5), make_tool(WORLDS[world], 5)
        trial = mine.trial()
        np.testing.assert_array_equal(trial.value, untouched.trial().value)
        decider().decide(mine, trial)
        for name in TRUTH:
            np.testing.assert_array_equal(getattr(mine, name), getattr(untouched, name), err_msg=name)
        assert mine.rng.bit_generator.state == untouched.rng.bit_generator.state


class Seen:
    """What an engineer has in hand; asking for anything else is cheating."""

    ALLOWED = frozenset(
        {
            "drawn",
            "cavities",
            "measured_steel",
            "allowance",
            "allowance_left",
            "step_mm",
            "steel_uncertainty_mm",
        }
    )

    def __init__(self, hidden: VirtualTool) -> None:
        self._hidden = hidden

    def __getattr__(self, name: str) -> object:
        if name == "world":
            return Seen(self._hidden.world)  # type: ignore[arg-type]
        assert name in self.ALLOWED, f"{name} is hidden from the engineer"
        return getattr(self._hidden, name)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_offtool_sees_only_what_an_engineer_has_in_hand(seed: int) -> None:
    """Through two loops: the drawing, the steel as measured, the trials, what was measured removed."""
    hidden = make_tool(WORLDS["middling"], seed)
    shown, plain = Offtool(), Offtool()
    for _ in range(2):
        trial = hidden.trial()
        mine = shown.decide(Seen(hidden), trial)  # type: ignore[arg-type]
        np.testing.assert_array_equal(mine, plain.decide(hidden, trial))
        removed = hidden.cut(mine)
        shown.told(mine, removed)
        plain.told(mine, removed)


def test_a_cut_errs_by_the_stated_bias_and_deviation() -> None:
    world = replace(EXACT, cut_sd_mm=0.006, steel_uncertainty_mm=0.003)
    many = tool([size()] * 40, [4.0] * 40, cavities=250, cut_bias=-0.002, world=world)
    before, asked = many.steel.copy(), np.full(many.steel.shape, 0.05)
    measured = many.cut(asked)
    removed = many.steel - before
    assert removed.mean() - 0.05 == pytest.approx(-0.002, abs=4 * 0.006 / 100)
    assert removed.std() == pytest.approx(0.006, rel=0.03)
    np.testing.assert_allclose(many.removed, removed)
    # Measured by two measurements of 0.003 each; the one before stays as it was.
    assert (measured - removed).std() == pytest.approx(np.hypot(0.003, 0.003), rel=0.03)


def test_what_is_not_cut_stays_and_is_not_measured_anew() -> None:
    one = tool([size(), size(8.0, sign=-1)], [3.98, 8.03], cavities=2, cut_bias=0.01)
    steel, measured = one.steel.copy(), one.measured_steel.copy()
    removed = one.cut(np.array([[0.0, 0.02], [0.0, 0.0]]))
    assert (one.steel != steel).tolist() == [[False, True], [False, False]]
    assert (one.measured_steel != measured).tolist() == [[False, True], [False, False]]
    assert removed[0, 1] == pytest.approx(0.03)


@pytest.mark.parametrize("sign", [1, -1])
def test_removing_steel_makes_a_cavity_larger_and_a_core_smaller(sign: int) -> None:
    one = tool([size(sign=sign)], [4.0])
    one.cut(np.array([[0.1]]))
    assert one.true_mean()[0, 0] == pytest.approx(4.0 + sign * 0.1 * 0.995)


def test_a_coupled_cut_moves_the_other_size_by_half() -> None:
    pair = tool([size(4.0, sign=-1, also_moves=1), size(8.0)], [4.0, 8.0])
    pair.cut(np.array([[0.1], [0.0]]))
    assert pair.true_mean().ravel() == pytest.approx([4.0 - 0.1 * 0.995, 8.0 - 0.05 * 0.995])


def test_parts_spread_as_stated_and_share_what_a_shot_has_in_common() -> None:
    many = tool([size()], [4.0], cavities=4, spread=0.004, gauge_sd=0.003)
    run = many.check_run(20_000)[:, 0, :]
    assert run.mean() == pytest.approx(4.0, abs=0.0002)
    assert run.std(axis=0) == pytest.approx([0.005] * 4, rel=0.03)
    between = np.cov(run.T)[np.triu_indices(4, 1)]
    assert between == pytest.approx([EXACT.shot_share * 0.004**2] * 6, rel=0.15)


def test_set_ups_stray_as_stated() -> None:
    many = tool([size(50.0, half=1.0)], [50.0], setup_sd=0.0004, spread=1e-9)
    means = [many.check_run(2).mean() for _ in range(3000)]
    assert np.std(means) == pytest.approx(0.0004 * 50 / 0.995, rel=0.05)


def test_the_first_shots_shrink_more_and_settle() -> None:
    one = tool([size()], [4.0], unsettled=0.01, settling=3.0, spread=1e-9)
    found = one.trial()
    expected = 4.0 / 0.995 * (1 - 0.005 - 0.01 * np.exp(-found.shots / 3.0))
    assert found.value[:, 0, 0] == pytest.approx(expected, abs=1e-7)
    assert one.check_run(3) == pytest.approx(4.0, abs=1e-7)


@pytest.mark.parametrize("world", WORLDS)
def test_a_drawing_asks_for_what_its_world_says(world: str) -> None:
    """Over many tools: limits about nominal, steel left on the safe side, shrinkage as drawn, allowances."""
    made = [make_tool(WORLDS[world], seed) for seed in range(40)]
    drawn = [one for each in made for one in each.drawn]
    left = [one.sign * (one.nominal / (1 - one.allowed) - one.drawn_mm) for one in drawn]
    assert all(one.lower < one.nominal < one.upper for one in drawn)
    assert min(left) >= -1e-12  # removing leads back to nominal
    steel_safe = np.mean(np.array(left) > 1e-9)
    assert steel_safe == pytest.approx(WORLDS[world].steel_safe_share, abs=chance(0.7, len(drawn)))
    assert {one.required_index for one in drawn} == {1.0, 1.33}
    assert all((each.allowance >= WORLDS[world].allowance_mm[0]).all() for each in made)
    error = np.concatenate(
        [(each.steel - np.array([[one.drawn_mm] for one in each.drawn])).ravel() for each in made]
    )
    assert error.std() == pytest.approx(WORLDS[world].first_cut_sd_mm, rel=0.05)
    shrunk = [each.shrinkage.mean() / each.drawn[0].allowed for each in made]
    assert np.mean(shrunk) == pytest.approx(1.0, abs=0.15)


def test_the_worlds_grow_harder() -> None:
    """Shrinkage less like the drawing, set-ups, cutting and gauge worse, less room in the limits."""
    easy, middling, hard = (WORLDS[name] for name in ("easy", "middling", "hard"))
    for name in ("allowance_error", "local_sd", "cut_sd_mm", "gauge_sd_mm", "first_cut_sd_mm", "tight_share"):
        assert getattr(easy, name) < getattr(middling, name) < getattr(hard, name), name
    assert easy.centred_index > middling.centred_index > hard.centred_index
    assert easy.setup_sd < middling.setup_sd < hard.setup_sd

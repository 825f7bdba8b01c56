"""Where sizes stand over set-ups: the mixed model solved another way, published BLUPs, coverage, limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.correction import estimate_process_means
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.correction.mixed_model import incidence, solve
from tests.core.correction.moulded import Observations, moulded
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, remembered
from tests.published import table

BATES = "dyestuff batches: variance components of lme4 (1764.05, 2451.25), conditional means"


def test_the_second_way_finds_the_published_predictions() -> None:
    """Before it judges core: Henderson's equations on the dyestuff batches, components known."""
    rows = table("dyestuff.csv")
    batches, yields = [row[0] for row in rows], np.array([float(row[1]) for row in rows])
    ones = np.ones((30, 1))
    term = (incidence(batches), np.full(6, 1764.05))
    predicted, _ = solve(yields, ones, [term], np.full(30, 2451.25), kept=[0])
    effects = predicted[::5] - yields.mean()
    printed = ["-17.61", "0.39", "28.56", "-23.08", "56.73", "-45.00"]
    for effect, expected in zip(effects, printed, strict=True):
        assert effect == remembered(expected, source=BATES)


@pytest.mark.parametrize("trials", [1, 3])
@pytest.mark.parametrize("recut", [False, True])
@pytest.mark.parametrize("odd", [False, True])
def test_the_means_are_best_linear_unbiased_predictions(trials: int, recut: bool, odd: bool) -> None:
    """The variance components are taken as core finds them; the equations are Henderson's."""
    seen, _ = moulded(5, sizes=9, cavities=3, trials=trials, recut=recut, directions=("cross", "flow"))
    if odd:
        for i, size in enumerate(seen.sizes):
            seen.parts_mm[i] -= 0.01 * seen.cavities_mm[i] * (size == "size 3")
    found = seen.means()

    steel, direction = np.array(seen.cavities_mm), np.array(seen.directions)
    observed = 1 - np.array(seen.parts_mm) / steel
    cells = list(zip(seen.sizes, seen.cavities, strict=True))
    steels = list(zip(seen.sizes, seen.cavities, seen.states, strict=True))
    setups = list(zip(seen.directions, seen.trials, strict=True))
    of_size = {}
    for name, pooled in found.directions.items():
        names = sorted({s for s, d in zip(seen.sizes, direction, strict=True) if d == name})
        of_size |= {
            size: max(pooled.between_sizes_sd, 2e-5) ** 2 / max(weight, 0.01)
            for size, weight in zip(names, pooled.weight, strict=True)
        }
    assert (min(min(pooled.weight) for pooled in found.directions.values()) < 0.2) is odd
    of_steel = dict(zip(map(str, steels), (np.array(seen.steel_uncertainties_mm) / steel) ** 2, strict=True))
    random = [
        (incidence(seen.sizes), np.array([of_size[one] for one in sorted(set(seen.sizes))])),
        (incidence(cells), np.full(len(set(cells)), found.between_cavities_sd**2)),
        (incidence(steels), np.array([of_steel[str(one)] for one in sorted(set(steels), key=str)])),
        (incidence(setups), np.full(len(set(setups)), found.setup_sd**2)),
    ]
    noise = (np.array(seen.uncertainties_mm) / steel) ** 2
    predicted, variance = solve(observed, incidence(seen.directions), random, noise, kept=[0, 1, 2])

    last = {cell: i for i, cell in enumerate(cells)}
    assert list(zip(found.sizes, found.cavities, strict=True)) == list(dict.fromkeys(cells))
    places = list(last.values())
    way = "Henderson's mixed model equations"
    assert found.shrinkage == independent(predicted[places], way=way, rel=1e-7)
    assert found.mean_mm == independent((steel * (1 - predicted))[places], way=way)
    assert found.sd_mm == independent((steel * np.sqrt(variance))[places], way=way, rel=1e-6)


@pytest.mark.parametrize("trials", [1, 2, 4])
@pytest.mark.parametrize("recut", [False, True])
def test_the_uncertainty_of_the_means_is_honest(trials: int, recut: bool) -> None:
    """Nine in ten true means lie within 1.645 of them, over new tools; the components are found, not told."""
    tools = 60
    inside = []
    for seed in range(tools):
        seen, true = moulded(100 + seed, sizes=10, cavities=3, trials=trials, recut=recut)
        found = seen.means()
        inside.append(np.abs(found.mean_mm - true) <= 1.645 * found.sd_mm)
    # Sizes of one tool share its set-ups, so the count of tools bounds how sharp this can be.
    assert np.mean(inside) == pytest.approx(0.9, abs=chance(0.9, 4 * tools))


def plain_tool(u: float = 0.001, steel_u: float = 0.0) -> Observations:
    """Four sizes of 20 mm in two cavities; nothing is random."""
    seen = Observations()
    for size, found in (("a", 0.0050), ("b", 0.0060), ("c", 0.0064), ("d", 0.0070)):
        for cavity, off in (("1", -1e-4), ("2", 1e-4)):
            seen.add(size, cavity, "T1", 20 * (1 - found - off), 20.0, u=u, steel_u=steel_u)
    return seen


def test_without_noise_the_means_are_what_was_observed() -> None:
    seen = plain_tool(u=1e-9)
    assert seen.means().mean_mm == independent(seen.parts_mm, way="they must be", rel=1e-9)


def test_a_hopelessly_blurred_size_stands_where_its_direction_does() -> None:
    seen = plain_tool(u=1e-6)
    for i, size in enumerate(seen.sizes):
        if size == "a":
            seen.uncertainties_mm[i] = 50.0
            seen.parts_mm[i] = 18.0
    found = seen.means()
    blurred = found.shrinkage[[size == "a" for size in found.sizes]]
    others = [s for s, size in zip(found.shrinkage, found.sizes, strict=True) if size != "a"]
    assert blurred == pytest.approx([np.mean(others)] * 2, abs=2e-5)


def test_what_is_known_of_the_others_steadies_a_blurred_size() -> None:
    seen = plain_tool(u=0.001)
    alone = 20 * (1 - 0.0050)
    for i, size in enumerate(seen.sizes):
        seen.uncertainties_mm[i] = 0.05 if size == "a" else 0.001
    found = seen.means()
    here = [i for i, size in enumerate(found.sizes) if size == "a"]
    centre = 20 * (1 - found.directions["flow"].value)
    assert all(min(alone, centre) - 0.003 < found.mean_mm[i] < max(alone, centre) + 0.003 for i in here)
    assert all(found.sd_mm[i] < 0.03 for i in here)


def test_more_trials_take_the_set_ups_out() -> None:
    """The same steel, one to eight set-ups: the uncertainty falls, and the set-up spread is found."""
    sds = [
        np.mean([moulded(seed, trials=trials, setup=6e-4)[0].means().sd_mm for seed in range(5)])
        for trials in (1, 2, 4, 8)
    ]
    assert sds == sorted(sds, reverse=True)
    many = [moulded(seed, sizes=6, cavities=2, trials=30, setup=6e-4)[0].means() for seed in range(5)]
    assert np.mean([one.setup_sd for one in many]) == pytest.approx(6e-4, rel=0.15)
    assert {one.setup_freedom for one in many} == {29 + 4}


def test_one_trial_takes_the_set_up_spread_from_what_is_expected() -> None:
    seen, _ = moulded(3)
    low, high = seen.means(setup_sd=1e-4).setup_sd, seen.means(setup_sd=9e-4).setup_sd
    assert low < high
    assert seen.means().setup_freedom == 4


def test_the_same_means_twice_show_no_set_up_whatever_their_uncertainties() -> None:
    """Trial 1 measured the sizes that shrink least most sharply, trial 2 the others; nothing moved."""

    def twice(first: list[float], second: list[float]) -> float:
        seen = Observations()
        for trial, uncertainties in (("T1", first), ("T2", second)):
            for i, u in enumerate(uncertainties):
                seen.add(f"size {i}", "1", trial, 20 * (1 - 0.004 - 0.0005 * i), 20.0, u=u, steel_u=0.0)
        return seen.means().setup_sd

    sharp_then_blunt = [0.0005, 0.0005, 0.0005, 0.01, 0.01, 0.01]
    same = twice(sharp_then_blunt, sharp_then_blunt)
    assert twice(sharp_then_blunt, sharp_then_blunt[::-1]) == pytest.approx(same, rel=0.05)


@pytest.mark.parametrize("cavities", [2, 3, 4, 5, 8])
def test_the_spread_between_cavities_is_found_without_much_bias(cavities: int) -> None:
    found = [
        moulded(seed, sizes=20, cavities=cavities, u=1e-5, steel_u=1e-5)[0].means().between_cavities_sd
        for seed in range(25)
    ]
    assert np.median(found) == pytest.approx(2e-4, rel=0.1)


def test_an_odd_size_does_not_pull_its_direction() -> None:
    seen, _ = moulded(9, sizes=10)
    clean = seen.means()
    bent = seen.with_(
        parts_mm=[
            part - 0.01 * steel * (size == "size 4")
            for part, steel, size in zip(seen.parts_mm, seen.cavities_mm, seen.sizes, strict=True)
        ]
    )
    found = bent.means()
    assert abs(found.directions["flow"].value - clean.directions["flow"].value) < 1.5e-4
    others = [size != "size 4" for size in found.sizes]
    assert np.abs(found.mean_mm - clean.mean_mm)[others].max() < 0.003
    odd = [size == "size 4" for size in found.sizes]
    assert found.shrinkage[odd] == pytest.approx(clean.shrinkage[odd] + 0.01, abs=3e-4)


def test_one_bad_cavity_stands_for_itself_and_not_for_its_sizes() -> None:
    seen, _ = moulded(6, sizes=16)
    bad = np.array(seen.cavities) == "2"
    parts = np.array(seen.parts_mm) - 0.002 * np.array(seen.cavities_mm) * bad
    clean, found = seen.means(), seen.with_(parts_mm=parts.tolist()).means()
    off = found.shrinkage - clean.shrinkage
    assert off[bad].mean() == pytest.approx(0.002, rel=0.1)
    assert off[~bad].mean() == pytest.approx(0.0, abs=5e-5)
    assert (found.size_shrinkage - clean.size_shrinkage).mean() < 0.2 * 0.002  # the median of four


def test_the_last_steel_is_the_one_that_counts() -> None:
    seen, true = moulded(4, trials=3, recut=True, setup=0.0)
    found = seen.means()
    assert len(found.mean_mm) == 80
    assert np.abs(found.mean_mm - true).max() < 0.02  # each recut was 0.05


def test_one_observation_has_an_answer() -> None:
    seen = Observations()
    seen.add("a", "1", "T1", 19.88, 20.0)
    found = seen.means()
    assert found.mean_mm == pytest.approx([19.88])
    assert found.sd_mm[0] > 0.003
    assert "only 1 size" in str(found.cautions[0])


@law(seed=st.integers(0, 999), examples=20)
def test_the_order_within_a_trial_does_not_matter(seed: int) -> None:
    seen, _ = moulded(seed, sizes=5, cavities=2, trials=2, recut=True)
    rng = np.random.default_rng(seed)
    order = [*rng.permutation(10).tolist(), *(10 + rng.permutation(10)).tolist()]
    one, other = seen.means(), seen.ordered(order).means()
    by_place = {
        place: (mean, sd)
        for *place, mean, sd in zip(one.sizes, one.cavities, one.mean_mm, one.sd_mm, strict=True)
        for place in [tuple(place)]
    }
    for size, cavity, mean, sd in zip(other.sizes, other.cavities, other.mean_mm, other.sd_mm, strict=True):
        assert (mean, sd) == pytest.approx(by_place[size, cavity], rel=1e-9)


def test_nothing_to_go_by_is_said() -> None:
    with pytest.raises(NotEnoughData, match="measure the steel sizes"):
        Observations().means()


def test_the_lists_must_be_equally_long() -> None:
    seen, _ = moulded(1, sizes=2)
    with pytest.raises(ImpossibleInput, match="every list must have 8 entries"):
        seen.with_(states=["a"]).means()
    with pytest.raises(ImpossibleInput, match=r"uncertainties_mm = 0\.0 mm: must be above 0"):
        seen.with_(uncertainties_mm=[0.0] * 8).means()
    assert estimate_process_means(**vars(seen)).mean_mm.shape == (8,)

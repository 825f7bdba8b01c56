"""The order of a lot: perfect lots come out exactly, names do not matter, doubt is said."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy.stats import kendalltau

from offtool.core.samples.order import ColumnKind, Lot, order_lot
from offtool.core.samples.order.ties import group
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.samples.order.made import groups, lot, noisy, order, stairs
from tests.labels import independent


@pytest.mark.parametrize(("states", "each"), [(3, 3), (6, 3), (12, 2)])
def test_perfectly_nested_rows_come_out_in_their_one_order(states: int, each: int) -> None:
    """A nested table has one order of rows and of columns: Guttman's scale, Robinson's seriation."""
    made = stairs(states, each)
    generator = np.random.default_rng(states)
    rows, columns = generator.permutation(len(made.samples)), generator.permutation(states)
    mixed = Lot(
        tuple(made.samples[one] for one in rows),
        tuple(made.details[one] for one in columns),
        tuple(tuple(made.seen[row][column] for column in columns) for row in rows),
    )
    found = order(mixed)
    expected = [
        tuple(sorted(f"s{one}" for one in range(state * each, (state + 1) * each)))
        for state in range(states + 1)
    ]
    assert [tuple(sorted(one)) for one in groups(found)] == expected
    assert [one.details for one in found.details] == [(letter,) for letter in made.details]
    assert found.odd == ()


def test_details_that_came_together_are_a_tie() -> None:
    found = order(lot("----", "----", "xxx-", "xxx-", "xxxx", "xxxx"))
    assert [one.details for one in found.details] == [("a", "b", "c"), ("d",)]
    assert groups(found) == [("s0", "s1"), ("s2", "s3"), ("s4", "s5")]
    assert found.groups[1].came == ("a", "b", "c")
    assert found.groups[0].probability is None
    assert found.groups[1].probability > 0.9


@law(seed=st.integers(0, 200), examples=8)
def test_names_and_the_order_of_rows_and_columns_do_not_matter(seed: int) -> None:
    made = noisy(7, 3, seed)
    generator = np.random.default_rng(seed)
    rows, columns = generator.permutation(7), generator.permutation(3)
    mixed = Lot(
        tuple(f"other {one}" for one in range(7)),
        tuple(f"thing {one}" for one in range(3)),
        tuple(tuple(made.seen[row][column] for column in columns) for row in rows),
    )
    one, other = order(made), order(mixed)
    back = [other.samples.index(f"other {rows.tolist().index(int(name[1:]))}") for name in one.samples]
    assert np.array(other.earlier)[np.ix_(back, back)] == pytest.approx(np.array(one.earlier), abs=1e-6)


@law(seed=st.integers(0, 200), examples=15)
def test_of_two_samples_one_is_earlier_or_both_are_of_one_state(seed: int) -> None:
    found = order(noisy(8, 3, seed))
    earlier, same = np.array(found.earlier), np.array(found.same)
    off = ~np.eye(len(earlier), dtype=bool)
    assert (earlier + earlier.T + same)[off] == pytest.approx(1, abs=1e-9)
    assert sorted(name for one in found.groups for name in one.samples) == sorted(found.samples)


def test_steel_that_only_comes_off_gives_the_lot_a_direction() -> None:
    """Turned round, what came is taken for what went: without repairs the early end stays the bare one."""
    made = stairs(5, 2)
    upright = groups(order(made, repaired=0.0))
    assert upright[0] == ("s0", "s1")
    goes = Lot(made.samples, made.details, made.seen, (ColumnKind.GOES,) * 5)
    assert groups(order(goes, repaired=0.0)) == upright[::-1]


def test_a_detail_that_goes_tells_as_much_as_one_that_comes() -> None:
    found = order(lot("-x", "-x", "xx", "xx", "x-", "x-", kinds=("stays", "goes")))
    assert groups(found) == [("s0", "s1"), ("s2", "s3"), ("s4", "s5")]
    assert [one.details for one in found.details] == [("a",), ("b",)]
    assert (found.groups[2].came, found.groups[2].went) == ((), ("b",))


def test_grades_only_grow() -> None:
    found = order(lot("0", "0", "3", "1", "1", "3", "2", "2", kinds=("graded",)))
    assert groups(found) == [("s0", "s1"), ("s3", "s4"), ("s6", "s7"), ("s2", "s5")]
    assert [one.details for one in found.details] == [("a ≥ 1",), ("a ≥ 2",), ("a ≥ 3",)]


def test_a_repair_is_told_from_an_early_piece() -> None:
    """The middle pieces have b, the late ones have it no more, and all else says that they are late."""
    rows = ["------", "x-----", "xb----", "xbx---", "xbxx--", "x-xxx-", "x-xxxx"]
    found = order(lot(*(row.replace("b", "x") for row in rows for _ in range(4))))
    assert [one.detail for one in found.undone] == ["b"]
    assert kendalltau(_places(found, 28), np.repeat(range(7), 4)).statistic > 0.95
    assert found.odd == ()


def _places(found: object, size: int) -> list[int]:
    place = {name: number for number, one in enumerate(found.groups) for name in one.samples}  # type: ignore[attr-defined]
    return [place[f"s{one}"] for one in range(size)]


def test_a_cell_against_all_others_is_named() -> None:
    rows = [row for row in ("-----", "x----", "xx---", "xxx--", "xxxx-", "xxxxx") for _ in range(4)]
    rows[20] = "xx-xx"
    found = order(lot(*rows))
    (odd,) = found.odd
    assert (odd.sample, odd.detail, odd.read, odd.expected) == ("s20", "c", "not there", "there")
    assert odd.log_odds > 0
    assert odd.words == "read wrong, damaged or repaired"
    assert found.words.endswith("; one reading stands against the rest")


def test_a_sample_on_which_nothing_was_looked_at_is_placed_nowhere_and_that_is_said() -> None:
    found = order(lot("-x", "?x", "xx", "xx"))
    assert found.not_placed == ("s1",)
    assert "s1" not in found.samples
    assert "placed nowhere" in " ".join(map(str, found.cautions))


def test_details_that_tell_nothing_are_named_with_the_reason() -> None:
    found = order(lot("-x?xx", "xx??-", "xx?x-", kinds=("stays",) * 4 + ("comes and goes",)))
    assert {one.detail: one.why for one in found.tells_nothing} == {
        "b": "it is the same on all samples",
        "c": "it was looked at on no sample",
        "d": "it is the same on all samples",
        "e": "it comes and goes",
    }


@pytest.mark.parametrize("rows", [("x", "x"), ("?", "?"), ("x",), ("x", "?")])
def test_a_lot_that_tells_nothing_has_no_order_and_says_so(rows: tuple[str, ...]) -> None:
    found = order(lot(*rows))
    assert found.groups == ()
    assert found.not_placed == tuple(f"s{one}" for one in range(len(rows)))
    assert "no detail differs" in str(found.cautions[0])


def test_the_look_that_is_asked_for_is_at_what_is_in_doubt() -> None:
    rows = [row for row in ("---", "x--", "xx-", "xxx") for _ in range(5)]
    found = order(lot(*rows, "x??"))
    first = found.look_next[0]
    assert (first.sample, first.again) == ("s20", False)
    assert 0 < first.bits <= 1
    assert [one.bits for one in found.look_next] == sorted(
        (one.bits for one in found.look_next), reverse=True
    )


def test_few_details_are_ordered_exactly_and_many_by_walks() -> None:
    assert order(stairs(6), repaired=0.0).method == "exact, 4,683 orders"
    assert order(stairs(3)).method.startswith("exact, ")
    assert order(stairs(9)).method.startswith("sampled, ")


def test_the_same_generator_gives_the_same_answer() -> None:
    made = noisy(12, 9, 3)
    assert order(made, seed=4) == order(made, seed=4)


@law(seed=st.integers(0, 300), size=st.integers(1, 6), examples=30)
def test_groups_are_the_best_of_all_groupings(seed: int, size: int) -> None:
    """Expected agreement over the root of the ordered pairs, against every order and every cut."""
    generator = np.random.default_rng(seed)
    strength = generator.normal(0, 1.5, size)
    earlier = 0.9 / (1 + np.exp(strength[:, None] - strength))
    best = max(
        _agreement(earlier, [list(ordered[a:b]) for a, b in pairwise((0, *cuts, size))])
        for ordered in permutations(range(size))
        for cuts in _all_cuts(size)
    )
    assert _agreement(earlier, group(earlier)) == pytest.approx(best, abs=1e-9)


def _all_cuts(size: int) -> list[tuple[int, ...]]:
    return [
        tuple(place for place in range(1, size) if mask >> (place - 1) & 1) for mask in range(2 ** (size - 1))
    ]


def _agreement(earlier: np.ndarray, found: list[list[int]]) -> float:
    pairs = [
        (one, other)
        for number, first in enumerate(found)
        for second in found[number + 1 :]
        for one in first
        for other in second
    ]
    led = sum(earlier[one, other] - earlier[other, one] for one, other in pairs)
    return float(led / np.sqrt(len(pairs))) if pairs else 0.0


@pytest.mark.parametrize(
    ("argument", "made", "rates"),
    [
        ("missed", stairs(2), {"missed": 0.0}),
        ("imagined", stairs(2), {"imagined": 0.5}),
        ("repaired", stairs(2), {"repaired": 0.6}),
    ],
)
def test_a_rate_that_cannot_be_is_refused(argument: str, made: Lot, rates: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        order_lot(made, generator=np.random.default_rng(1), **rates)
    assert refused.value.argument == argument


@pytest.mark.parametrize(
    ("argument", "given"),
    [
        ("samples", (("A", "A"), ("a",), ((True,), (False,)))),
        ("details", (("A",), ("a", "a"), ((True, False),))),
        ("seen", (("A", "B"), ("a",), ((True,),))),
        ("seen", (("A",), ("a",), ((True, False),))),
        ("seen", (("A",), ("a",), ((2,),))),
        ("seen", (("A",), ("a",), ((True,),), ("graded",))),
        ("kinds", (("A",), ("a",), ((True,),), ("melts",))),
        ("kinds", (("A",), ("a",), ((True,),), ("stays", "stays"))),
    ],
)
def test_a_lot_that_cannot_be_is_refused(argument: str, given: tuple) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        Lot(*given)
    assert refused.value.argument == argument


def test_one_pair_is_weighed_by_hand() -> None:
    """One detail, one sample without and one with it: two states, each with its own reading."""
    found = order(lot("-", "x"), repaired=0.0)
    total = weight = 0.0
    for times in (0.25, 0.5, 1.0, 2.0):
        missed, imagined = 0.05 * times, 0.03 * times
        likely = (1 - imagined + missed) * (imagined + 1 - missed) / 4
        weight += likely
        total += (1 - imagined) * (1 - missed) / 4
    assert found.earlier[0][1] == independent(total / weight, way="Bayes' rule over four rates, by hand")

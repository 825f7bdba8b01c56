"""What a pilot of a size can show: R's bounds, the rule of three, laws."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.inspection.attributes import share_interval
from offtool.core.inspection.sample_size import required_observed_index
from offtool.core.pilot.yields import PilotShows, pilot_shows
from tests.core.laws import law
from tests.labels import independent, practice


def of(pieces: int, planned_yield: float = 0.95, measured: int | None = None) -> PilotShows:
    return pilot_shows(pieces, planned_yield=planned_yield, required_index=1.33, measured=measured)


def test_eight_bad_of_three_hundred_show_95_and_nine_do_not() -> None:
    # R 4.2.2: binom.test(300 - 8, 300, alternative = "greater")$conf.int is 0.952399925585 to 1,
    # binom.test(300 - 9, 300, alternative = "greater")$conf.int 0.9482339381005 to 1
    assert of(300).most_bad == 8
    assert 1 - share_interval(8, 300).less_than == independent(0.952399925585, way="R, binom.test")
    assert 1 - share_interval(9, 300).less_than == independent(0.9482339381005, way="R, binom.test")


def test_three_over_n_is_nearly_what_is_seen() -> None:
    assert of(1000).least_share_seen == pytest.approx(3 / 1000, rel=0.01)  # the rule of three
    assert of(300).least_share_seen == independent(1 - 0.05 ** (1 / 300), way="by hand")


@law(pieces=st.integers(1, 5000))
def test_the_least_share_seen_is_what_none_seen_bounds(pieces: int) -> None:
    found = of(pieces)
    assert found.least_share_seen == pytest.approx(share_interval(0, pieces).less_than, rel=1e-9)
    chances = [one.chance for one in found.chances]
    assert chances == sorted(chances)
    for one in found.chances:
        assert (one.chance >= 0.95) == (one.share >= found.least_share_seen)


@law(pieces=st.integers(1, 3000), planned=st.floats(0.5, 0.995))
def test_so_many_bad_ones_show_the_yield_and_one_more_does_not(pieces: int, planned: float) -> None:
    found = of(pieces, planned)
    if found.most_bad is None:
        assert pieces < found.pieces_needed
        assert share_interval(0, pieces).less_than > 1 - planned
        return
    assert pieces >= found.pieces_needed
    assert share_interval(found.most_bad, pieces).less_than <= 1 - planned + 1e-9
    if found.most_bad + 1 <= pieces:
        assert share_interval(found.most_bad + 1, pieces).less_than > 1 - planned - 1e-9


def test_a_small_pilot_cannot_show_the_yield_and_says_how_many_would() -> None:
    found = of(20)
    assert (found.most_bad, found.pieces_needed) == (None, 59)
    assert "cannot be shown: it takes 59 pieces" in found.words


def test_the_index_needed_is_that_of_inspection() -> None:
    found = of(300, measured=50)
    assert found.index_needed == required_observed_index(1.33, 50).observed_index
    assert found.index_needed == practice("1.61")
    assert of(300).index_needed is None
    assert "no capability" in of(300).cautions[0].text

"""The state strip and the odds bar: laws of the drawings, and what they say in words."""

from __future__ import annotations

import re
from dataclasses import replace
from math import exp, inf, log, nan

import pytest
from hypothesis import strategies as st

from offtool.core.samples.identify import NONE
from offtool.reports.odds_bar import FULL, WIDTH, draw_odds_bar, odds_in_words
from offtool.reports.state_strip import HIGHEST, bound_in_words, draw_state_strip, strip_in_words
from offtool.steps.sample_found import BoundSeen, OriginSeen, SampleFound
from offtool.steps.sample_sentences import share
from tests.core.laws import law
from tests.labels import independent
from tests.reports import samples
from tests.reports.drawn import Drawing, Mark, drawn
from tests.reports.test_joints_report import HOSTILE

A_PIXEL = 0.11
"""Places are written to a tenth of a pixel."""


def strip(found: SampleFound) -> Drawing:
    return drawn(draw_state_strip(found))


def bars(drawing: Drawing) -> list[Mark]:
    return drawing.named("p")


def high(mark: Mark) -> float:
    return max(y for _, y in mark.places) - min(y for _, y in mark.places)


def with_chances(*chances: float) -> SampleFound:
    """The piece with these probabilities on its strip."""
    whole = samples.piece()
    return replace(
        whole,
        strip=tuple(replace(one, probability=p) for one, p in zip(whole.strip, chances, strict=True)),
        bounds=(),
    )


def test_every_origin_has_a_bar_from_early_to_late_and_none_of_these_is_last() -> None:
    drawing = strip(samples.piece())
    assert len(bars(drawing)) == len(samples.CODES) + 1
    assert [one.left for one in bars(drawing)] == sorted(one.left for one in bars(drawing))
    written = [text for text in drawing.texts if text in (*samples.CODES, NONE)]
    assert written == [*samples.CODES, NONE]


@law(chances=st.lists(st.floats(0.02, 1.0), min_size=4, max_size=4))
def test_bars_are_as_high_as_their_origins_are_likely(chances: list[float]) -> None:
    found = bars(strip(with_chances(*chances)))[:4]
    for bar, chance in zip(found, chances, strict=True):
        assert high(bar) == pytest.approx(HIGHEST * chance, abs=A_PIXEL)


def test_what_is_hardly_possible_has_a_foot_and_no_number() -> None:
    drawing = strip(with_chances(0.9, 0.004, 0.03, 0.0))
    assert all(high(one) >= 1 for one in bars(drawing))
    assert "90 %" in drawing.texts
    assert "3 %" in drawing.texts
    assert not any("under" in text for text in drawing.texts)


def test_states_of_steel_run_under_the_origins_that_have_them() -> None:
    drawing = strip(samples.piece())
    columns = bars(drawing)
    rows = drawing.named("st")
    assert len(rows) == 6  # two tools in three states
    of_b = rows[1]
    assert of_b.left == pytest.approx(columns[1].left, abs=A_PIXEL)
    assert of_b.right == pytest.approx(columns[2].right, abs=A_PIXEL)
    assert [text for text in drawing.texts if text.startswith("steel of")] == ["steel of M1", "steel of M3"]


def test_a_bound_runs_under_the_origins_it_allows_and_stops_with_an_upright() -> None:
    drawing = strip(samples.piece(bounds=samples.BOUNDS[:1]))
    columns = bars(drawing)
    line, *ends = drawing.named("bound")
    assert line.left == pytest.approx(columns[0].left, abs=A_PIXEL)
    assert line.right == pytest.approx(columns[2].right, abs=A_PIXEL)
    assert len(ends) == 1  # nothing was made before the first trial: its left end stays open
    assert ends[0].left == pytest.approx(line.right, abs=A_PIXEL)


@law(allows=st.lists(st.booleans(), min_size=4, max_size=4))
def test_a_bound_covers_what_it_allows_and_nothing_else(allows: list[bool]) -> None:
    bound = BoundSeen(part="torso", about="mark", found="there", allows=tuple(allows))
    drawing = strip(samples.piece(bounds=(bound,)))
    lines = [one for one in drawing.named("bound") if one.right > one.left]
    for column, is_allowed in zip(bars(drawing)[:4], allows, strict=True):
        covered = [one for one in lines if one.left <= column.middle <= one.right]
        assert bool(covered) == is_allowed


def test_the_words_name_stretches_and_say_where_nothing_made_it_so() -> None:
    found = samples.piece()
    first, broken = samples.BOUNDS
    assert bound_in_words(first, found) == "torso: date mark missing, made so only by T1 to EP"
    assert bound_in_words(broken, found) == "arm: vent there, made so only by T2 and PS"
    nothing = replace(first, allows=(False,) * 4)
    assert bound_in_words(nothing, found).endswith("made so by nothing that is recorded")


def test_those_who_do_not_see_it_are_told_the_same() -> None:
    found = samples.piece()
    drawing = strip(found)
    assert drawing.says == strip_in_words(found)
    for one in found.strip:
        assert f"{one.code} {share(one.probability)}" in drawing.says
    for bound in found.bounds:
        assert bound_in_words(bound, found) in drawing.says
    assert 'role="img"' in draw_state_strip(found)


def test_a_code_with_a_comma_does_not_read_as_two() -> None:
    whole = samples.piece(bounds=())
    first = replace(whole.strip[0], code="first shots, not recorded")
    assert "first shots (not recorded) " in strip_in_words(replace(whole, strip=(first, *whole.strip[1:])))


def test_many_origins_get_their_room_and_all_stays_inside() -> None:
    whole = samples.piece(bounds=())
    many = tuple(replace(whole.strip[0], code=f"T{i} of a long second tooling") for i in range(40))
    wide = strip(replace(whole, strip=many))
    assert wide.width > 40 * 60
    for one in (wide, strip(samples.piece()), strip(samples.not_looked_at())):
        assert not one.leaves_its_view()


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "躯干", "x" * 300])
def test_names_of_users_are_text_and_nothing_else(name: str) -> None:
    whole = samples.piece()
    odd = OriginSeen(code=name, stage=None, engineer=name, archive=name, probability=0.2, steel=(name,))
    bound = BoundSeen(part=name, about=name, found=name, allows=(True, False, False, False))
    drawing = strip(replace(whole, strip=(odd, *whole.strip[1:]), bounds=(bound,)))
    assert len(bars(drawing)) == 5


def test_no_origin_is_drawn_by_colour_alone_in_the_odds() -> None:
    speaks_for, against = draw_odds_bar(1.0), draw_odds_bar(-1.0)
    assert 'class="hatch"' in against
    assert 'class="hatch"' not in speaks_for
    assert drawn(speaks_for).named("for")[0].left == pytest.approx(WIDTH / 2, abs=A_PIXEL)
    assert drawn(against).named("against")[0].right == pytest.approx(WIDTH / 2, abs=A_PIXEL)


@law(odds=st.floats(0.05, FULL))
def test_odds_for_and_against_mirror_each_other(odds: float) -> None:
    right = drawn(draw_odds_bar(odds)).named("for")[0]
    left = drawn(draw_odds_bar(-odds)).named("against")[0]
    assert right.right - WIDTH / 2 == pytest.approx(WIDTH / 2 - left.left, abs=A_PIXEL)
    assert right.right - right.left == pytest.approx(odds / FULL * (WIDTH / 2 - 1), abs=2 * A_PIXEL)


@pytest.mark.parametrize("odds", [FULL + 0.5, 30.0, inf, -inf, -30.0])
def test_what_counts_more_than_the_bar_shows_ends_in_an_arrow(odds: float) -> None:
    drawing = drawn(draw_odds_bar(odds))
    assert len(drawing.named("beyond")) == 1
    assert not drawing.leaves_its_view()


@law(odds=st.floats(0.06, 6.0))
def test_odds_are_worded_as_they_are(odds: float) -> None:
    for way, sign in (("for", 1), ("against", -1)):
        said = odds_in_words(sign * odds)
        assert said.endswith(f" to 1 {way}")
        written = float(re.findall(r"[\d.]+", said)[0])
        assert written == independent(exp(odds), way="exponential of the log-odds", rel=0.05)


def test_next_to_nothing_is_nothing_and_the_largest_is_not_written_out() -> None:
    for nothing in (0.0, 0.01, -0.01, nan):
        assert odds_in_words(nothing) == "nothing either way"
        assert not drawn(draw_odds_bar(nothing)).named("beyond")
    assert odds_in_words(log(5000)) == "over 1,000 to 1 for"

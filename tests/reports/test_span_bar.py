"""The bar of a range against what is wanted: verdict by form, open ends without a line, words for all."""

from __future__ import annotations

import re

import pytest

from offtool.core.joints.evidence import Span
from offtool.core.values import Verdict
from offtool.reports.span_bar import WIDTH, draw_span_bar, draw_strength_bar, scale_of_strengths

INF = float("inf")


def bar(low: float, high: float, wanted: Span, verdict: Verdict = Verdict.HOLDS) -> str:
    return draw_span_bar(Span(low=low, high=high), wanted, verdict, "said <aloud>")


def places(drawing: str) -> list[float]:
    """Where its limit lines stand."""
    return [float(x) for x in re.findall(r'class="limit" d="M([\d.]+) ', drawing)]


def heavy(drawing: str) -> tuple[float, float]:
    left, right = re.findall(r'class="mean" d="M([\d.]+) [\d.]+H([\d.]+)"', drawing)[0]
    return float(left), float(right)


def test_a_range_inside_is_drawn_between_its_limits() -> None:
    drawing = bar(0.3, 0.4, Span(low=0.2, high=0.6))
    lower, upper = places(drawing)
    left, right = heavy(drawing)
    assert lower < left < right < upper
    assert (left - lower) / (upper - lower) == pytest.approx(0.25, abs=0.005)
    assert (right - lower) / (upper - lower) == pytest.approx(0.5, abs=0.005)


def test_limits_stand_at_the_same_places_for_every_rule() -> None:
    assert places(bar(1, 2, Span(low=1, high=3))) == places(bar(70, 80, Span(low=60, high=90)))


@pytest.mark.parametrize(
    ("wanted", "lines"),
    [
        (Span(low=0.1, high=INF), 1),
        (Span(low=0.0, high=1.0), 1),
        (Span(low=0.2, high=0.6), 2),
        (Span(low=-INF, high=INF), 0),
    ],
)
def test_an_end_that_is_not_there_has_no_line(wanted: Span, lines: int) -> None:
    assert len(places(bar(0.3, 0.4, wanted))) == lines


def test_what_lies_far_off_is_an_arrow_at_the_edge_and_one_value_is_a_mark_alone() -> None:
    assert 'class="beyond"' in bar(7, 8, Span(low=0.2, high=0.6), Verdict.FAILS)
    assert 'class="mean"' not in bar(0.3, 0.3, Span(low=0.2, high=0.6))


def test_the_verdict_is_told_by_form_and_the_words_are_escaped() -> None:
    wanted = Span(low=0.2, high=0.6)
    drawn = [bar(0.3, 0.4, wanted, verdict) for verdict in Verdict]
    forms = [re.findall(r'class="dot"[^>]*(fill="[^"]*"|stroke-width="2")', one)[0] for one in drawn]
    assert len(set(forms)) == len(Verdict)
    assert all('aria-label="said &lt;aloud&gt;"' in one for one in drawn)


def test_pulls_of_all_settings_share_one_scale() -> None:
    scale = scale_of_strengths(90.0, (50.0, 120.0, 230.0))

    def drawn(bound: float | None, pulled: tuple[float, float] | None) -> str:
        return draw_strength_bar(
            scale, required=90.0, bound=bound, pulled=pulled, verdict=Verdict.HOLDS, said="x"
        )

    weak, strong = drawn(70.0, (80.0, 100.0)), drawn(200.0, (210.0, 230.0))
    assert places(weak) == places(strong)
    at = [float(re.findall(r'class="dot" cx="([\d.]+)"', one)[0]) for one in (weak, strong)]
    assert at[0] < places(weak)[0] < at[1] < WIDTH
    assert 'class="dot"' not in drawn(None, (80.0, 100.0))
    assert 'class="spread"' not in drawn(70.0, None)

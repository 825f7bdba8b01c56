"""The report of all joints of a product: the verdict and a table, then a page a joint, as a PDF."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from offtool.core.joints.assembled import AssembledJoint, AssembledPair
from offtool.core.joints.tested import ConditionFound
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.friction_drawing import draw_friction
from offtool.reports.joint_histogram import draw_measure_histogram
from offtool.reports.joint_shares_bar import draw_grade_bar, draw_grade_key
from offtool.reports.joint_sources_drawing import draw_contributions
from offtool.reports.joint_words import (
    GRADES,
    asked_in_words,
    change_in_words,
    contribution_in_words,
    demand_in_words,
    flow_in_words,
    friction_effect_in_words,
    friction_in_words,
    good_in_words,
    grades_in_words,
    measure_in_words,
    pair_fit_in_words,
    pair_in_words,
    pair_matrix,
    relaxation_in_words,
    share_in_words,
    size_in_words,
    size_of_joint,
    steel_in_words,
)
from offtool.reports.plain_text import printable_rows
from offtool.reports.relaxation_drawing import draw_relaxation
from offtool.reports.typeset import typeset
from offtool.steps.joint_found import DemandSeen, JointFound, JointsFound, TestSeen
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.sentences import sentence

LAYOUT = Path(__file__).with_suffix(".typ")
MOST_COLUMNS = 8
"""More cavities of the second part than this are listed pair by pair."""
MOST_PAIRS = 48
BAR_WIDTH, BAR_HEIGHT = 96.0, 11.0


def joints_report(found: JointsFound, *, made_by: str = "") -> bytes:
    """The report: how many joints hold, all joints at a glance, then each with its drawings.

    The same findings give the same bytes: nothing in it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, printable_rows(_rows(found, made_by)))


def _rows(found: JointsFound, made_by: str) -> dict[str, Any]:
    method = found.joints[0].method if found.joints else ""
    told = (f"{found.programme_title}, joints", method, f"Made by {made_by}" if made_by else "")
    return {
        "title": f"Joints, {found.programme_title}",
        "headline": found.headline,
        "key": [[draw_grade_key(grade), str(grade)] for grade in GRADES],
        "joints": [_joint(one) for one in found.joints],
        "footer": ". ".join(filter(None, told)),
    }


def _joint(found: JointFound) -> dict[str, Any]:
    assembled = found.assembled
    return {
        "name": found.name or found.joint,
        "kind": f"{found.joint}: {found.meaning or found.kind}",
        "word": str(found.word),
        "headline": found.headline,
        "asked": asked_in_words(found),
        "bar": draw_grade_bar(assembled.mix) if assembled else "",
        "grades": grades_in_words(assembled.mix) if assembled else "",
        "actions": [[one.do, one.because] for one in found.actions],
        "facts": [[one.about, one.says] for one in found.rests_on],
        "cautions": [caution_in_words(one) for one in found.cautions],
        **_assembled(found, assembled),
        **_steel(found),
        **_measured(found),
        "sizes": [[one.size or size_of_joint(one.role), size_in_words(one)] for one in found.sizes],
        "tests": [_test(one) for one in found.tests],
    }


def caution_in_words(one: Caution) -> str:
    """A caution with its source."""
    return f"{one.text} ({one.source})" if one.source else one.text


def _assembled(found: JointFound, assembled: AssembledJoint | None) -> dict[str, Any]:
    """Pairs, histogram and what moves it; all empty where nothing could be put together."""
    empty: dict[str, Any] = {
        "matrix": {"rows_are": "", "columns_are": "", "columns": [], "rows": []},
        "pairs": [],
        "pairs_say": "",
        "pairing": [],
        "histogram": "",
        "histogram_says": [],
        "sources": "",
        "sources_say": [],
    }
    if assembled is None:
        return empty
    decimals, unit = found.decimals, found.unit
    return (
        empty
        | _pairs(found, assembled)
        | {
            "pairing": list(_pairing(assembled)),
            "histogram": draw_measure_histogram(assembled, decimals=decimals, unit=unit),
            "histogram_says": list(_mix(found, assembled)),
            "sources": draw_contributions(assembled, decimals=decimals),
            "sources_say": list(_sources(found, assembled)),
        }
    )


def _pairs(found: JointFound, assembled: AssembledJoint) -> dict[str, Any]:
    matrix = pair_matrix(assembled)
    if matrix is not None and len(matrix.columns) <= MOST_COLUMNS:
        rows = [[words.cavity(row), [_cell(found, one) for one in pairs]] for row, pairs in matrix.rows]
        return {
            "matrix": {
                "rows_are": matrix.rows_are,
                "columns_are": matrix.columns_are,
                "columns": [words.cavity(one) for one in matrix.columns],
                "rows": rows,
            }
        }
    if len(assembled.pairs) < 2:
        return {}
    worst = sorted(assembled.pairs, key=lambda one: one.shares.good.share)[:MOST_PAIRS]
    left_out = len(assembled.pairs) - len(worst)
    return {
        "pairs": [[pair_in_words(assembled.parts, one.cavities), *_cell(found, one)] for one in worst],
        "pairs_say": f"The {len(worst)} pairs with the fewest good joints, of {len(assembled.pairs)}."
        if left_out
        else "The pairs with the fewest good joints first.",
    }


def _cell(found: JointFound, one: AssembledPair) -> list[str]:
    mean = words.number(one.shares.mean, found.decimals)
    bar = draw_grade_bar(one.shares, width=BAR_WIDTH, height=BAR_HEIGHT)
    return [bar, share_in_words(one.shares.good), f"{mean} {found.unit}"]


def _pairing(assembled: AssembledJoint) -> Iterator[str]:
    pairing = assembled.pairing
    if pairing is None or not pairing.gain > 0:
        return
    yield (
        f"Kept apart and paired on purpose: {per_cent_of(pairing.good)} good in place of "
        f"{per_cent_of(pairing.good_at_random)}."
    )
    yield from (flow_in_words(assembled.parts, one) for one in pairing.flows if one.share > 0)


def _mix(found: JointFound, assembled: AssembledJoint) -> Iterator[str]:
    yield measure_in_words(assembled.mix, decimals=found.decimals, unit=found.unit)
    for grade in GRADES:
        yield f"{grade}: {share_in_words(assembled.mix.of(grade))}"


def _sources(found: JointFound, assembled: AssembledJoint) -> Iterator[str]:
    yield from (contribution_in_words(one, unit=found.unit) for one in assembled.contributions)
    if (effect := assembled.friction_effect) is not None:
        yield friction_effect_in_words(effect, decimals=found.decimals, unit=found.unit)


def _steel(found: JointFound) -> dict[str, Any]:
    choice = found.steel
    ways = choice.candidates if choice is not None else ()
    return {
        "steel": [
            [
                sentence(demand_in_words(one)),
                sentence(f"{good_in_words(one)}: {'; '.join(map(steel_in_words, one.amounts))}"),
                " ".join(map(sentence, one.reasons)),
            ]
            for one in ways
        ],
        "why_not": list(choice.why_not) if choice is not None else [],
        "demands": [_demand(one) for one in found.demands],
    }


def _demand(one: DemandSeen) -> str:
    ends = words.between(one.lower, one.upper, decimals=one.decimals)
    ended = f" Dropped: {one.dropped}." if one.dropped else ""
    return (
        f"Asked of {one.size}: {words.number(one.target, one.decimals)} mm in the mean, {ends}, by "
        f"{one.made_by or 'unknown'} on {words.day(one.made_at.date())}: {one.reason}.{ended}"
    )


def _measured(found: JointFound) -> dict[str, Any]:
    """What was read of assembled pieces, beside what was predicted."""
    learned, decimals = found.learned, found.decimals
    drawn = (found.relaxation, found.relaxed)
    return {
        "friction": draw_friction(learned, decimals=decimals) if learned is not None else "",
        "friction_says": [
            f"friction {friction_in_words(learned)}",
            *(pair_fit_in_words(one, decimals=decimals) for one in learned.pairs),
        ]
        if learned is not None
        else [],
        "tested": [_condition(one, found) for one in (found.compared.conditions if found.compared else ())],
        "relaxation": draw_relaxation(*drawn, lower=found.lower.value, decimals=decimals),
        "relaxation_says": list(relaxation_in_words(*drawn, decimals=decimals)),
    }


def _condition(one: ConditionFound, found: JointFound) -> list[str]:
    mean = f"{words.number(one.mean, found.decimals)} {found.unit}"
    change = change_in_words(one.change).removeprefix("change ") if one.change is not None else words.NONE
    limits = "; ".join(f"{each.side} {each.limit:g}: {each.verdict}" for each in one.limits)
    return [one.condition, str(one.pieces), mean, change, limits or words.NONE]


def _test(one: TestSeen) -> list[str]:
    pieces = " and ".join(filter(None, (one.inner_trial, one.outer_trial))) or "trial not recorded"
    stale = "steel was cut since" if one.is_stale else ""
    aside = f"set aside: {one.set_aside}" if one.set_aside else ""
    gauge = f"{one.gauge or 'unknown'} ({one.gauge_says})"
    note = ". ".join(filter(None, (stale, aside, one.note)))
    return [one.name, f"{one.file}, {words.day(one.done_on)}", pieces, str(one.readings), gauge, note]

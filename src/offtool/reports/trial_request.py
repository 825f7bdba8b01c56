"""The request for a trial on one page: what, where, in which colour, the steps to tick, lines to fill in.

Nothing is signed by it: the lines for names are left blank.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from offtool.core.values import Caution
from offtool.handbook.trial_purposes import SETTINGS_TO_WRITE
from offtool.reports.plain_text import printable_rows, shorten
from offtool.reports.trial_words import (
    missing_in_words,
    purpose_in_words,
    shots_in_words,
    start_in_words,
    step_in_words,
    time_in_words,
    unbroken,
    weight_in_words,
    where_in_words,
)
from offtool.reports.typeset import typeset
from offtool.reports.words import day
from offtool.steps.plan_found import TrialPlanned
from offtool.steps.sentences import sentence

LAYOUT = Path(__file__).with_suffix(".typ")
MOST_STEPS, MOST_CONFIRMED, MOST_MISSING, MOST_BROUGHT, MOST_CAUTIONS = 14, 6, 4, 6, 6
"""Lines of each kind for which the page has room; what is left out is counted on it."""
LAST_STEPS = 4
"""Steps at the end that always stand there: a purge before the job comes back is one of them."""
LONG, SHORT, HEADLINE, MISSING, CAUTION, FIRST_CAUTION = 130, 70, 200, 180, 300, 900
"""Signs of a line over the page, one in a column, the headline, what is missing, a caution; the first is
never cut."""


def trial_request(found: TrialPlanned) -> bytes:
    """The request as a PDF of one page. The same plan gives the same bytes: nothing comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    rows = printable_rows(_rows(found))
    rows["amounts"] = [[about, unbroken(says)] for about, says in rows["amounts"]]
    return typeset(LAYOUT, {**rows, "headline": unbroken(rows["headline"])})


def _rows(found: TrialPlanned) -> dict[str, Any]:
    product = f"{found.programme_title}{', invented' if found.invented else ''}"
    return {
        "title": f"Request for a trial, {product}",
        "headline": shorten(found.headline, HEADLINE),
        "footer": f"Planned for {day(found.on)}. {found.method}. What is set at the press is decided there.",
        "name": f"{found.tool} {found.trial}",
        "facts": [[about, shorten(says, SHORT * 2)] for about, says in _facts(found) if says],
        "amounts": [[about, says] for about, says in _amounts(found) if says],
        "slot_open": found.press is None or found.press.starts_at is None,
        "steps": _listed(
            [[step_in_words(one), shorten(_sentence(one.because), LONG)] for one in found.steps], MOST_STEPS
        ),
        "purposes": _purposes(found),
        "confirm": [_confirm(one.about, one.says) for one in found.confirm[:MOST_CONFIRMED]],
        "confirm_more": max(len(found.confirm) - MOST_CONFIRMED, 0) + found.confirm_more,
        "bring": [shorten(one, SHORT) for one in found.bring[:MOST_BROUGHT]],
        "missing": [shorten(missing_in_words(one), MISSING) for one in found.missing[:MOST_MISSING]],
        "settings": [list(one) for one in SETTINGS_TO_WRITE],
        "cautions": [
            shorten(_caution(one), CAUTION if i else FIRST_CAUTION)
            for i, one in enumerate(found.cautions[:MOST_CAUTIONS])
        ],
        "asked_by": shorten(found.asked.asked_by, 40),
    }


def _facts(found: TrialPlanned) -> Iterator[tuple[str, str]]:
    asked, press, colour = found.asked, found.press, found.colour
    steel = f"steel state {found.state}" if found.state else "steel: state not recorded"
    yield "Tool", f"{f'{found.tool} {found.tool_name}'.rstrip()}, {steel}"
    yield "For", ", ".join(asked.purposes)
    where = next(where_in_words(found))
    yield "Press", f"{where}; {press.job}" if press is not None and press.job else where
    if press is None or press.starts_at is None:
        yield "When", _days(found)
    else:
        yield "When", start_in_words(press.starts_at)
    yield "Resin", f"{asked.resin} {asked.resin_name}".strip()
    said = [colour.colour, colour.what] if colour is not None else [asked.wish]
    yield "Colour", ": ".join(filter(None, said))
    yield "Engineer", "must be there" if asked.needs_engineer else "need not be there"
    yield "Note", asked.note


def _days(found: TrialPlanned) -> str:
    asked = found.asked
    ends = (
        f"not before {day(asked.earliest)}" if asked.earliest else "",
        f"by {day(asked.due)}" if asked.due else "",
    )
    return ", ".join(filter(None, ends)) or "no day is fixed"


def _amounts(found: TrialPlanned) -> Iterator[tuple[str, str]]:
    yield "Shots", shots_in_words(found.shots) if found.shots is not None else ""
    yield "Press time", time_in_words(found.time) if found.time is not None else ""
    yield "Material", weight_in_words(found.material) if found.material is not None else ""


def _purposes(found: TrialPlanned) -> list[list[str]]:
    if found.shots is None:
        return [[one, "", ""] for one in found.asked.purposes]
    wrong = found.colour.wrong_for if found.colour is not None else ()
    return [
        [
            one.purpose.value,
            purpose_in_words(one),
            "not in this colour" if one.purpose.value in wrong else "",
        ]
        for one in found.shots.purposes
    ]


def _confirm(about: str, says: str) -> list[str]:
    return [shorten(about, SHORT), shorten(says, LONG)]


def _listed(rows: list[list[str]], most: int) -> list[list[str]]:
    """The first rows and the last, what is done before the job comes back; of the others how many."""
    more = len(rows) - most
    if more <= 0:
        return rows
    left_out = [f"and {more + 1} more, on the page of the plan", ""]
    return [*rows[: most - 1 - LAST_STEPS], left_out, *rows[-LAST_STEPS:]]


def _sentence(words: str) -> str:
    return sentence(words) if words else ""


def _caution(one: Caution) -> str:
    says = f"{one.text[:1].upper()}{one.text[1:]}"
    return f"{says} ({one.source})" if one.source else says

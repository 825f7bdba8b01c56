"""The pages on which a line, its stations, its tasks and what feeds it are entered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from offtool.steps.line_table import EXAMPLE
from offtool.web.pages.frame import Frame
from offtool.web.pages.line_place import LinePlace, line_frame

WHY = {
    "line": (
        ("Good pieces planned", "what leaves the line good; more must enter where some are lost"),
        ("People at hand", "the balance says how many are needed, and what those at hand make"),
        ("Good at once, after rework", "the pilot is judged against them"),
        ("Learning rate", "the time of a piece is so much at twice the number made; the pilot measures it"),
        ("Left blank", "nothing is assumed: what cannot be said for want of it is named"),
    ),
    "station": (
        ("People", "each works on a piece of their own; two who face each other share one"),
        ("Places", "a piece that finds none waits where it is and blocks it"),
        ("Must lie before it", "drying or curing; the pieces lie beside the line meanwhile"),
        ("Stoppage", "how long it runs until it stops, and how long it then stands, in the mean"),
        ("What the balance reads", "people, sides and equipment; the rest is for the run of the line"),
    ),
    "task": (
        ("A task", "what one person does at one station without a break; what cannot be parted is one task"),
        ("Time", "the mean over ten pieces, by the people who will do it; an estimate is said to be one"),
        ("Spread", "the standard deviation of these times: how often the station is over the cycle"),
        ("Comes after", "only what must be: each needless order costs places"),
        ("Tied, apart", "with one fixture at one station; paint and packing not at one station"),
    ),
    "equipment": (
        ("How many", "at so many stations it can stand; blank lets the balance take as many as it needs"),
        ("Where it stands", "is said at the station"),
    ),
    "feed": (
        ("Time of one shot", "as the press runs it in production, not as it was quoted"),
        ("Its parts", "are those of the tool's cavities; every cavity gives one a shot"),
        ("What does not come", "sorted out at the press, beside what fails on the line"),
    ),
    "break": (
        ("Hours", "from the beginning of work, such as 2 to 2.25 for a quarter of an hour"),
        ("People meanwhile", "blank: it stands; else so many go on working there"),
    ),
    "new": (
        ("First the tasks", "a table from a spreadsheet is quickest: read it, and the line is made"),
        ("Or the plan", "write it here, and the tasks afterwards, one by one"),
    ),
}  # fmt: skip
"""In the margin of each form: about what, and what it says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFormPage:
    """One thing of a line is entered or changed."""

    frame: Frame
    headline: str
    lead: str
    why: tuple[tuple[str, str], ...]
    form: Any
    done: str
    back_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoLinePage:
    """A programme without a line: what to do first, and a table to begin from."""

    frame: Frame
    when: str
    headline: str
    read_href: str
    new_href: str
    example: tuple[tuple[str, ...], ...]
    example_text: str


def line_form_page(place: LinePlace, kind: str, *, headline: str, here: str, form: Any) -> LineFormPage:
    """The page of a form."""
    return LineFormPage(
        frame=line_frame(place, here=here),
        headline=headline,
        lead="",
        why=WHY[kind],
        form=form,
        done="Keep it",
        back_href=place.address("line"),
    )


def no_line_page(place: LinePlace, headline: str) -> NoLinePage:
    """The page of a programme that has no line, or of a line that has no task."""
    return NoLinePage(
        frame=line_frame(place),
        when=place.programme_title,
        headline=headline,
        read_href=place.address("read_line"),
        new_href=place.address("new_line_task"),
        example=tuple(tuple(row.split(",")) for row in EXAMPLE.splitlines()),
        example_text=EXAMPLE,
    )

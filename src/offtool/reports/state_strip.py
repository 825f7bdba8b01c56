"""The state strip: where a piece can come from, early to late, how likely each is, and what bounds it.

Below the bars stand the states of the steel, a line a tool, then a line a detail that stays: it runs under
the origins that the detail still allows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from textwrap import wrap

from offtool.core.samples.identify import NONE
from offtool.reports import words
from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, LINE, MARK, QUIET
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.plain_text import printable, shorten
from offtool.steps.sample_found import BoundSeen, OriginSeen, SampleFound
from offtool.steps.sample_sentences import share

WIDTH, LEFT, EDGE = 760.0, 176.0, 4.0
LEAST_STEP = 66.0
"""Less room an origin has not: with many of them the strip grows and is pushed sideways on a small screen."""
TOP, HIGHEST = 18.0, 60.0
BASE = TOP + HIGHEST
LINE_OF_CODE, MOST_LINES, SIGNS_OF_CODE = 12.0, 4, 13
STEEL_ROW, BOUND_ROW, BELOW = 24.0, 22.0, 6.0
SIZE = 11.0
GAP = 4.0
SIGNS_OF_LABEL, LINES_OF_LABEL = 32, 2
LEAST_SHOWN = 0.01
"""Below one per cent only the foot of the bar is drawn."""


def draw_state_strip(found: SampleFound, *, width: float = WIDTH) -> str:
    """Every origin from early to late, "none of these" last, the steel and what the details allow beneath."""
    none = sum(one.probability for one in found.identified.answers if one.is_none)
    columns = [_Column.of(one) for one in found.strip] + [_Column(NONE, NONE, none)]
    places = _Places(len(columns), max((width - LEFT) / len(columns), LEAST_STEP))
    lines = max(len(one.lines) for one in columns)
    y = BASE + 4 + LINE_OF_CODE * lines
    inside = [
        text("how likely", 0, BASE, size=SIZE),
        level("base", LEFT, places.right, BASE, INK, 1),
        upright("apart", places.left(len(found.strip)), TOP, BASE, LINE, 1, ' stroke-dasharray="2 3"'),
        *(hovered(_bar(one, places, i), one.said) for i, one in enumerate(columns)),
    ]
    for tool, states in _steel(found):
        y += STEEL_ROW
        inside += _steel_row(f"steel of {tool}", states, places, y - STEEL_ROW / 2)
    for bound in found.bounds:
        label = _wrapped(_of_bound(bound), SIGNS_OF_LABEL, LINES_OF_LABEL)
        high = BOUND_ROW + LINE_OF_CODE * (len(label) - 1)
        drawn = _bound_row(label, bound.allows, places, y + high / 2)
        inside.append(hovered(drawn, bound_in_words(bound, found)))
        y += high
    return svg("state-strip", places.right + EDGE, y + BELOW, strip_in_words(found), inside)


def strip_in_words(found: SampleFound) -> str:
    """The strip for those who do not see it: what is likely, and what each detail allows."""
    none = sum(one.probability for one in found.identified.answers if one.is_none)
    likely = [f"{_spoken(one.code)} {share(one.probability)}" for one in found.strip]
    said = ", ".join([*likely, f"{NONE} {share(none)}"])
    return "; ".join([f"early to late: {said}", *(bound_in_words(one, found) for one in found.bounds)])


def bound_in_words(bound: BoundSeen, found: SampleFound) -> str:
    """torso, date mark missing: made so by T1 to T2 and by EP only."""
    stretches = [
        [_spoken(found.strip[i].code) for i in (first, last - 1)] for first, last in _stretches(bound.allows)
    ]
    said = [low if low == high else f"{low} to {high}" for low, high in stretches]
    by = f"made so only by {words.listed(said)}" if said else "made so by nothing that is recorded"
    return f"{_of_bound(bound)}, {by}"


@dataclass(frozen=True, slots=True)
class _Column:
    """One origin: its code, what is said of it, and how likely it is."""

    code: str
    words: str
    probability: float

    @classmethod
    def of(cls, one: OriginSeen) -> _Column:
        return cls(one.code, f"{one.code}: {one.engineer}; {one.archive}", one.probability)

    @property
    def lines(self) -> list[str]:
        return _wrapped(self.code, SIGNS_OF_CODE, MOST_LINES)

    @property
    def said(self) -> str:
        return f"{self.words}: {share(self.probability)}"


@dataclass(frozen=True, slots=True)
class _Places:
    """Where the columns stand."""

    count: int
    step: float

    @property
    def right(self) -> float:
        return LEFT + self.step * self.count

    def left(self, column: int) -> float:
        return LEFT + self.step * column

    def middle(self, column: float) -> float:
        return LEFT + self.step * (column + 0.5)


def _bar(one: _Column, places: _Places, i: int) -> str:
    high = max(HIGHEST * one.probability, 1.0)
    left, width = places.left(i) + GAP, places.step - 2 * GAP
    place = f'x="{at(left)}" y="{at(BASE - high)}" width="{at(width)}" height="{at(high)}"'
    bar = f'<rect class="p" {place} fill="{MARK}"/>'
    shown = one.probability >= LEAST_SHOWN
    x = places.middle(i)
    if shown:
        bar += text(share(one.probability), x, BASE - high - 4, anchor="middle", colour=INK, size=SIZE)
    colour = INK if shown else QUIET
    for row, line in enumerate(one.lines, start=1):
        bar += text(line, x, BASE + 2 + LINE_OF_CODE * row, anchor="middle", colour=colour, size=SIZE)
    return bar


def _steel(found: SampleFound) -> Iterator[tuple[str, list[str]]]:
    """For each tool, its states at each origin of the strip, written together."""
    named = {f"{tool} {state}": (tool, state) for tool, state in _states(found)}
    at_origin = [[named.get(one) or _split(one) for one in origin.steel] for origin in found.strip]
    for tool in dict.fromkeys(tool for pairs in at_origin for tool, _ in pairs):
        yield tool, [", ".join(state for of, state in pairs if of == tool) for pairs in at_origin]


def _states(found: SampleFound) -> Iterator[tuple[str, str]]:
    for part in found.identified.parts:
        yield from ((tool, state) for tool, state, _ in part.states)


def _split(steel: str) -> tuple[str, str]:
    tool, _, state = steel.partition(" ")
    return tool, state


def _steel_row(label: str, states: Sequence[str], places: _Places, y: float) -> Iterator[str]:
    yield text(shorten(label, SIGNS_OF_LABEL), 0, y + 2, size=SIZE)
    first = 0
    for state, group in groupby(states):
        last = first + len(list(group))
        if state:
            left, right = places.left(first) + GAP, places.left(last) - GAP
            room = max(int((right - left) / 6), 4)
            name = text(
                shorten(state, room), (left + right) / 2, y + 10, anchor="middle", colour=INK, size=SIZE
            )
            yield hovered(level("st", left, right, y - 3, QUIET, 2) + name, f"{label}: {state}")
        first = last


def _bound_row(label: Sequence[str], allows: Sequence[bool], places: _Places, y: float) -> str:
    """A line under each stretch of origins that is allowed; an upright end where it stops."""
    top = y + 4 - LINE_OF_CODE * (len(label) - 1) / 2
    drawn = "".join(
        text(line, 0, top + LINE_OF_CODE * i, colour=INK, size=SIZE) for i, line in enumerate(label)
    )
    for first, last in _stretches(allows):
        left, right = places.left(first) + GAP, places.left(last) - GAP
        drawn += level("bound", left, right, y, INK, 1.6)
        ends = [left] * (first > 0) + [right] * (last < len(allows))
        drawn += "".join(upright("bound", x, y - 5, y + 5, INK, 1.6) for x in ends)
    return drawn


def _stretches(allows: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """Where the origins that are allowed begin and end, side by side as one."""
    for is_allowed, group in groupby(range(len(allows)), key=allows.__getitem__):
        places = list(group)
        if is_allowed:
            yield places[0], places[-1] + 1


def _wrapped(label: str, signs: int, lines: int) -> list[str]:
    """A label in a few short lines; what does not fit is cut, the whole of it is in the words."""
    found = wrap(printable(label), signs, max_lines=lines, placeholder="…", break_on_hyphens=False)
    return found or [""]


def _spoken(code: str) -> str:
    """A code in a list of others: its own comma would read as one of the list."""
    stage, comma, rest = code.partition(", ")
    return f"{stage} ({rest})" if comma else code


def _of_bound(bound: BoundSeen) -> str:
    return f"{bound.part}: {bound.about} {bound.found}" if bound.part else f"{bound.about} {bound.found}"

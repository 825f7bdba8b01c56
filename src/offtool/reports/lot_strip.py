"""A lot as a strip from early to late: its groups with their samples, and between them what came and went."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from offtool.core.samples.order import LotGroup, LotOrder
from offtool.reports import words
from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, LINE, QUIET
from offtool.reports.drawing import chevron, level, svg, upright
from offtool.reports.plain_text import shorten

WIDTH = 640.0
PHONE_WIDTH = 340.0
COLUMN, GAP, EDGE = 78.0, 92.0, 4.0
LINE_HEIGHT = 13.0
HEAD, FOOT = 34.0, 16.0
WORD = 10.5
SIGNS_OF_SAMPLE, SIGNS_OF_DETAIL = 14, 14
MOST_CHANGES = 8
"""More that came at once are counted."""
ARROW = 4.0

SURE = ((0.99, "almost sure"), (0.9, "very likely"), (0.75, "likely"), (0.5, "rather likely"))
"""How sure a gap is, in words, from so much on."""
HARDLY = "hardly told apart"
SOLID = 0.75
"""A less sure gap has a dashed arrow."""


def sure_in_words(probability: float) -> str:
    """The probability that one group is later than the one before."""
    return next((said for least, said in SURE if probability >= least), HARDLY)


def draw_lot_strip(order: LotOrder, *, width: float = WIDTH) -> str:
    """From early at the left to late at the right; what does not fit the width goes on in a band below."""
    bands = list(_bands(order.groups, width))
    tops = [sum((band.height for band in bands[:number]), 0.0) for number in range(len(bands))]
    height = sum((band.height for band in bands), 0.0) or HEAD
    inside = [one for band, top in zip(bands, tops, strict=True) for one in band.draw(top)]
    if not bands:
        inside = [text(shorten(order.words, int(width / 6)), EDGE, HEAD / 2, size=WORD, colour=INK)]
    return svg("lot-strip", width, height, lot_in_words(order), inside)


def lot_in_words(order: LotOrder) -> str:
    """What a person who does not see the strip is told."""
    if not order.groups:
        return order.words
    return "From early to late: " + "; ".join(
        _group_in_words(number, one) for number, one in enumerate(order.groups, start=1)
    )


def _group_in_words(number: int, group: LotGroup) -> str:
    samples = f"group {number}: {', '.join(group.samples)}"
    return f"{_gap_in_words(group)}, {samples}" if group.probability is not None else samples


def _gap_in_words(group: LotGroup) -> str:
    probability = group.probability or 0.0
    came = f"{', '.join(group.came)} came" if group.came else ""
    went = f"{', '.join(group.went)} went" if group.went else ""
    changed = ", ".join(filter(None, (came, went))) or "no detail that tells them apart for sure"
    return f"then {changed}, {sure_in_words(probability)} {words.chance(probability)}"


def changes_shown(group: LotGroup) -> list[str]:
    """What stands in the gap before a group: + for what came, − for what went."""
    changes = [f"+ {one}" for one in group.came] + [f"− {one}" for one in group.went]
    if len(changes) <= MOST_CHANGES:
        return changes
    return [*changes[: MOST_CHANGES - 1], f"and {len(changes) - MOST_CHANGES + 1} more"]


@dataclass(frozen=True, slots=True)
class _Band:
    """Some groups side by side; each but the very first has its gap before it."""

    groups: Sequence[tuple[int, LotGroup]]

    @property
    def height(self) -> float:
        lines = max(max(len(one.samples), len(changes_shown(one)) + 2) for _, one in self.groups)
        return HEAD + LINE_HEIGHT * lines + FOOT

    def draw(self, top: float) -> Iterator[str]:
        x = EDGE
        for number, group in self.groups:
            if group.probability is not None:
                yield hovered("".join(_draw_gap(group, x, top)), _gap_in_words(group))
                x += GAP
            bottom = top + self.height - FOOT
            yield hovered("".join(_draw_group(number, group, x, top, bottom)), _group_title(number, group))
            x += COLUMN


def _bands(groups: Sequence[LotGroup], width: float) -> Iterator[_Band]:
    held: list[tuple[int, LotGroup]] = []
    used = EDGE
    for number, group in enumerate(groups, start=1):
        needs = COLUMN + (GAP if group.probability is not None else 0.0)
        if held and used + needs > width - EDGE:
            yield _Band(held)
            held, used = [], EDGE
        held.append((number, group))
        used += needs
    if held:
        yield _Band(held)


def _group_title(number: int, group: LotGroup) -> str:
    shows = ", ".join(group.shows) or "none of the details"
    return f"group {number}: {', '.join(group.samples)}; shows {shows}"


def _draw_group(number: int, group: LotGroup, x: float, top: float, bottom: float) -> Iterator[str]:
    yield upright("group", x, top + 8, bottom, LINE, 1)
    yield level("head", x, x + COLUMN - 6, top + 8, INK, 2)
    yield text(str(number), x + 5, top + 22, size=WORD, colour=INK)
    for line, sample in enumerate(group.samples):
        y = top + HEAD + LINE_HEIGHT * (line + 0.3)
        yield text(shorten(sample, SIGNS_OF_SAMPLE), x + 5, y, size=WORD, colour=INK)


def _draw_gap(group: LotGroup, x: float, top: float) -> Iterator[str]:
    probability = group.probability or 0.0
    end = x + GAP - 8
    dashed = "" if probability >= SOLID else ' stroke-dasharray="3 2"'
    yield level("gap", x + 2, end, top + 8, QUIET, 0.8, dashed)
    yield chevron(end, top + 8, 1, QUIET, size=ARROW)
    yield text(sure_in_words(probability), x + 2, top + 22, size=WORD)
    yield text(words.chance(probability), x + 2, top + 22 + LINE_HEIGHT, size=WORD)
    for line, change in enumerate(changes_shown(group)):
        y = top + HEAD + LINE_HEIGHT * (line + 1.3)
        yield text(shorten(change, SIGNS_OF_DETAIL + 2), x + 2, y, size=WORD, colour=INK)

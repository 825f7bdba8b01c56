"""Networks with printed answers, and the way through all their paths one by one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from offtool.core.pilot.way import WayFound, way_to_end

Steps = Mapping[str, tuple[float, Sequence[str]]]
"""By name: days, and what it waits for."""


def find(steps: Steps, **asked: object) -> WayFound:
    """The way where every step takes just so long."""
    days = [one for one, _ in steps.values()]
    after = [" | ".join(waits) for _, waits in steps.values()]
    return way_to_end(list(steps), days, days, after=after, **asked)  # type: ignore[arg-type]


def longest_by_all_paths(steps: Steps) -> float:
    """The longest of all chains, each walked to its beginning; no order of the steps is used."""

    def up_to(name: str) -> float:
        days, waits = steps[name]
        return days + max((up_to(one) for one in waits), default=0.0)

    return max(up_to(name) for name in steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A printed row: days, earliest start and end, latest start and end, float."""

    days: str
    row: tuple[str, str, str, str, str]


ARROWS_20: Mapping[tuple[int, int], Printed] = {
    (1, 2): Printed(days="7", row=("0", "7", "2", "9", "2")),
    (1, 3): Printed(days="10", row=("0", "10", "0", "10", "0")),
    (2, 4): Printed(days="6", row=("7", "13", "9", "15", "2")),
    (3, 4): Printed(days="5", row=("10", "15", "10", "15", "0")),
    (3, 5): Printed(days="4", row=("10", "14", "14", "18", "4")),
    (4, 5): Printed(days="3", row=("15", "18", "15", "18", "0")),
    (5, 6): Printed(days="2", row=("18", "20", "18", "20", "0")),
}
"""Taylor, Introduction to Management Science, solutions to chapter 8: the network of 20 weeks."""

ARROWS_38: Mapping[tuple[int, int], Printed] = {
    (1, 2): Printed(days="8", row=("0", "8", "1", "9", "1")),
    (1, 3): Printed(days="10", row=("0", "10", "0", "10", "0")),
    (1, 4): Printed(days="9", row=("0", "9", "6", "15", "6")),
    (2, 5): Printed(days="6", row=("8", "14", "9", "15", "1")),
    (2, 6): Printed(days="4", row=("8", "12", "16", "20", "8")),
    (3, 5): Printed(days="5", row=("10", "15", "10", "15", "0")),
    (4, 5): Printed(days="0", row=("9", "9", "15", "15", "6")),
    (4, 7): Printed(days="7", row=("9", "16", "20", "27", "11")),
    (5, 7): Printed(days="12", row=("15", "27", "15", "27", "0")),
    (5, 8): Printed(days="15", row=("15", "30", "16", "31", "1")),
    (6, 9): Printed(days="18", row=("12", "30", "20", "38", "8")),
    (7, 8): Printed(days="4", row=("27", "31", "27", "31", "0")),
    (8, 9): Printed(days="7", row=("31", "38", "31", "38", "0")),
}
"""The same solutions: the network of 38 weeks, with a dummy step of no length."""


def of_arrows(printed: Mapping[tuple[int, int], Printed]) -> Steps:
    """Steps drawn as arrows between numbered events: each waits for all that end where it begins."""
    return {
        f"{begins}-{ends}": (
            float(one.days),
            [f"{before}-{at}" for before, at in printed if at == begins],
        )
        for (begins, ends), one in printed.items()
    }


PROTOTYPE: Steps = {
    "A": (6, ()),
    "B": (2, "A"),
    "C": (2, "A"),
    "D": (3, "B"),
    "E": (4, "DF"),
    "F": (2, "C"),
    "G": (1, "E"),
}
"""A worked example of a course, "Draw the network for the events in Table 1" (studylib, document 8378728)."""

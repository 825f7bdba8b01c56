"""The numbers of a line, its stations, tasks and presses: how each is called, between which ends it lies.

One list for the forms, the commands and what is said of a number that cannot be. The names are those of the
record; a share is kept as 0.95 and typed as 95 per cent.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from offtool.handbook.terms import (
    HOURS_A_DAY,
    LEARNING,
    NOT_NEGATIVE,
    PEOPLE,
    POSITIVE,
    SHARE_OR_NONE,
    YIELD,
    Ends,
)

PER_CENT = "%"
AT_A_STATION: Ends = {"at_least": 1, "at_most": 6}
"""People at a station, as the balance takes them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineNumber:
    """One number: what it is called, its unit, its ends as kept, and what to know before it is typed."""

    says: str
    unit: str = ""
    help: str = ""
    ends: Ends
    whole: bool = False

    @property
    def label(self) -> str:
        """The name with its unit."""
        return f"{self.says}, {self.unit}" if self.unit else self.says

    @property
    def fold(self) -> float:
        """By how much what is typed is more than what is kept."""
        return 100.0 if self.unit == PER_CENT else 1.0

    def kept(self, typed: float | None) -> float | int | None:
        """A number as the record keeps it; 98 % is the float 0.98."""
        if typed is None:
            return None
        return round(typed) if self.whole else float(f"{typed / self.fold:.12g}")

    def typed(self, kept: float | None) -> float | None:
        """A kept number as it is typed."""
        return None if kept is None else float(f"{kept * self.fold:.12g}")


LINE_NUMBERS: Mapping[str, LineNumber] = {
    "planned_per_h": LineNumber(
        says="Good pieces planned", unit="1/h", help="what the plan of production asks for", ends=POSITIVE
    ),
    "people": LineNumber(
        says="People at hand", help="who can be put on the line in one shift", ends=PEOPLE, whole=True
    ),
    "hours_per_day": LineNumber(says="Hours it runs a day", unit="h", ends=HOURS_A_DAY),
    "quantity": LineNumber(
        says="Pieces ordered", help="the ramp says when they are made", ends=POSITIVE, whole=True
    ),
    "piece_cost": LineNumber(
        says="Worth of a piece", help="what is lost when one is scrapped at the end", ends=NOT_NEGATIVE
    ),
    "minute_cost": LineNumber(says="A minute of one person", help="for rework", ends=NOT_NEGATIVE),
    "planned_first_yield": LineNumber(
        says="Good at once, planned", unit=PER_CENT, help="over all stations; 95 is usual", ends=YIELD
    ),
    "planned_final_yield": LineNumber(
        says="Good after rework, planned", unit=PER_CENT, help="over all stations; so many more must enter",
        ends=YIELD,
    ),
    "learning_low": LineNumber(
        says="Learning rate, least", unit=PER_CENT,
        help="time left at each doubling of the pieces made; 80 to 90 is common practice", ends=LEARNING,
    ),
    "learning_high": LineNumber(
        says="Learning rate, highest", unit=PER_CENT, help="100 is no learning", ends=LEARNING
    ),
}  # fmt: skip
"""What is planned of a line."""

STATION_NUMBERS: Mapping[str, LineNumber] = {
    "people": LineNumber(
        says="People", help="blank: one, or two where they face each other", ends=AT_A_STATION, whole=True
    ),
    "places": LineNumber(
        says="Places before it", help="pieces that may wait there; 0 is none, blank is not said",
        ends=NOT_NEGATIVE, whole=True,
    ),
    "cure_s": LineNumber(
        says="Must lie before it", unit="s", help="paint that dries, glue that sets", ends=NOT_NEGATIVE
    ),
    "fails": LineNumber(
        says="Pieces that fail there", unit=PER_CENT, help="of those that are tried", ends=SHARE_OR_NONE
    ),
    "rounds": LineNumber(
        says="Times a piece goes back", help="after so many it is scrapped", ends=NOT_NEGATIVE, whole=True
    ),
    "works_s": LineNumber(
        says="Works until it stops", unit="s", help="in the mean; together with how long it stands",
        ends=POSITIVE,
    ),
    "stands_s": LineNumber(says="Stands when it stops", unit="s", help="in the mean", ends=POSITIVE),
    "fixtures": LineNumber(
        says="Fixtures", help="blank where they are not what is short", ends=POSITIVE, whole=True
    ),
    "learning": LineNumber(
        says="Learning rate", unit=PER_CENT, help="time left at each doubling; blank for none", ends=LEARNING
    ),
    "made_before": LineNumber(
        says="Pieces made before", help="by its people, for learning", ends=NOT_NEGATIVE, whole=True
    ),
}  # fmt: skip
"""What is said of a station."""

TASK_NUMBERS: Mapping[str, LineNumber] = {
    "time_s": LineNumber(says="Time", unit="s", help="mean of its readings, or an estimate", ends=POSITIVE),
    "spread_s": LineNumber(
        says="Spread", unit="s", help="standard deviation from piece to piece; blank: not known",
        ends=NOT_NEGATIVE,
    ),
    "readings": LineNumber(
        says="Times it was timed", help="0 or blank: it is an estimate; 10 are usual", ends=NOT_NEGATIVE,
        whole=True,
    ),
}  # fmt: skip
"""What is said of a task."""

FEED_NUMBERS: Mapping[str, LineNumber] = {
    "cycle_s": LineNumber(says="Time of one shot", unit="s", ends=POSITIVE),
    "cycle_spread_s": LineNumber(
        says="Spread of that", unit="s", help="standard deviation from shot to shot", ends=NOT_NEGATIVE
    ),
    "rejects": LineNumber(
        says="Pieces that do not come", unit=PER_CENT, help="sorted out at the press", ends=SHARE_OR_NONE
    ),
    "works_s": LineNumber(says="Works until it stops", unit="s", help="in the mean", ends=POSITIVE),
    "stands_s": LineNumber(says="Stands when it stops", unit="s", help="in the mean", ends=POSITIVE),
}
"""What is said of a tool that feeds the line."""

"""How a line is to be run: how long, how often, from which seed, and how sure the intervals are to be."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import ImpossibleInput, Range

SEED = 1
LARGEST_CREW = 200
"""People at one station."""
HOURS = Range(meaning="length of a run", unit="h", above=0, at_most=100_000, remedy="a shift is 8 h")
RUNS = Range(meaning="how many runs", at_least=1, at_most=100_000, remedy="30 is a usual beginning")
CONFIDENCE = Range(meaning="confidence of the intervals", above=0, below=1, remedy="0.95 is usual")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a caller asks of the runs."""

    hours: float
    runs: int
    seed: int
    confidence: float
    warm_up_h: float | None

    def check(self) -> None:
        """Refuse what cannot be run."""
        HOURS.refuse_impossible("hours", self.hours)
        RUNS.refuse_impossible("runs", self.runs)
        CONFIDENCE.refuse_impossible("confidence", self.confidence)
        if self.seed < 0:
            raise ImpossibleInput("seed", self.seed, "", "must be at least 0", "any whole number will do")
        if self.warm_up_h is not None and not 0 <= self.warm_up_h < self.hours:
            limit = f"must be at least 0 and below the {self.hours:g} h of the run"
            raise ImpossibleInput("warm_up_h", self.warm_up_h, "h", limit, "leave it out to have it found")

"""What is known only between two ends, with the value that is usual between them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Bracket:
    """Least, usual and most. It comes from settings and grades that are not known yet, not from chance."""

    low: float
    usual: float
    high: float

    @classmethod
    def point(cls, value: float) -> Bracket:
        """A value that is known."""
        return cls(low=value, usual=value, high=value)

    @property
    def is_point(self) -> bool:
        return self.low == self.high

    def times(self, factor: float) -> Bracket:
        """All three, so many times as large."""
        return Bracket(low=self.low * factor, usual=self.usual * factor, high=self.high * factor)

    def plus(self, other: Bracket) -> Bracket:
        """Both together, end by end."""
        return Bracket(low=self.low + other.low, usual=self.usual + other.usual, high=self.high + other.high)

    def at_least(self, other: Bracket) -> Bracket:
        """The larger of the two, end by end."""
        return Bracket(
            low=max(self.low, other.low), usual=max(self.usual, other.usual), high=max(self.high, other.high)
        )


def bracket_of(three: tuple[float, float, float]) -> Bracket:
    """Least, usual and most as the handbook writes them."""
    low, usual, high = three
    return Bracket(low=low, usual=usual, high=high)

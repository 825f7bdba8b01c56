"""What all computations share: verdicts, intervals, ranges, cautions and errors."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from math import isinf, isnan


class Verdict(StrEnum):
    """The three answers an inspection can give."""

    HOLDS = "holds"
    FAILS = "does not hold"
    NOT_SHOWN = "not shown"


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the reader of a result must know before acting on it."""

    text: str
    source: str = ""

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Two ends and how sure; an end may be infinite where nothing can be said on that side."""

    low: float
    high: float
    confidence: float

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high

    @property
    def half_width(self) -> float:
        return (self.high - self.low) / 2


class OfftoolError(Exception):
    """Anything a user can cause: what went wrong, where, and the remedy."""

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        self.what, self.where, self.remedy = what, where, remedy
        super().__init__(what)

    def __str__(self) -> str:
        sentence = f"{self.where}: {self.what}" if self.where else self.what
        return f"{sentence}; {self.remedy}" if self.remedy else sentence


def nearest(name: str, known: Iterable[str]) -> str:
    """The remedy for an unknown name: the nearest known one, else the known ones."""
    names = sorted(set(known))
    if not names:
        return "there are none yet"
    close = get_close_matches(name, names, n=1)
    if close:
        return f"did you mean {close[0]!r}?"
    return f"known are: {', '.join(names[:20])}" + (" …" if len(names) > 20 else "")


class ImpossibleInput(OfftoolError):
    """A value that cannot be; names the argument, the value, the limit and the remedy."""

    def __init__(self, argument: str, value: object, unit: str, limit: str, remedy: str = "") -> None:
        self.argument, self.value, self.unit, self.limit = argument, value, unit, limit
        shown = f"{value} {unit}".rstrip()
        super().__init__(f"{argument} = {shown}: {limit}", remedy=remedy)


class NotEnoughData(OfftoolError):
    """Too few readings for what was asked; the remedy says how many are needed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What an argument may be.

    Outside ``above``/``at_least``/``below``/``at_most`` it is impossible and refused; outside ``usual``
    it is answered with a caution that names the source.
    """

    meaning: str
    unit: str = ""
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None
    may_be_infinite: bool = False
    usual: tuple[float, float] | None = None
    source: str = ""
    remedy: str = ""

    def refuse_impossible(self, argument: str, value: object) -> None:
        """Raise ImpossibleInput for a value, or any element of an array, that cannot be."""
        for element in _ends(value):
            limit = self._broken_limit(element)
            if limit:
                raise ImpossibleInput(argument, element, self.unit, limit, self.remedy)

    def caution(self, argument: str, value: object) -> Caution | None:
        """A caution when a value lies outside the usual range."""
        if self.usual is None:
            return None
        low, high = self.usual
        for element in _ends(value):
            if not low <= element <= high:
                shown = f"{element:g} {self.unit}".rstrip()
                span = f"{low:g} to {high:g} {self.unit}".rstrip()
                return Caution(f"{argument} = {shown} lies outside the usual {span}", self.source)
        return None

    def words(self) -> str:
        """The possible range in words, as shown on pages and in help."""
        ends = [
            f"above {self.above:g}" if self.above is not None else "",
            f"at least {self.at_least:g}" if self.at_least is not None else "",
            f"below {self.below:g}" if self.below is not None else "",
            f"at most {self.at_most:g}" if self.at_most is not None else "",
        ]
        return " and ".join(end for end in ends if end) or "any number"

    def _broken_limit(self, value: float) -> str:
        if isnan(value) or (isinf(value) and not self.may_be_infinite):
            return "must be a finite number"
        if self.above is not None and not value > self.above:
            return f"must be above {self.above:g}"
        if self.at_least is not None and not value >= self.at_least:
            return f"must be at least {self.at_least:g}"
        if self.below is not None and not value < self.below:
            return f"must be below {self.below:g}"
        if self.at_most is not None and not value <= self.at_most:
            return f"must be at most {self.at_most:g}"
        return ""


def _ends(value: object) -> tuple[float, ...]:
    """The elements that decide whether a value is in range: the one number, or both ends of an array."""
    if isinstance(value, (int, float)):
        return (float(value),)
    import numpy as np  # here, so that the command line can name errors without loading numpy

    array = np.asarray(value, dtype=float)
    return (float(array.min()), float(array.max())) if array.size else ()

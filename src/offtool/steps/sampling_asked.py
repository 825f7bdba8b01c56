"""What one may want to know of a sample: six questions, each with what is given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from offtool.core.pilot.sampling.asked import Counted, Severity
from offtool.core.pilot.sampling.standard import Level
from offtool.core.pilot.sampling.variables import Limits, Spread
from offtool.core.values import ImpossibleInput

Ask = Literal["lot", "own", "find", "zero", "measured", "lots"]

ASKS: dict[Ask, tuple[str, str]] = {
    "lot": ("A lot by the public tables", "How many pieces to look at, for a lot and a quality limit."),
    "own": ("A plan of your own", "What a sample and an acceptance number let through."),
    "find": ("A plan for two risks", "The smallest sample that passes good lots and stops bad ones."),
    "zero": ("A test without failures", "How many pieces must hold to show that nearly all do."),
    "measured": ("One size, measured", "Mean and spread instead of counting: fewer pieces."),
    "lots": ("Lots that came before", "Whether the next lot is looked at as usual, more closely, or less."),
}
"""The questions in the order of the page: what each is called, and what it answers."""

PRODUCER_RISK, CONSUMER_RISK = 0.05, 0.10
"""The two risks that plans are usually asked to keep; common practice, no source."""


LARGEST_RISK = LARGEST_OUTSIDE = LEAST_SURE = 50.0
"""Per cent: a risk, and a share outside of a size that is measured, is below; a confidence is above."""
MOST_FLAWS = 10_000.0
"""On 100 pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAsked:
    """A lot by the public tables; without `good` and `bad` the plan's own are told.

    Shares are of one: 1 % is 0.01. `aql` is as the list has it, in per cent.
    """

    lot: int
    level: Level = "II"
    aql: float
    severity: Severity = "normal"
    good: float | None = None
    bad: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnAsked:
    """Any sample and acceptance number; `lot` where it is small beside the sample."""

    pieces: int
    accept: int
    lot: int | None = None
    good: float | None = None
    bad: float | None = None
    counted: Counted = "pieces"


@dataclass(frozen=True, slots=True, kw_only=True)
class FindAsked:
    """The smallest plan for two risks."""

    good: float
    bad: float
    producer_risk: float = PRODUCER_RISK
    consumer_risk: float = CONSUMER_RISK
    lot: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroAsked:
    """A demonstration: so large a share must hold."""

    reliability: float
    confidence: float = 0.95
    failures: int = 0
    lot: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredAsked:
    """One characteristic, measured; with `pieces` and `factor` that plan, else the smallest one."""

    good: float
    bad: float
    spread: Spread = "unknown"
    limits: Limits = "one"
    producer_risk: float = PRODUCER_RISK
    consumer_risk: float = CONSUMER_RISK
    pieces: int | None = None
    factor: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LotsAsked:
    """Lots in order, and what was found in the sample of each."""

    lots: tuple[int, ...]
    found: tuple[int, ...]
    level: Level = "II"
    aql: float
    reduced_allowed: bool = False


Asked: TypeAlias = LotAsked | OwnAsked | FindAsked | ZeroAsked | MeasuredAsked | LotsAsked


def share_of(name: str, per_cent: float | None, *, above: float = 0.0, below: float = 100.0) -> float | None:
    """A share as it is typed, in per cent, as a share of one. Raises ImpossibleInput, in per cent too."""
    if per_cent is None:
        return None
    if not above < per_cent < below:
        limit = f"must be above {above:g}" if per_cent <= above else f"must be below {below:g}"
        remedy = "95 % is 95" if above else "5 % of the pieces is 5"
        raise ImpossibleInput(name, f"{per_cent:g}", "%", limit, remedy)
    return per_cent / 100


def share_that_holds(name: str, per_cent: float) -> float:
    """The share that is to hold, as typed in per cent; one below 1 % is doubted, as 0.9 is meant as 90 %.

    Raises ImpossibleInput.
    """
    if 0 < per_cent <= 1:
        remedy = f"{per_cent:g} of all pieces is {100 * per_cent:g} %: type {100 * per_cent:g}"
        raise ImpossibleInput(name, f"{per_cent:g}", "%", "must be above 1 %", remedy)
    return share_of(name, per_cent) or 0.0


def both_shares(
    good: float | None, bad: float | None, *, below: float = 100.0
) -> tuple[float | None, float | None]:
    """The good and the bad share from per cent. Raises ImpossibleInput where the good one is not below."""
    if good is not None and bad is not None and not good < bad:
        limit = f"must be below that of a bad lot, {bad:g} %"
        raise ImpossibleInput("good", f"{good:g}", "%", limit, "swap or correct them")
    return share_of("good", good, below=below), share_of("bad", bad, below=below)

"""The corrections of a tool as the toolmaker needs them: one object for page, sheet, command and JSON."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.correction import Cutting, PooledShrinkage
from offtool.core.values import Caution, Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeExpected:
    """What the next trial should find of a size the cut moves; `gets` is "LARGER" or "SMALLER"."""

    number: str
    name: str
    part: str
    gets: str
    now: float
    expected: float
    interval: Interval
    lower: float | None
    upper: float | None
    decimals: int
    asked_by: str = ""
    """What a joint asks of it, in words, where the cut aims at that; the limits then are what the joint can
    do with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelChange:
    """One cut in one cavity. `amount_mm` is steel to remove; negative, steel to add; in the stated
    measure."""

    feature: str
    feature_name: str
    part: str
    part_name: str
    half: str
    cavity: str
    stated: str
    amount_mm: float
    size_before_mm: float
    size_after_mm: float
    allowance_left_mm: float
    by_insert: bool
    cause: str
    reason: str
    short_because: str
    holds_now: float
    holds_after: float
    overshoot: float
    expected: tuple[SizeExpected, ...]

    @property
    def removes(self) -> bool:
        """Whether steel is removed rather than added."""
        return self.amount_mm > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class NotChanged:
    """A size that does not hold yet and is not cut: why, and what to do instead."""

    number: str
    name: str
    part: str
    cavities: tuple[str, ...]
    why: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionShrinkage:
    """Shrinkage along one direction: allowed for, and found over all its sizes."""

    resin: str
    direction: str
    allowed: float
    found: PooledShrinkage
    explains: int
    sizes: int

    @property
    def off(self) -> bool:
        """Whether what was allowed lies outside the interval of what was found."""
        return self.allowed not in self.found.interval


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCorrection:
    """A correction that was decided on this trial and is in the record."""

    correction_id: int
    feature: str
    cavity: str
    amount_mm: float
    size_after_mm: float
    status: str
    resulting_state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolCorrection:
    """All that follows for the steel from one trial."""

    programme: str
    programme_title: str
    tool: str
    tool_name: str
    trial: str
    state: str
    made_on: date | None
    headline: str
    changes: tuple[SteelChange, ...]
    not_changed: tuple[NotChanged, ...]
    directions: tuple[DirectionShrinkage, ...]
    cutting: Cutting
    step_mm: float
    setup_sd: float
    kept: tuple[KeptCorrection, ...]
    method: str
    cautions: tuple[Caution, ...] = ()

"""What a lot shows: its groups from early to late, and what is sure and not sure of it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.samples.order.lot import TellsNothing
from offtool.core.values import Caution, Interval

READ_WRONG = "read wrong, damaged or repaired"

Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotGroup:
    """Samples that are not told apart, and the details that their steel shows."""

    samples: tuple[str, ...]
    shows: tuple[str, ...]
    came: tuple[str, ...]
    """What it shows and the group before did not."""
    went: tuple[str, ...]
    probability: float | None
    """That a sample of this group is of a later state than one of the group before; None for the first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedSample:
    """Its place among the samples, from 1; samples of one state share theirs."""

    sample: str
    place: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailStep:
    """Details whose changes came together, or whose order the lot does not show."""

    details: tuple[str, ...]
    probability: float | None
    """That they came behind those of the step before; None for the first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UndoneDetail:
    """A detail that came and was taken back later: repaired, welded up or deleted."""

    detail: str
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OddCell:
    """A reading against what the other readings say of the sample's steel."""

    sample: str
    detail: str
    read: str
    expected: str
    log_odds: float
    """That it does not show the steel, natural logarithm."""
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CellToLook:
    """A look and what it is expected to tell of the order of changes and of the sample's state, in bits."""

    sample: str
    detail: str
    bits: float
    again: bool
    """It was looked at already; a second look, by another person, is worth that much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotOrder:
    """The order of a lot. Rows and columns of `earlier` and `same` are those of `samples`."""

    samples: tuple[str, ...]
    """Those that are placed."""
    groups: tuple[LotGroup, ...]
    earlier: Matrix
    """[i][j]: the probability that the state of sample i is earlier than that of j."""
    same: Matrix
    places: tuple[PlacedSample, ...]
    details: tuple[DetailStep, ...]
    """In the order in which they came; of a detail of the kind "goes", when it went."""
    undone: tuple[UndoneDetail, ...]
    odd: tuple[OddCell, ...]
    """The surest first."""
    not_placed: tuple[str, ...]
    """Nothing that tells of the order was looked at on them."""
    tells_nothing: tuple[TellsNothing, ...]
    look_next: tuple[CellToLook, ...]
    missed: float
    """How often this lot was misread, as its readings show; the usual rate where they show nothing."""
    imagined: float
    method: str
    words: str
    cautions: tuple[Caution, ...] = ()

"""What identification answers: how probable each origin is, why, and what would change the answer."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from offtool.core.samples.identify.hypotheses import Make, Weight
from offtool.core.values import Caution
from offtool.handbook.terms import Stage

NONE = "none of these"


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """What one finding counts for one origin: the natural logarithm of how many times likelier it is there
    than over all origins together, as probable as they were before anything was looked at.

    Above 0 it speaks for the origin, below 0 against it. Each finding is taken by itself; where a part is
    rather from elsewhere, they do not add up.
    """

    part: str
    about: str
    found: str
    weight: Weight
    log_odds: float
    capped: bool

    @property
    def times(self) -> float:
        """How many times likelier."""
        return exp(self.log_odds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One origin of the piece, with its probability before and after, and what speaks for and against it."""

    code: str
    stage: Stage | None
    probability: float
    prior: float
    evidence: tuple[Counts, ...]
    elsewhere: tuple[str, ...] = ()
    """Parts that would then rather be from elsewhere."""

    @property
    def is_none(self) -> bool:
        """The piece is from nothing that is recorded."""
        return self.stage is None


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeShare:
    """One make of a part and its probability; no make: from nothing that is recorded."""

    make: Make | None
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StateBound:
    """What one detail that stays allows: states of one tool, by their place in time."""

    about: str
    found: str
    first: int
    last: int
    states: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartAnswer:
    """What one part is, whatever the others are."""

    label: str
    makes: tuple[MakeShare, ...]
    states: tuple[tuple[str, str, float], ...]
    """Tool, state and its probability; the most probable first."""
    belongs: float
    """How probable it is that the part is from the piece's most probable origin."""
    bounds: tuple[StateBound, ...]
    clashes: tuple[Clash, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Findings that no single origin explains: each named, and what may be behind it."""

    part: str
    against: tuple[str, ...]
    for_: tuple[str, ...]
    log_odds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """Two origins that the findings do not tell apart, and whether anything that can be looked at would."""

    first: str
    second: str
    log_odds: float
    tells: str
    """What would tell them apart; empty where nothing that is recorded does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeAhead:
    """What one outcome of a look would make of the most probable origin."""

    outcome: str
    probability: float
    top: str
    top_probability: float
    now_top_probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLook:
    """Something not looked at yet, and how many bits it is expected to tell of where the piece is from."""

    part: str
    about: str
    where: str
    bits: float
    destroys: bool
    outcomes: tuple[OutcomeAhead, ...]
    code: str = ""
    """What names it in a form or a command, where that is not `about`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Identified:
    """Where a piece can come from, the most probable first."""

    answers: tuple[Answer, ...]
    stages: tuple[tuple[Stage | None, float], ...]
    parts: tuple[PartAnswer, ...]
    alike: tuple[Alike, ...]
    look_next: tuple[NextLook, ...]
    log_evidence: float
    elsewhere: float
    none_of_these: float
    cautions: tuple[Caution, ...] = ()

    @property
    def top(self) -> Answer:
        """The most probable origin."""
        return self.answers[0]

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """All that no single origin explains."""
        return tuple(clash for part in self.parts for clash in part.clashes)

    def probability(self, code: str) -> float:
        """The probability of one origin by its code; 0 for one that is not asked about."""
        return sum(one.probability for one in self.answers if one.code == code)

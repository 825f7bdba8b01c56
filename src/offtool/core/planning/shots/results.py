"""What a trial comes to: its shots in order, what they serve, the press time and the melt."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.values import Caution
from offtool.handbook.terms import TrialPurpose


class ShotKind(StrEnum):
    """What is done with a run of shots."""

    SHORT = "short shots"
    SETTLE = "thrown away"
    KEEP = "kept"
    DESTROYED = "kept to be destroyed"
    WHOLE = "kept whole"
    SPARE = "spare"


class TimeOn(StrEnum):
    """What press time is spent on."""

    SET_UP = "hanging the tool"
    COLOUR = "colour there"
    SETTLE = "settling"
    SHOTS = "shots for the trial"
    COLOUR_BACK = "colour back"
    WAY_BACK = "way back"


@dataclass(frozen=True, slots=True, kw_only=True)
class PurposeShots:
    """What one purpose takes; its shots may serve others too."""

    purpose: TrialPurpose
    pieces: int
    counted: str
    shots: int
    measured: int
    """Parts that are measured, over all cavities."""
    usual: bool
    """Whether the number of pieces is the handbook's."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotGroup:
    """Shots one after the other of which the same is done; numbered from the first shot of the trial."""

    kind: ShotKind
    first: int
    last: int
    purposes: tuple[TrialPurpose, ...] = ()
    measured: bool = False

    @property
    def shots(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialShots:
    """The shots of a trial, in order; every kept shot is counted once, whatever it serves."""

    purposes: tuple[PurposeShots, ...]
    groups: tuple[ShotGroup, ...]
    short: int
    settle: int
    settle_least: int
    settle_most: int
    keep: int
    spare: int
    shots: int
    least: int
    most: int
    parts_kept: int
    parts_measured: int
    minutes: float
    minutes_least: float
    minutes_most: float
    parts_a_minute: float
    cavities: int
    cycle_s: float
    settle_says: str
    cautions: tuple[Caution, ...] = ()

    @property
    def settle_minutes(self) -> float:
        return self.settle * self.cycle_s / 60


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesFor:
    """Press time that goes on one thing: as planned, and from least to most."""

    what: TimeOn
    minutes: float
    least: float
    most: float
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialTime:
    """How long the press is taken from the job that runs on it."""

    lines: tuple[MinutesFor, ...]
    minutes: float
    least: float
    most: float
    cautions: tuple[Caution, ...] = ()

    @property
    def hours(self) -> float:
        return self.minutes / 60


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialMaterial:
    """Melt that a trial takes."""

    kg: float
    shots_kg: float
    purge_kg: float
    shots: int
    shot_g: float
    cautions: tuple[Caution, ...] = ()

"""What is known of a tool when its correction is planned, as plain tables."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeAsked:
    """One size: its limits, where it should stand, what it must show, the shrinkage its steel allows for."""

    size: str
    target: float
    lower: float | None = None
    upper: float | None = None
    required_index: float | None = None
    direction: str = ""
    allowed: float | None = None
    gauge_uncertainty: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanFound:
    """What one trial says of one size in one cavity; `sd` is None where one part was measured."""

    size: str
    cavity: str
    trial: str
    state: str
    mean: float
    parts: int
    sd: float | None = None
    verdict: Verdict = Verdict.NOT_SHOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelFound:
    """A steel feature in one cavity as measured in one tool state, and what may still be removed."""

    feature: str
    cavity: str
    state: str
    measured_mm: float
    uncertainty_mm: float = 0.003
    allowance_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeMoved:
    """How a feature moves a size: mm of part a mm of steel removed, before shrinkage; `forms` if it is its
    steel."""

    size: str
    factor: float
    forms: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """A steel feature: what it moves and what its own size does when steel is removed."""

    feature: str
    moves: tuple[SizeMoved, ...]
    size_change_per_mm: float
    drawn_mm: float | None = None
    can_add: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CutMade:
    """A cut that was asked for and measured again."""

    asked_mm: float
    removed_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolEvidence:
    """All that a correction plan rests on. Means and steel are listed in order of time; `state` is
    today's."""

    state: str
    sizes: tuple[SizeAsked, ...]
    means: tuple[MeanFound, ...]
    features: tuple[Feature, ...]
    steel: tuple[SteelFound, ...]
    cuts: tuple[CutMade, ...] = ()
    step_mm: float = 0.01
    cut_sd_mm: float = 0.005

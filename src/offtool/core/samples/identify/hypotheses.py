"""Where a piece can come from, and what was found on it: what `identify` is given.

A *make* is what one part of a piece can be: moulded in one run of a tool, in one state of its steel. An
*occasion* is where the piece as a whole comes from: a trial, a build, a production run. It says in which run
each part was moulded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput
from offtool.handbook.terms import Stage

Logs = NDArray[np.float64]
ELSEWHERE = 0.03
"""How often one part of a piece is from elsewhere: swapped, or taken from another box. Common practice, no
source."""
NONE_OF_THESE = 0.05
"""How often a piece is from nothing that the record knows. Common practice, no source."""


class Weight(StrEnum):
    """How much a finding can count."""

    STAYS = "stays"
    """Steel that was cut: it bounds the state."""
    MEASURED = "measured"
    TAG = "tag"
    """What somebody wrote on it: bags are mixed up."""
    SOFT = "soft"
    """Can be changed back, or is only usual: at most twenty to one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Make:
    """One part as one run of a tool made it; `ordinal` is the place of the steel's state in time."""

    run: str
    stage: Stage
    tool: str = ""
    state: str = ""
    ordinal: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that was found: how probable that was for each make or occasion, and last for none of these.

    `log_likelihood` has one number more than there are makes (or occasions).
    """

    about: str
    found: str
    weight: Weight
    log_likelihood: Logs = field(repr=False)
    source: str = ""
    capped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCase:
    """One part of the piece: which makes it can be, and what was found on it."""

    label: str
    makes: tuple[Make, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """Where the piece can come from; `made` gives, for each part's label, shares of the makes by number."""

    code: str
    stage: Stage
    kept: float
    """How many of the pieces that turn up are from here, beside the others."""
    made: Mapping[str, Mapping[int, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCase:
    """A piece: its parts, where it can come from, and what was found on it as a whole."""

    parts: tuple[PartCase, ...]
    occasions: tuple[Occasion, ...]
    findings: tuple[Finding, ...] = ()
    elsewhere: float = ELSEWHERE
    none_of_these: float = NONE_OF_THESE

    def __post_init__(self) -> None:
        if not self.occasions:
            raise ImpossibleInput(
                "occasions", 0, "", "must be at least one", "enter a trial, a build or a stage that it can be"
            )
        for name, share in (("elsewhere", self.elsewhere), ("none_of_these", self.none_of_these)):
            if not 0 < share < 1:
                raise ImpossibleInput(name, share, "", "must lie between 0 and 1", "0.03 is usual")
        self._refuse_lengths()

    def _refuse_lengths(self) -> None:
        for owner, count, findings in (
            *((f"part {part.label}", len(part.makes), part.findings) for part in self.parts),
            ("piece", len(self.occasions), self.findings),
        ):
            for one in findings:
                if one.log_likelihood.shape != (count + 1,) or np.isnan(one.log_likelihood).any():
                    raise ImpossibleInput(
                        f"finding {one.about} of {owner}",
                        one.log_likelihood.shape,
                        "",
                        f"must be {count + 1} numbers, the last for none of these",
                    )

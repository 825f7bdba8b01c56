"""What a sampling plan tells, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.pilot.sampling import (
    AttributePlan,
    Demonstration,
    FoundPlan,
    StandardPlan,
    Switching,
    VariablesPlan,
)
from offtool.core.values import Caution
from offtool.steps.findings import Action, Fact
from offtool.steps.sampling_asked import Ask


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingFound:
    """The answer to one question; the parts that it has nothing to do with are None.

    `plan` has the operating curve of whatever is counted; `promises_not` says what must not be read into it.
    """

    ask: Ask
    headline: str
    says: tuple[str, ...]
    promises_not: tuple[str, ...]
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    standard: StandardPlan | None = None
    plan: AttributePlan | None = None
    found: FoundPlan | None = None
    demonstration: Demonstration | None = None
    measured: VariablesPlan | None = None
    switching: Switching | None = None
    method: str
    cautions: tuple[Caution, ...] = ()

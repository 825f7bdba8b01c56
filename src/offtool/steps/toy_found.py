"""What is known of the safety of a toy, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact
from offtool.steps.toy_standing import SafetyStanding


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyFound:
    """How the toy stands, what to do in order, and what it rests on."""

    programme: str
    programme_title: str
    invented: bool
    verdict: Verdict
    headline: str
    stands: str
    """The sentence that always stands: who decides."""
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    standing: SafetyStanding
    method: str
    cautions: tuple[Caution, ...] = ()

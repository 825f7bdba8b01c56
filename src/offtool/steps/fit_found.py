"""Which press a tool goes on, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.planning.press import PressesCompared, PressFacts, PressFit
from offtool.core.values import Caution, Verdict
from offtool.steps.cycle_of_tool import CycleOfTool, WallCooled
from offtool.steps.findings import Action, Fact
from offtool.steps.tool_at_press import PartAtPress


@dataclass(frozen=True, slots=True, kw_only=True)
class FitFound:
    """One tool among all presses: which it goes on, what to do, why."""

    programme: str
    programme_title: str
    invented: bool
    tool: str
    tool_name: str
    verdict: Verdict
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    compared: PressesCompared
    parts: tuple[PartAtPress, ...]
    said_to_hold: tuple[str, ...]
    """Presses that somebody wrote down for this tool; none: it may go on any."""
    cycle: CycleOfTool
    cooling: WallCooled | None
    method: str
    cautions: tuple[Caution, ...] = ()

    @property
    def best(self) -> PressFit | None:
        """The press to take, unless all fail."""
        return self.compared.best


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolOnPress:
    """One tool on one press in a word, and why."""

    press: str
    verdict: Verdict
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolAmongPresses:
    """One tool and its verdict on each press, in the order of the presses."""

    tool: str
    tool_name: str
    verdict: Verdict
    headline: str
    on: tuple[ToolOnPress, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressesFound:
    """Every press with its numbers, and every tool against every press."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    actions: tuple[Action, ...]
    presses: tuple[PressFacts, ...]
    tools: tuple[ToolAmongPresses, ...]
    currency: str
    method: str
    cautions: tuple[Caution, ...] = ()

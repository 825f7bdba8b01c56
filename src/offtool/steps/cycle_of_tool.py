"""How long a tool's cycle is likely to be, and how its thickest wall cools."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.planning.cycle import (
    CoolingTime,
    CycleTime,
    WallCooling,
    cooling_time_plate,
    cooling_time_unequal,
    cycle_time,
)
from offtool.core.planning.cycle.closed_form import Criterion
from offtool.core.values import OfftoolError
from offtool.handbook.moulding import MouldingResin, moulding_resin
from offtool.records.models import Press, Tool
from offtool.steps.sentences import sentence
from offtool.steps.tool_at_press import ToolKnown, tool_facts

WARMER_C = 15.0
SHRUNK_OFF_W_M2K = 1_000.0
"""A core that runs warm, and contact once the part has shrunk from the cavity; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleOfTool:
    """The cycle of one tool, or why it cannot be said."""

    cycle: CycleTime | None
    why_not: str
    """Empty where the cycle is there."""
    wall_mm: float | None
    wall_from: str
    """The part with the thickest wall."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallCooled:
    """The thickest wall three ways: closed form by middle and by mean, step by step, and with a warm core."""

    by_middle: CoolingTime
    by_mean: CoolingTime
    in_steps: WallCooling
    with_warm_core: WallCooling


def cycle_of_tool(tool: Tool, press: Press | None = None) -> CycleOfTool:
    """The cycle of a tool of the record on a press, or on one whose dry cycle is not known."""
    return cycle_of_known(tool_facts(tool), press.dry_cycle_s if press is not None else None)


def cycle_of_known(known: ToolKnown, dry_cycle_s: float | None) -> CycleOfTool:
    """The same for a tool that is looked up already."""
    facts = known.facts
    cycle, why_not = None, _why_not(known)
    if not why_not and facts.wall_mm is not None:
        try:
            cycle = cycle_time(
                facts.wall_mm, resin=facts.resin, cavities=facts.cavities or 1, dry_cycle_s=dry_cycle_s
            )
        except OfftoolError as error:
            why_not = sentence(str(error))
    return CycleOfTool(cycle=cycle, why_not=why_not, wall_mm=facts.wall_mm, wall_from=known.wall_of)


def cool_of_known(known: ToolKnown) -> WallCooled | None:
    """How the thickest wall cools at usual temperatures; None where wall or resin is not known."""
    resin, wall = moulding_resin(known.facts.resin), known.facts.wall_mm
    if resin is None or wall is None:
        return None
    try:
        return _cooled(wall, resin)
    except OfftoolError:
        return None


def _cooled(wall_mm: float, resin: MouldingResin) -> WallCooled:
    melt, mould, eject = resin.melt_c[1], resin.mould_c[1], resin.eject_c[1]
    spread = resin.diffusivity_mm2_s[1]

    def closed(criterion: Criterion) -> CoolingTime:
        return cooling_time_plate(
            wall_mm,
            melt_c=melt,
            mould_c=mould,
            eject_c=eject,
            diffusivity_mm2_s=spread,
            criterion=criterion,
        )

    def in_steps(core_c: float, contact_w_m2k: float | None) -> WallCooling:
        return cooling_time_unequal(
            wall_mm,
            resin=resin.code,
            melt_c=melt,
            first_half_c=mould,
            second_half_c=core_c,
            eject_c=eject,
            first_contact_w_m2k=contact_w_m2k,
        )

    return WallCooled(
        by_middle=closed("centreline"),
        by_mean=closed("average"),
        in_steps=in_steps(mould, None),
        with_warm_core=in_steps(min(mould + WARMER_C, (mould + eject) / 2), SHRUNK_OFF_W_M2K),
    )


def _why_not(known: ToolKnown) -> str:
    facts = known.facts
    if not known.parts:
        return "The tool has no cavity yet."
    if not facts.resin:
        return "Its parts are of more than one resin."
    if moulding_resin(facts.resin) is None:
        return f"What {facts.resin} needs at the press is not in the handbook."
    if facts.wall_mm is None:
        to_mend = next((one.mend for one in known.parts if one.wall_mm is None and one.mend), "")
        if to_mend:
            return f"The thickest wall is not known. {to_mend}"
        missing = ", ".join(one.part for one in known.parts if one.wall_mm is None)
        return f"The thickest wall is not known: read in the mesh of {missing}."
    return ""

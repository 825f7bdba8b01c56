"""What the record knows for a change of colour: the plastics, the press, the shot; what nobody has said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from offtool.core.colour import lab_in_light
from offtool.core.colour.spaces import LIGHTS, Lab, Light, as_lab
from offtool.core.planning.colour_change import (
    Contents,
    FittedWashout,
    MeasuredShot,
    ObservedChange,
    Plastic,
    ShotCosts,
    WashoutBelief,
    contents_of_press,
    expected_washout,
    fit_washout,
)
from offtool.core.values import Caution, OfftoolError
from offtool.handbook.colour_changes import (
    CONTENTS_UNSAID,
    POLYSTYRENE_G_CM3,
    USUAL_CYCLE_S,
    USUAL_LIMIT_DE,
    USUAL_SHARE_OF_BARREL,
)
from offtool.handbook.resins import resin_default
from offtool.handbook.terms import Feed
from offtool.records.models import ColourChange, Job, Press, Resin, Tool, TrialRequest
from offtool.records.queries import colour_changes_of, colour_shots
from offtool.steps.cycle_of_tool import cycle_of_known
from offtool.steps.tool_at_press import tool_facts

PLANNED_LIGHT: Light = "D65/10"
"""What colours of plastics are stated for; all others are brought to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WashoutKnown:
    """How a press with a tool's feed is believed to wash out; there is always a belief, with its source.

    `fit` is that of measured changes, None where none counts.
    """

    belief: WashoutBelief
    says: str
    missing: tuple[str, ...]
    fit: FittedWashout | None
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotTaken:
    """The shot and the cycle that are reckoned with, and where they are from."""

    shot_g: float
    shot_says: str
    cycle_s: float
    cycle_says: str
    missing: tuple[str, ...]


def plastic_of_job(job: Job) -> Plastic:
    """What a job runs: its colour under D65 and 10°, its resin."""
    return Plastic(
        name=job.colour or f"the colour of {job.code}",
        lab=_in_planned_light(job.lightness, job.a, job.b, job.illuminant, job.observer),
        resin=job.resin,
    )


def plastic_of_request(request: TrialRequest) -> Plastic:
    """The product's colour as a requested trial gives it, in its resin or that of the tool's parts."""
    return Plastic(
        name=request.colour or f"the colour of {request.tool.code} {request.name}",
        lab=_in_planned_light(request.lightness, request.a, request.b, "D65", 10),
        resin=request.resin or resin_of_tool(request.tool),
    )


def resin_of_tool(tool: Tool) -> str:
    """The resin of a tool's parts; empty where they are of several, or there are none."""
    codes = set(tool.cavities.values_list("part__resin__code", flat=True))
    return codes.pop() if len(codes) == 1 else ""


def lab_planned(lab: Lab, illuminant: str, observer: int) -> Lab:
    """A colour brought to the light that plans are made in."""
    light = f"{illuminant}/{observer}"
    known = next((one for one in LIGHTS if one == light), PLANNED_LIGHT)
    return as_lab(lab_in_light(lab, known, PLANNED_LIGHT))


def washout_known(
    press: Press, tool: Tool | None = None, *, limit_de: float = USUAL_LIMIT_DE
) -> WashoutKnown:
    """How a press washes out with a tool in it: the handbook's ranges, narrowed by measured changes."""
    contents, missing = _contents(press, tool)
    prior = expected_washout(contents)
    observed = observed_changes(press, tool)
    if not observed:
        return WashoutKnown(belief=prior, says=prior.says, missing=missing, fit=None)
    try:
        fit = _fitted(observed, prior, limit_de)
    except OfftoolError as error:
        said = Caution(f"the measured changes of {press.code} cannot be used: {error}")
        return WashoutKnown(belief=prior, says=prior.says, missing=missing, fit=None, cautions=(said,))
    return WashoutKnown(
        belief=fit.belief, says=fit.belief.says, missing=missing, fit=fit, cautions=fit.cautions
    )


@lru_cache(maxsize=64)
def _fitted(observed: tuple[ObservedChange, ...], prior: WashoutBelief, limit_de: float) -> FittedWashout:
    """The fit, once for the same shots: a plan asks for every press again and again."""
    return fit_washout(observed, prior=prior, limit_de=limit_de)


def observed_changes(press: Press, tool: Tool | None = None) -> tuple[ObservedChange, ...]:
    """The measured changes of a press that count, run with a feed like the tool's."""
    return tuple(
        observed_change(one) for one in colour_changes_of(press, counting=True) if _feeds_alike(one, tool)
    )


def observed_change(change: ColourChange) -> ObservedChange:
    """One measured change as core takes it."""
    old = (change.from_lightness, change.from_a, change.from_b)
    new = (change.to_lightness, change.to_a, change.to_b)
    light = change.illuminant, change.observer
    shots = colour_shots(change)
    return ObservedChange(
        name=change.name,
        old_name=change.from_name or "the old colour",
        new_name=change.to_name or "the new colour",
        old=lab_planned(old, *light),
        new=lab_planned(new, *light),
        shot_g=change.shot_g,
        purged_g=change.purge_kg * 1000,
        shots=tuple(
            MeasuredShot(
                number=int(number), lab=lab_planned((float(lab[0]), float(lab[1]), float(lab[2])), *light)
            )
            for number, lab in zip(shots.number, shots.lab, strict=True)
        ),
    )


def shot_taken(
    press: Press, tool: Tool | None = None, *, shot_g: float | None = None, cycle_s: float | None = None
) -> ShotTaken:
    """The shot and the cycle: as given, else of the tool as it is known, else a guess that is said."""
    weight, weight_says, no_weight = _weight(press, tool, shot_g)
    cycle, cycle_says, no_cycle = _cycle(press, tool, cycle_s)
    return ShotTaken(
        shot_g=weight,
        shot_says=weight_says,
        cycle_s=cycle,
        cycle_says=cycle_says,
        missing=tuple(filter(None, (no_weight, no_cycle))),
    )


def shot_costs(press: Press, *, shot_g: float, cycle_s: float, resin: str = "") -> ShotCosts:
    """What a shot costs on a press: the price of the resin and the hour of the press, where they are said."""
    row = Resin.objects.filter(programme=press.programme_id, code__iexact=resin.strip()).first()
    return ShotCosts(
        shot_g=shot_g,
        cycle_s=cycle_s,
        price_per_kg=row.price_per_kg if row is not None else None,
        per_hour=press.per_hour,
    )


def _in_planned_light(
    lightness: float | None, a: float | None, b: float | None, illuminant: str, observer: int
) -> Lab | None:
    if lightness is None or a is None or b is None:
        return None
    return lab_planned((lightness, a, b), illuminant, observer)


def _contents(press: Press, tool: Tool | None) -> tuple[Contents, tuple[str, ...]]:
    """What stands between hopper and gate, and what nobody has said of it."""
    return _of_press(press, tool), tuple(_not_said(press, tool))


def _of_press(press: Press, tool: Tool | None) -> Contents:
    if press.barrel_g is None:
        low, high = CONTENTS_UNSAID.low, CONTENTS_UNSAID.high
        says = f"the barrel of {press.code} is not said: {low:g} to {high:g} g are taken"
        return Contents(low_g=low, high_g=high, says=says)
    row = resin_default(resin_of_tool(tool)) if tool is not None else None
    return contents_of_press(
        press.barrel_g,
        density_g_cm3=(row.density_g_cm3 if row is not None else None) or POLYSTYRENE_G_CM3,
        feed=Feed(tool.feed) if tool is not None else Feed.UNKNOWN,
        hot_runner_cm3=tool.hot_runner_cm3 if tool is not None else None,
    )


def _not_said(press: Press, tool: Tool | None) -> Iterator[str]:
    if press.barrel_g is None:
        yield f"the largest shot of {press.code}: it stands on its sheet, and halves the intervals"
    if tool is not None and not tool.feed:
        yield f"the feed of {tool.code}: a hot runner takes half as much again to twice as much"


def _feeds_alike(change: ColourChange, tool: Tool | None) -> bool:
    if tool is None or change.tool is None:
        return True
    return _is_hot(change.tool) == _is_hot(tool)


def _is_hot(tool: Tool) -> bool:
    return tool.feed == Feed.HOT_RUNNER


def _weight(press: Press, tool: Tool | None, given: float | None) -> tuple[float, str, str]:
    """Grams, where they are from, and what to ask for where they are a guess."""
    if given is not None:
        return given, f"{given:g} g, as given", ""
    facts = tool_facts(tool).facts if tool is not None else None
    if facts is not None and tool is not None and facts.parts_g is not None:
        total = facts.parts_g + (facts.runner_g or 0.0)
        runner = "" if facts.runner_g is not None or not facts.has_runner else ", its runner not weighed"
        return total, f"{total:.3g} g, the parts of {tool.code} with their runner{runner}", ""
    barrel = press.barrel_g or CONTENTS_UNSAID.middle
    taken = USUAL_SHARE_OF_BARREL * barrel
    asked = "what one shot weighs: it turns kilograms into shots"
    return taken, f"{taken:.0f} g are taken, nobody weighed a shot", asked


def _cycle(press: Press, tool: Tool | None, given: float | None) -> tuple[float, str, str]:
    if given is not None:
        return given, f"{given:g} s, as given", ""
    if tool is not None:
        found = cycle_of_known(tool_facts(tool), press.dry_cycle_s).cycle
        if found is not None:
            usual = found.cycle_s.usual
            return usual, f"{usual:.0f} s, reckoned for {tool.code}", ""
    asked = "how long a cycle takes: it turns shots into minutes"
    return USUAL_CYCLE_S, f"{USUAL_CYCLE_S:g} s are taken, nobody gave a cycle", asked

"""Plan a trial: the press, the colour, the shots, the time, and what it must confirm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from offtool import __version__
from offtool.core.planning.press.barrel import GASES
from offtool.core.planning.shots import TrialMaterial, TrialShots, TrialTime, trial_material
from offtool.core.values import Caution
from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from offtool.records.models import Tool, TrialRequest
from offtool.records.queries import find_request, has_run
from offtool.steps.findings import Fact
from offtool.steps.overview import is_invented
from offtool.steps.plan_evidence import ToolBefore
from offtool.steps.plan_found import (
    ColourPlanned,
    Missing,
    RunStep,
    SizeToMeasure,
    ToConfirm,
    TrialAsked,
    TrialPlanned,
)
from offtool.steps.plan_run import MEASURE_LATER, Cavities, bags_of, run_steps, what_to_bring
from offtool.steps.plan_sentences import actions, facts, headline
from offtool.steps.plan_time import press_time_of, time_of
from offtool.steps.trial_colour import ColourChosen, colour_of_request
from offtool.steps.trial_press import PressChosen, press_of_request
from offtool.steps.what_is_asked import drawing_order

METHOD = f"offtool {__version__}"
MOST_CONFIRMED = 60
"""Things to confirm that are carried along; the others are counted."""
ONE_SET_A_SHOT = Fact(
    about="Sets",
    says="one shot is taken to give the parts of one set: how many of a part a product takes is not recorded",
)


def plan_trial(programme: str, tool: str, request: str, *, on: date) -> TrialPlanned:
    """The plan of a trial that is asked for, as of a day. Raises NotInRecord."""
    asked = find_request(programme, tool, request)
    before, chosen = ToolBefore(asked.tool, asked.name), press_of_request(asked, on)
    needed = press_time_of(asked, before, chosen)
    shots = needed.shots
    colour = colour_of_request(asked, chosen, shots.shots if shots is not None else None)
    time = time_of(asked, chosen, colour.planned, shots)
    material = _material(shots, chosen, colour.planned)
    bags = tuple(bags_of(shots, cavities_of(asked.tool))) if shots else ()
    said = _asked(asked, chosen)
    confirm = tuple(before.to_confirm(said.purposes))
    found = TrialPlanned(
        programme=asked.tool.programme.slug,
        programme_title=asked.tool.programme.title,
        invented=is_invented(asked.tool.programme),
        tool=asked.tool.code,
        tool_name=asked.tool.name,
        trial=asked.name,
        state=before.state.label if before.state is not None else "",
        on=on,
        has_run=has_run(asked),
        headline="",
        actions=(),
        rests_on=(),
        asked=said,
        press=chosen.planned,
        colour=colour.planned,
        shots=shots,
        time=time,
        material=material,
        steps=tuple(_steps(shots, colour, material, chosen, confirm)),
        to_measure=needed.to_measure,
        confirm=confirm[:MOST_CONFIRMED],
        confirm_more=max(len(confirm) - MOST_CONFIRMED, 0),
        bring=tuple(what_to_bring(shots, len(bags), _gauges(needed.to_measure))) if shots else (),
        bags=bags,
        missing=(*_missing_of(asked, before), *chosen.missing, *colour.missing),
        method=METHOD,
        cautions=_cautions(shots, time, chosen, colour),
        unknown_resin=colour.barrel.unknown,
    )
    told = (*chosen.facts, *colour.facts, *_sets(shots))
    return replace(
        found,
        headline=headline(found),
        actions=tuple(actions(found, before)),
        rests_on=tuple(facts(found, before, needed.settles, told)),
    )


def _material(
    shots: TrialShots | None, chosen: PressChosen, colour: ColourPlanned | None
) -> TrialMaterial | None:
    if shots is None or chosen.shot_g is None:
        return None
    purge = colour.purge_kg if colour is not None and colour.changes else 0.0
    return trial_material(shots.shots, shot_g=chosen.shot_g, purge_kg=purge)


def _steps(
    shots: TrialShots | None,
    colour: ColourChosen,
    material: TrialMaterial | None,
    chosen: PressChosen,
    confirm: Sequence[ToConfirm],
) -> Iterator[RunStep]:
    if shots is not None:
        job = chosen.job.code if chosen.job is not None else ""
        yield from run_steps(
            shots,
            colour=colour.planned,
            material=material,
            resin=chosen.resin,
            job=job,
            barrel=colour.barrel,
            looks=[one.look for one in confirm if one.look is not None],
        )


def cavities_of(tool: Tool) -> Cavities:
    """Part, name and label of each cavity, in the order of the steel."""
    rows = tool.cavities.select_related("part")
    in_order = sorted(rows, key=lambda one: (one.part.code, drawing_order(one.label)))
    return [(one.part.code, one.part.name, one.label) for one in in_order]


def _gauges(measure: Sequence[SizeToMeasure]) -> list[str]:
    return sorted({one.gauge for one in measure if one.gauge})


def _sets(shots: TrialShots | None) -> Iterator[Fact]:
    if shots is not None and any(one.counted == "sets" for one in shots.purposes):
        yield ONE_SET_A_SHOT


def _asked(request: TrialRequest, chosen: PressChosen) -> TrialAsked:
    resin = request.tool.programme.resins.filter(code=chosen.resin).first()
    order = list(TRIAL_PURPOSES)
    purposes = sorted(
        (one.purpose for one in request.wants.all()), key=lambda one: order.index(TrialPurpose(one))
    )
    return TrialAsked(
        purposes=tuple(purposes),
        wish=request.wish,
        colour=request.colour,
        resin=chosen.resin,
        resin_name=resin.name if resin is not None else "",
        earliest=request.earliest,
        due=request.due,
        hours=request.hours,
        needs_engineer=request.needs_engineer,
        asked_by=request.asked_by,
        note=request.note,
    )


def _missing_of(request: TrialRequest, before: ToolBefore) -> Iterator[Missing]:
    if not request.wants.all():
        yield Missing(
            what="what the trial is for",
            spoils="no shots can be planned",
            who_knows="whoever asks for it knows",
            leads_to="ask",
        )
    if before.state is None:
        yield Missing(
            what="the state of the steel",
            spoils="nothing that is shot can be told from later steel",
            who_knows="the toolmaker says it; add the state to the programme folder",
        )
    if not request.tool.cavities.exists():
        yield Missing(
            what="the cavities of the tool",
            spoils="one is taken, and no bag is labelled by cavity",
            who_knows="they are engraved in the steel; add them to the programme folder",
        )


def _cautions(
    shots: TrialShots | None, time: TrialTime | None, chosen: PressChosen, colour: ColourChosen
) -> tuple[Caution, ...]:
    """What hurts first: resins that must not meet, the press, gas of the resin; then the rest, each once."""
    of_shots = shots.cautions if shots is not None else ()
    of_time = time.cautions if time is not None else ()
    later = Caution(MEASURE_LATER, "")
    every = (
        *colour.cautions[:1],
        AT_THE_PRESS,
        *(one for one in chosen.cautions if one == GASES),
        *chosen.cautions,
        *colour.cautions[1:],
        *of_shots,
        *of_time,
        later,
    )
    return tuple(dict.fromkeys(every))

"""Inspect a trial: what holds, what does not, what is not shown; what to do; what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from django.db.models import Count, Q

from offtool import __version__
from offtool.core.correction import (
    CorrectionPlan,
    judge_prediction,
    plan_corrections,
)
from offtool.core.inspection import SizeFinding
from offtool.core.values import NotEnoughData, Verdict
from offtool.handbook.terms import WeightClass
from offtool.records.models import Prediction, Trial
from offtool.records.queries import find_programme, find_tool, find_trial
from offtool.steps.compare_cavities import compare_cavities
from offtool.steps.findings import Action, FileRead, JudgedSize, PredictionSeen, TrialFindings
from offtool.steps.look_at_shapes import shapes_cautions
from offtool.steps.press_actions import press_actions
from offtool.steps.press_findings import PressFindings
from offtool.steps.press_on_trial import press_of, unfinished
from offtool.steps.readings_seen import left_out_in, pointed_at_in
from offtool.steps.sentences import (
    decimals_for,
    planned_sentence,
    press_sentence,
    verdict_sentence,
    why_size,
)
from offtool.steps.tool_evidence import earlier_trials, tool_evidence
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key
from offtool.steps.what_it_rests_on import cautions_of, facts_of
from offtool.steps.what_to_do import actions_of

METHOD = f"offtool {__version__}"
MOST_PRESS_ACTIONS = 3
NOTHING_KNOWN = 1.0
"""Standard uncertainty of a mean of which nothing is known: larger than that of any prediction, in mm."""

_RANK = {Verdict.FAILS: 0, Verdict.NOT_SHOWN: 1, Verdict.HOLDS: 2}


def inspect_trial(programme: str, tool: str, trial: str) -> TrialFindings:
    """The findings of a trial. Raises NotInRecord for names that are not there."""
    return findings_of(find_trial(find_tool(find_programme(programme), tool), trial))


def findings_of(trial: Trial, seen: TrialEvidence | None = None) -> TrialFindings:
    """The findings of a trial that is at hand, with its readings where they are loaded already."""
    seen = seen or TrialEvidence(trial)
    plan = _plan(seen)
    sizes = tuple(sorted((_judged(one, plan) for one in seen.sizes), key=_rank))
    files = tuple(_files(trial))
    predictions = tuple(one for _, one in predictions_of(seen))
    at_press = press_of(trial)
    return TrialFindings(
        programme=trial.tool.programme.slug,
        programme_title=trial.tool.programme.title,
        tool=trial.tool.code,
        tool_name=trial.tool.name,
        trial=trial.name,
        state=trial.state.label,
        shot_on=trial.shot_on,
        press=trial.press,
        colour=trial.colour,
        age_h=trial.hours_to_measuring,
        readings=len(seen.readings),
        ready=_is_ready(sizes, at_press),
        headline=_headline(sizes, at_press),
        sizes=sizes,
        actions=(*actions_of(sizes, plan, seen), *_press_actions(at_press)),
        rests_on=tuple(facts_of(seen, plan, files, predictions)),
        settled=seen.settled,
        settled_from=seen.settled_from,
        settled_reason=trial.settled_reason,
        pointed_at=tuple(pointed_at_in(seen)),
        left_out=tuple(left_out_in(seen)),
        cavities=compare_cavities(seen),
        at_press=at_press,
        predictions=predictions,
        files=files,
        plan=plan,
        method=METHOD,
        cautions=(*cautions_of(seen, plan), *shapes_cautions(seen)),
    )


def _is_ready(sizes: tuple[JudgedSize, ...], at_press: PressFindings | None) -> bool:
    return bool(sizes) and all(one.verdict is Verdict.HOLDS for one in sizes) and not unfinished(at_press)


def _headline(sizes: tuple[JudgedSize, ...], at_press: PressFindings | None) -> str:
    fails, open_ = (sum(one.verdict is v for one in sizes) for v in (Verdict.FAILS, Verdict.NOT_SHOWN))
    inside = sum(one.verdict is Verdict.NOT_SHOWN and one.finding.inside_so_far for one in sizes)
    verdict = verdict_sentence(fails, open_, len(sizes), can_wait=not fails, open_inside=inside)
    return press_sentence(unfinished(at_press), verdict)


def _press_actions(press: PressFindings | None) -> Iterator[Action]:
    """The first few; all of them stand below."""
    if press is not None:
        yield from islice(press_actions(press), MOST_PRESS_ACTIONS)


def _plan(seen: TrialEvidence) -> CorrectionPlan | None:
    """The correction that follows from the trial; None where no size in mm has a recorded cavity."""
    try:
        return plan_corrections(tool_evidence(seen, earlier_trials(seen.trial)))
    except NotEnoughData:
        return None


def _judged(seen: SizeSeen, plan: CorrectionPlan | None) -> JudgedSize:
    one = seen.characteristic
    decimals = decimals_for(one.lower, one.upper, one.nominal)
    key = size_key(one)
    standings = [s for s in plan.standing if s.size == key] if plan else []
    cuts = [c for c in plan.cuts if any(e.size == key for e in c.expected)] if plan else []
    return JudgedSize(
        number=one.number,
        name=one.name,
        part=one.part.code,
        unit=one.unit,
        kind=one.kind,
        nominal=one.nominal,
        weight_class=one.weight_class,
        decimals=decimals,
        finding=seen.finding,
        discarded_readings=seen.discarded,
        left_out_readings=seen.left_out,
        why=why_size(seen.finding, one.unit, decimals, standings=standings, cuts=cuts),
        planned=planned_sentence(cuts) if cuts else "",
    )


def _rank(size: JudgedSize) -> tuple[int, int, float]:
    """Function first, then how far from holding."""
    return _RANK[size.verdict], WeightClass(size.weight_class).rank, _missing_index(size.finding)


def _missing_index(finding: SizeFinding) -> float:
    values = [cavity.index.value for cavity in finding.cavities if cavity.index is not None]
    return min(values) / (finding.required_index or 1.0) if values else 0.0


def _files(trial: Trial) -> Iterator[FileRead]:
    for file in trial.source_files.defer("content").annotate(number=Count("readings")).order_by("pk"):
        yield FileRead(
            name=file.name,
            sha256=file.sha256,
            layout=file.layout,
            readings=file.number,
            repairs=len(file.repairs),
            left_out=len(file.left_out),
            source_id=file.pk,
        )


def predictions_of(seen: TrialEvidence) -> Iterator[tuple[Prediction, PredictionSeen]]:
    """Predictions that this trial judged or judges, each beside what was found."""
    found = {
        (one.characteristic.pk, cavity.cavity): (one, cavity)
        for one in seen.sizes
        for cavity in one.finding.cavities
    }
    for made in _judged_here_or_waiting(seen.trial):
        place = found.get((made.characteristic_id, made.cavity.label))
        if place is None:
            continue
        one, cavity = place[0].characteristic, place[1]
        yield (
            made,
            PredictionSeen(
                size=size_key(one),
                cavity=cavity.cavity,
                unit=one.unit,
                decimals=decimals_for(one.lower, one.upper, one.nominal),
                made_at=made.trial.name,
                low=made.low,
                high=made.high,
                confidence=made.confidence,
                judged=judge_prediction(
                    made.mean,
                    made.sd,
                    cavity.mean,
                    _standard_error(cavity.sd, cavity.parts, cavity.interval.half_width),
                ),
            ),
        )


def _standard_error(sd: float, parts: int, half_width: float) -> float:
    """Standard uncertainty of a mean; without a spread it tests no prediction."""
    if sd > 0:
        return float(sd / parts**0.5)
    return half_width / 2 if half_width < float("inf") else NOTHING_KNOWN


def _judged_here_or_waiting(trial: Trial) -> list[Prediction]:
    """Predictions judged in this trial, and those that waited for the steel it was run in."""
    return list(
        Prediction.objects.filter(
            Q(judged_in=trial) | Q(judged_in=None, correction__resulting_state=trial.state),
            trial__tool=trial.tool,
        )
        .select_related("cavity", "trial")
        .order_by("pk")
    )

"""Inspect a trial: what holds, what does not, what is not shown; what to do; what it rests on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.db.models import Count, Q

from offtool import __version__
from offtool.core.correction import (
    CorrectionPlan,
    LeftAlone,
    Outcome,
    WhyLeft,
    judge_prediction,
    plan_corrections,
)
from offtool.core.inspection import SizeFinding
from offtool.core.values import Caution, NotEnoughData, Verdict
from offtool.handbook.terms import WeightClass
from offtool.records.models import Prediction, Trial
from offtool.records.queries import find_programme, find_tool, find_trial
from offtool.steps.findings import Action, Fact, FileRead, JudgedSize, PredictionSeen, TrialFindings
from offtool.steps.sentences import (
    at_least,
    count,
    decimals_for,
    sentence,
    shrinkage_sentence,
    verdict_sentence,
    why_size,
)
from offtool.steps.shrinkage_found import directions_found
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence, earlier_trials, size_key, tool_evidence

METHOD = f"offtool {__version__}: inspection and correction, first floor"
LEAST_AGE_H = 16.0
LEAST_AGE_SEMI_CRYSTALLINE_H = 48.0
"""DIN 16901 measures after 16 h; semi-crystalline resins after 48 h is common practice, no source."""

_RANK = {Verdict.FAILS: 0, Verdict.NOT_SHOWN: 1, Verdict.HOLDS: 2}
_CLASS = {WeightClass.CRITICAL.value: 0, WeightClass.MAJOR.value: 1, WeightClass.MINOR.value: 2}


def inspect_trial(programme: str, tool: str, trial: str) -> TrialFindings:
    """The findings of a trial. Raises NotInRecord for names that are not there."""
    return findings_of(find_trial(find_tool(find_programme(programme), tool), trial))


def findings_of(trial: Trial) -> TrialFindings:
    """The findings of a trial that is at hand."""
    seen = TrialEvidence(trial)
    plan = _plan(seen)
    sizes = tuple(sorted((_judged(one, plan) for one in seen.sizes), key=_rank))
    files = tuple(_files(trial))
    predictions = tuple(one for _, one in predictions_of(seen))
    fails, open_ = (sum(one.verdict is v for one in sizes) for v in (Verdict.FAILS, Verdict.NOT_SHOWN))
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
        age_h=trial.age_h,
        readings=len(seen.readings),
        ready=bool(sizes) and not fails and not open_,
        headline=verdict_sentence(
            fails,
            open_,
            len(sizes),
            can_wait=not fails,
            open_inside=sum(one.verdict is Verdict.NOT_SHOWN and one.finding.inside_so_far for one in sizes),
        ),
        sizes=sizes,
        actions=tuple(_actions(sizes, plan, seen)),
        rests_on=tuple(_facts(seen, plan, files, predictions)),
        settled=seen.settled,
        settled_from=seen.settled_from,
        predictions=predictions,
        files=files,
        plan=plan,
        method=METHOD,
        cautions=tuple(_cautions(trial, seen, plan)),
    )


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
        why=why_size(seen.finding, one.unit, decimals, standings=standings, cuts=cuts),
    )


def _rank(size: JudgedSize) -> tuple[int, int, float]:
    """Function first, then how far from holding."""
    return _RANK[size.verdict], _CLASS.get(size.weight_class, 3), _missing_index(size.finding)


def _missing_index(finding: SizeFinding) -> float:
    values = [cavity.index.value for cavity in finding.cavities if cavity.index is not None]
    return min(values) / (finding.required_index or 1.0) if values else 0.0


def _actions(
    sizes: tuple[JudgedSize, ...], plan: CorrectionPlan | None, seen: TrialEvidence
) -> Iterator[Action]:
    if not sizes:
        yield Action(do="Read the file of readings.", because="No size was measured yet.", leads_to="read")
        return
    if plan is not None:
        yield from _shrinkage_actions(plan, seen)
        yield from _cut_actions(plan)
    yield from _measure_actions(sizes, plan)
    if all(size.verdict is Verdict.HOLDS for size in sizes):
        yield Action(
            do="Keep this steel.",
            because="Every size shows what it must; nothing here asks for a change.",
            leads_to="",
        )


def _shrinkage_actions(plan: CorrectionPlan, seen: TrialEvidence) -> Iterator[Action]:
    """One word for all directions that shrink otherwise than allowed and explain most of their sizes."""
    off = [one for one in directions_found(plan, seen) if one.off and one.sizes > 2]
    off = [one for one in off if one.explains > one.sizes / 2]
    if off:
        said = [shrinkage_sentence(plan, one.direction, one.allowed, one.explains, one.sizes) for one in off]
        yield Action(
            do="Look at the process before the steel: hold pressure, cooling, resin.",
            because=". ".join(said) + ". If the settings stay, the cuts allow for it.",
            leads_to="correction",
        )


def _cut_actions(plan: CorrectionPlan) -> Iterator[Action]:
    if plan.cuts:
        features = len({cut.feature for cut in plan.cuts})
        added = sum(cut.amount_mm < 0 for cut in plan.cuts)
        chance = min(cut.holds_after for cut in plan.cuts)
        yield Action(
            do=f"Cut {count(features, 'steel feature')} ({count(len(plan.cuts), 'cut')} over the cavities).",
            because=f"Each then holds with {at_least(chance)} certainty"
            + (
                f"; {added} of them {'asks' if added == 1 else 'ask'} for steel to be added."
                if added
                else "."
            ),
            leads_to="correction",
        )
    yield from _steel_actions(plan)


def _steel_actions(plan: CorrectionPlan) -> Iterator[Action]:
    """What must be decided or known before a size that fails and is not cut can be corrected."""
    failing = {(one.size, one.cavity) for one in plan.standing if one.verdict is Verdict.FAILS}
    stuck = [one for one in plan.left_alone if (one.size, one.cavity) in failing]
    for (why, remedy), sizes in _by_reason(stuck).items():
        named = ", ".join(sizes[:6]) + (" …" if len(sizes) > 6 else "")
        if why is WhyLeft.NO_FEATURE:
            yield Action(
                do=f"Say which steel forms {named}, and measure it.",
                because="Then steel and shrinkage can be told apart, and what to cut.",
                leads_to="steel",
            )
        elif why is WhyLeft.NO_STEEL:
            yield Action(do=f"{sentence(remedy)[:-1]} for {named}.", because=sentence(why), leads_to="steel")
        else:
            yield Action(do=f"Decide on {named}: {remedy}.", because=sentence(why), leads_to="correction")


def _by_reason(stuck: list[LeftAlone]) -> dict[tuple[WhyLeft, str], list[str]]:
    """Sizes that are left alone for one reason and remedy, each once."""
    groups: dict[tuple[WhyLeft, str], list[str]] = defaultdict(list)
    for one in stuck:
        if one.size not in groups[one.why, one.remedy]:
            groups[one.why, one.remedy].append(one.size)
    return groups


def _measure_actions(sizes: tuple[JudgedSize, ...], plan: CorrectionPlan | None) -> Iterator[Action]:
    cut = {one.size for c in plan.cuts for one in c.expected} if plan else set()
    open_ = [
        one for one in sizes if one.verdict is Verdict.NOT_SHOWN and f"{one.part} {one.number}" not in cut
    ]
    if not open_:
        return
    needed = [one.finding.parts_needed for one in open_ if one.finding.parts_needed is not None]
    names = ", ".join(f"{one.part} {one.number}" for one in open_[:6]) + (" …" if len(open_) > 6 else "")
    parts = f"{max(needed)} parts a cavity" if needed else "more parts"
    yield Action(
        do=f"Measure {parts} from settled shots: {names}.",
        because=f"{count(len(open_), 'size is', 'sizes are')} not shown by what was measured.",
        leads_to="sizes",
    )


def _facts(
    seen: TrialEvidence,
    plan: CorrectionPlan | None,
    files: tuple[FileRead, ...],
    predictions: tuple[PredictionSeen, ...],
) -> Iterator[Fact]:
    yield Fact(about="Readings", says=_readings_fact(seen))
    yield Fact(about="Settled", says=_settled_fact(seen))
    gauged = [one for one in seen.sizes if one.finding.gauge_uncertainty is not None]
    yield Fact(about="Gauge", says=f"{len(gauged)} of {count(len(seen.sizes), 'size')} with a gauge study")
    if plan is not None:
        known = len({one.size for one in plan.standing if one.shrinkage is not None})
        of = len({one.size for one in plan.standing})
        yield Fact(about="Steel", says=f"{known} of {count(of, 'size')} have their steel measured")
    if predictions:
        said = [one.judged.outcome for one in predictions]
        yield Fact(
            about=f"Predictions of {predictions[0].made_at}",
            says=", ".join(f"{said.count(outcome)} {outcome}" for outcome in Outcome if said.count(outcome)),
        )
    for file in files:
        mended = f", {count(file.repairs, 'cell')} repaired" if file.repairs else ""
        yield Fact(about="File", says=f"{file.name}{mended}")


def _readings_fact(seen: TrialEvidence) -> str:
    parts = [cavity.parts for one in seen.sizes for cavity in one.finding.cavities]
    if not parts:
        return "none"
    span = f"{min(parts)}" if min(parts) == max(parts) else f"{min(parts)} to {max(parts)}"
    return f"{len(seen.readings):,} of {count(len(seen.sizes), 'size')}; {span} a cavity used"


def _settled_fact(seen: TrialEvidence) -> str:
    if seen.trial.settled_from is not None:
        return f"from shot {seen.trial.settled_from}, by your word; earlier shots are kept, not used"
    if seen.settled is None:
        return "not told: no shot numbers were recorded"
    if seen.settled.settled is None:
        return f"not told: {count(seen.settled.shots, 'shot')} measured"
    if seen.settled.discarded == 0:
        return "from the first measured shot"
    earlier = count(seen.settled.discarded, "measured shot is", "measured shots are")
    return f"from shot {seen.settled.settled}; {earlier} kept, not used"


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
    """Standard uncertainty of a mean; a single part without spread is as uncertain as its interval allows."""
    if sd == sd:
        return float(sd / parts**0.5)
    return half_width / 2 if half_width < float("inf") else 1.0


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


def _cautions(trial: Trial, seen: TrialEvidence, plan: CorrectionPlan | None) -> Iterator[Caution]:
    if trial.age_h is None:
        yield Caution("the age at measuring is not recorded: parts shrink on for hours and days")
    elif trial.age_h < LEAST_AGE_H:
        yield Caution(
            f"measured {trial.age_h:g} h after moulding, before {LEAST_AGE_H:g} h: parts still shrink",
            "DIN 16901:1982",
        )
    elif trial.age_h < LEAST_AGE_SEMI_CRYSTALLINE_H and _semi_crystalline(seen):
        yield Caution(
            f"a semi-crystalline resin measured after {trial.age_h:g} h, before "
            f"{LEAST_AGE_SEMI_CRYSTALLINE_H:g} h: it still shrinks",
            "common practice, no source",
        )
    if seen.settled is not None:
        yield from seen.settled.cautions
    if plan is not None:
        yield from plan.cautions
    yield from _shared_cautions(seen)


def _semi_crystalline(seen: TrialEvidence) -> bool:
    return any(one.characteristic.part.resin.semi_crystalline for one in seen.sizes)


def _shared_cautions(seen: TrialEvidence) -> Iterator[Caution]:
    """What the single sizes warn of, said once with how many it touches."""
    touched: dict[str, list[SizeSeen]] = defaultdict(list)
    sources: dict[str, str] = {}
    for one in seen.sizes:
        for caution in one.finding.cautions:
            touched[caution.text].append(one)
            sources[caution.text] = caution.source
    for text, sizes in touched.items():
        if len(sizes) == 1:
            said = f"{size_key(sizes[0].characteristic)}: {text}"
        else:
            said = text if len(sizes) == len(seen.sizes) else f"{count(len(sizes), 'size')}: {text}"
        yield Caution(said, sources[text])

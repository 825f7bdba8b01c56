"""What a verdict rests on, and what its reader must know before acting on it."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator

from offtool.core.correction import CorrectionPlan, Outcome
from offtool.core.values import Caution
from offtool.steps.findings import Fact, FileRead, PredictionSeen
from offtool.steps.sentences import count
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key

LEAST_AGE_H = 16.0
LEAST_AGE_SEMI_CRYSTALLINE_H = 48.0
"""DIN 16901 measures after 16 h; semi-crystalline resins after 48 h is common practice, no source."""


def facts_of(
    seen: TrialEvidence,
    plan: CorrectionPlan | None,
    files: tuple[FileRead, ...],
    predictions: tuple[PredictionSeen, ...],
) -> Iterator[Fact]:
    yield Fact(about="Readings", says=_readings_fact(seen))
    yield Fact(about="Settled", says=_settled_fact(seen))
    if seen.sizes:
        yield Fact(about="Set-up", says="one: another set-up of the press moves the means again")
    yield Fact(about="Gauge", says=_gauge_fact(seen))
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


def _gauge_fact(seen: TrialEvidence) -> str:
    """Of how many sizes the gauge is known, by a study that is here or by an uncertainty that was entered."""
    studied = sum(bool(one.gauge and one.gauge.studies) for one in seen.sizes)
    entered = sum(bool(one.gauge and not one.gauge.studies) for one in seen.sizes)
    exact = len(seen.sizes) - studied - entered
    said = [f"{studied} by a study", f"{entered} as entered by hand", f"{exact} taken as exact"]
    numbers = (studied, entered, exact)
    told = ", ".join(one for one, number in zip(said, numbers, strict=True) if number)
    return f"of {count(len(seen.sizes), 'size')}: {told}"


def _readings_fact(seen: TrialEvidence) -> str:
    parts = [cavity.parts for one in seen.sizes for cavity in one.finding.cavities]
    if not parts:
        return "none"
    span = f"{min(parts)}" if min(parts) == max(parts) else f"{min(parts)} to {max(parts)}"
    repeats = sum(one.parts.averaged for one in seen.sizes)
    averaged = f"; {repeats:,} repeat a part and are averaged" if repeats else ""
    return f"{len(seen.readings):,} of {count(len(seen.sizes), 'size')}; {span} parts a cavity used{averaged}"


def _settled_fact(seen: TrialEvidence) -> str:
    if seen.trial.settled_from is not None:
        why = f" ({seen.trial.settled_reason})" if seen.trial.settled_reason else ""
        return f"from shot {seen.trial.settled_from}, by your word{why}; earlier shots are kept, not used"
    if seen.settled is None:
        return "not told: no shot numbers were recorded"
    if seen.settled.settled is None:
        return f"not told: {count(seen.settled.shots, 'shot')} measured"
    if seen.settled.discarded == 0:
        return "from the first measured shot"
    earlier = count(seen.settled.discarded, "measured shot is", "measured shots are")
    return f"from shot {seen.settled.settled}; {earlier} kept, not used"


def cautions_of(seen: TrialEvidence, plan: CorrectionPlan | None) -> Iterator[Caution]:
    age_h = seen.trial.hours_to_measuring
    if age_h is None:
        yield Caution("the age at measuring is not recorded: parts shrink on for hours and days")
    elif age_h < LEAST_AGE_H:
        yield Caution(
            f"measured {age_h:g} h after moulding, before {LEAST_AGE_H:g} h: parts still shrink",
            "DIN 16901:1982",
        )
    elif age_h < LEAST_AGE_SEMI_CRYSTALLINE_H and _semi_crystalline(seen):
        yield Caution(
            f"a semi-crystalline resin measured after {age_h:g} h, before "
            f"{LEAST_AGE_SEMI_CRYSTALLINE_H:g} h: it still shrinks",
            "common practice, no source",
        )
    for size in seen.emptied:
        yield Caution(f"{size}: every reading was left out, so nothing judges it")
    if seen.settled is not None:
        yield from seen.settled.cautions
    if plan is not None:
        yield from plan.cautions
    yield from _shared_cautions(seen)


def _semi_crystalline(seen: TrialEvidence) -> bool:
    return any(one.characteristic.part.resin.semi_crystalline for one in seen.sizes)


def _shared_cautions(seen: TrialEvidence) -> Iterator[Caution]:
    """What the single sizes warn of, said once with how many it touches.

    Cautions that differ in their numbers only are one: it is said with the numbers most sizes have.
    """
    touched: dict[str, list[SizeSeen]] = defaultdict(list)
    said_of: dict[str, list[Caution]] = defaultdict(list)
    for one in seen.sizes:
        for caution in one.finding.cautions:
            kind = re.sub(r"\d+", "#", caution.text)
            touched[kind].append(one)
            said_of[kind].append(caution)
    for kind, sizes in touched.items():
        usual, _ = Counter(said_of[kind]).most_common(1)[0]
        text = usual.text
        if len(sizes) == 1:
            said = f"{size_key(sizes[0].characteristic)}: {text}"
        else:
            said = text if len(sizes) == len(seen.sizes) else f"{count(len(sizes), 'size')}: {text}"
        yield Caution(said, usual.source)

"""What is said of one characteristic in depth: its headline, what to do about it, what that rests on."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.correction import CorrectionPlan
from offtool.core.inspection.variation import CavityDifferences, VariationShares
from offtool.core.values import Verdict
from offtool.steps.findings import Action, Fact, JudgedSize
from offtool.steps.readings_seen import ReadingSeen
from offtool.steps.sentences import cavities_in_words, count, per_cent, sentence
from offtool.steps.size_in_depth import SizeAnalysis
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key
from offtool.steps.what_to_do import steel_actions

MOST_GAUGE = 0.3
"""Share of the observed spread from which the gauge is worth bettering; common practice, no source."""
DRIFTS_BELOW = 0.01
BALANCE_SHARE = 0.25
"""Cavity differences above a quarter of the tolerance: first look at the fill; common practice, no source."""
POINTED_SHOWN = 3


def headline_of_size(size: JudgedSize) -> str:
    """The verdict on a size; why stands beside it."""
    name = " ".join(f"{size.part} {size.number} {size.name}".split())
    return f"{name}: {size.verdict.value}."


def actions_of_size(
    size: JudgedSize,
    seen: TrialEvidence,
    one: SizeSeen,
    found: SizeAnalysis,
    plan: CorrectionPlan | None,
) -> Iterator[Action]:
    """What to do, in the order of effect: first whether the readings are right, then why they vary."""
    yield from _look_at_readings(size, found.readings)
    if size.verdict is not Verdict.HOLDS:
        yield from _better_gauge(one)
    yield from _drift(seen, one, size, found.shares)
    if size.planned:
        yield from _correct(size)
    else:
        yield from _cavities(size, found.differences)
        if plan is not None:
            yield from steel_actions(plan, size=size_key(one.characteristic))
    yield from _measure(size)


def _look_at_readings(size: JudgedSize, readings: tuple[ReadingSeen, ...]) -> Iterator[Action]:
    pointed = [one for one in readings if one.pointed_at]
    if not pointed:
        return
    named = ", ".join(f"{one.value:.{size.decimals}f} ({_place(one)})" for one in pointed[:POINTED_SHOWN]) + (
        " …" if len(pointed) > POINTED_SHOWN else ""
    )
    yield Action(
        do=f"Look at {'this reading' if len(pointed) == 1 else 'these readings'} again: {named}.",
        because="Chance alone puts one so far off in one of twenty trials. Measure the part again; leave the "
        "reading out only with a reason.",
        leads_to="readings",
    )


def _place(reading: ReadingSeen) -> str:
    shot = f"shot {reading.shot}" if reading.shot is not None else f"row {reading.row}"
    return f"{shot}, cavity {reading.cavity}" if reading.cavity else shot


def _better_gauge(one: SizeSeen) -> Iterator[Action]:
    if one.gauge is None:
        return
    spread = min((cavity.sd for cavity in one.finding.cavities if cavity.sd > 0), default=0.0)
    of_spread = one.gauge.scatter / spread if spread else 0.0
    if of_spread > MOST_GAUGE:
        yield Action(
            do="Better the gauge before you measure more.",
            because=f"It makes {per_cent(min(of_spread**2, 1.0), 0)} of the variance seen within a cavity.",
            leads_to="gauge",
        )


def _drift(
    seen: TrialEvidence, one: SizeSeen, size: JudgedSize, shares: VariationShares | None
) -> Iterator[Action]:
    drift = shares.share("drift") if shares else None
    if drift is None or drift.p is None or drift.p >= DRIFTS_BELOW or shares is None:
        return
    way = "grows" if (shares.drift_per_shot or 0) > 0 else "shrinks"
    shots = seen.readings.shot[one.used]
    moved = abs(shares.drift_per_shot or 0) * float(shots.max() - shots.min())
    yield Action(
        do="Run longer before sampling, or find what drifts.",
        because=f"It {way} along the trial, by {moved:.{size.decimals}f} {size.unit} from the first shot to "
        "the last.",
        leads_to="run",
    )


def _cavities(size: JudgedSize, differences: CavityDifferences | None) -> Iterator[Action]:
    apart = [one for one in differences.offsets if one.stands_out] if differences else []
    if not apart or differences is None:
        return
    widest = max(apart, key=lambda one: abs(one.offset))
    which = cavities_in_words([one.cavity for one in apart], differences.cavities)
    verb = "stands" if len(apart) == 1 else "stand"
    side = "above" if widest.offset > 0 else "below"
    far = f"{abs(widest.offset):.{size.decimals}f} {size.unit}"
    spread = max(one.offset for one in differences.offsets) - min(one.offset for one in differences.offsets)
    tolerance = _tolerance(size)
    if tolerance and spread > BALANCE_SHARE * tolerance:
        yield Action(
            do="Weigh the cavities and look at gate, vent and cooling before the steel of one cavity.",
            because=f"{sentence(which)[:-1]} {verb} off the mean of all, {widest.cavity} by {far} {side}. "
            f"They differ by {per_cent(spread / tolerance, 0)} of the tolerance.",
            leads_to="cavities",
        )


def _tolerance(size: JudgedSize) -> float | None:
    found = size.finding
    return None if found.lower is None or found.upper is None else found.upper - found.lower


def _correct(size: JudgedSize) -> Iterator[Action]:
    yield Action(
        do=size.planned,
        because="The correction of the tool says why, and what else it moves.",
        leads_to="correction",
    )


def _measure(size: JudgedSize) -> Iterator[Action]:
    if size.verdict is Verdict.NOT_SHOWN and size.finding.parts_needed is not None:
        yield Action(
            do=f"Measure {size.finding.parts_needed} parts of each cavity from settled shots.",
            because="If they spread and stand as these do, they show what is required.",
            leads_to="read",
        )


def facts_of_size(seen: TrialEvidence, one: SizeSeen, found: SizeAnalysis) -> Iterator[Fact]:
    """What the judgement rests on."""
    yield Fact(about="Readings", says=_readings(one))
    if seen.settled_from is not None:
        why = f": {seen.trial.settled_reason}" if seen.trial.settled_reason else ""
        whose = f", by your word{why}" if seen.trial.settled_from is not None else ""
        yield Fact(about="Settled", says=f"from shot {seen.settled_from}{whose}")
    yield Fact(about="Gauge", says=_gauge(one))
    if one.finding.required_index is not None:
        needed = found.index_needed
        says = f"{one.finding.required_index:.2f} must be shown"
        yield Fact(
            about="Index",
            says=f"{says}; with so many parts that takes {needed:.2f} observed" if needed else says,
        )
    fit = found.fit
    if fit is not None:
        yield Fact(about="Shape", says=f"{fit.family}: {fit.why}")
    if found.mix is not None:
        yield Fact(
            about="Shipped mix",
            says=f"of {count(len(one.finding.cavities), 'cavity', 'cavities')}, alike in number",
        )


def _readings(one: SizeSeen) -> str:
    said = [f"{len(one.used)} used"]
    if one.discarded:
        said.append(f"{one.discarded} of unsettled shots not used")
    if one.left_out:
        said.append(f"{one.left_out} left out by a person")
    return ", ".join(said)


def _gauge(one: SizeSeen) -> str:
    unit = one.characteristic.unit
    if one.gauge is None:
        return "no study: taken as exact"
    return f"standard uncertainty {one.gauge.value:.2g} {unit}; {one.gauge.says}"

"""What a gauge does to verdicts: the guard band it costs, the spread it adds, and the index without it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf, sqrt

from offtool.core.inspection import (
    ExactIndex,
    PerformanceIndex,
    SizeFinding,
    exact_index,
    judge_coded_size,
)
from offtool.core.inspection.conformity import coverage_factor
from offtool.core.inspection.mean_squares import MeanSquare
from offtool.core.values import Interval, Verdict
from offtool.records.models import Characteristic, Gauge, Tool, Trial
from offtool.records.queries import place_in_time
from offtool.steps.gauge_studied import SizeWithGauge
from offtool.steps.gauge_uncertainty import GaugeUncertainty
from offtool.steps.sentences import decimals_for
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import required_index_of, target_of

CONFIDENCE = 0.95
TRIALS_LOOKED_AT = 3
"""Of each tool, from the newest back: a size that none of them measured is not waited for."""


def sizes_with_gauge(gauge: Gauge) -> Iterator[SizeWithGauge]:
    """Every size that is measured with a gauge, in the newest trial that measured it."""
    for evidence, seen in _newest(gauge):
        yield _with_gauge(evidence, seen)


def _newest(gauge: Gauge) -> Iterator[tuple[TrialEvidence, SizeSeen]]:
    """The last trials from the newest back, tool by tool, until each size was met once."""
    part_of = dict(gauge.characteristics.values_list("pk", "part"))
    for tool in Tool.objects.filter(programme=gauge.programme_id).order_by("code"):
        made = set(tool.cavities.values_list("part_id", flat=True))
        wanted = {pk for pk, part in part_of.items() if part in made}
        for trial in _newest_first(tool)[:TRIALS_LOOKED_AT] if wanted else ():
            evidence = TrialEvidence(trial)
            for seen in evidence.sizes:
                if seen.characteristic.pk in wanted:
                    wanted.discard(seen.characteristic.pk)
                    yield evidence, seen
            if not wanted:
                break


def _newest_first(tool: Tool) -> list[Trial]:
    trials = tool.trials.select_related("state", "tool").filter(source_files__isnull=False).distinct()
    return sorted(trials, key=place_in_time, reverse=True)


def _with_gauge(evidence: TrialEvidence, seen: SizeSeen) -> SizeWithGauge:
    one, known, judged = seen.characteristic, seen.gauge, seen.finding
    repeated = _repeatability(seen)
    without = _judged_without_gauge(evidence, seen)
    worst = min(judged.cavities, key=lambda cavity: cavity.index.value if cavity.index else inf)
    index = worst.index
    exact = _exact(index, repeated) if index is not None and repeated is not None else None
    verdict_exact = _verdict_exact(judged, without, repeated)
    return SizeWithGauge(
        part=one.part.code,
        number=one.number,
        name=one.name,
        unit=one.unit,
        decimals=decimals_for(one.lower, one.upper, one.nominal),
        tool=evidence.trial.tool.code,
        trial=evidence.trial.name,
        cavity=worst.cavity,
        required_index=judged.required_index,
        uncertainty=known.value if known is not None else None,
        uncertainty_says=known.says if known is not None else "",
        guard_band=guard_band(known) if known is not None else None,
        guard_share=_guard_share(known, one),
        share=exact.share if exact else None,
        share_interval=exact.share_interval if exact else None,
        observed=index.value if index else None,
        observed_interval=(
            Interval(low=index.low, high=index.high, confidence=index.confidence) if index else None
        ),
        exact=exact.value if exact else None,
        exact_interval=exact.interval if exact else None,
        verdict=judged.verdict,
        verdict_exact=verdict_exact,
        hangs_on_gauge=verdict_exact is not judged.verdict,
        says=_says(judged.verdict, verdict_exact, known=known is not None),
    )


def _repeatability(seen: SizeSeen) -> MeanSquare | None:
    """What the gauge adds to the variance between parts: less where one part was read several times."""
    if seen.gauge is None or seen.gauge.repeatability is None:
        return None
    once = seen.gauge.repeatability
    return replace(once, value=once.value * len(seen.parts.value) / seen.parts.readings)


def guard_band(known: GaugeUncertainty) -> float:
    """What ISO 14253-1 takes off at each limit, at 95 %: wider where few readings stand behind the study."""
    return coverage_factor(CONFIDENCE, known.freedom) * known.value


def _guard_share(known: GaugeUncertainty | None, one: Characteristic) -> float | None:
    if known is None or one.lower is None or one.upper is None:
        return None
    return 2 * guard_band(known) / (one.upper - one.lower)


def _judged_without_gauge(evidence: TrialEvidence, seen: SizeSeen) -> SizeFinding:
    """The size as the trial shows it, were its gauge exact."""
    one = seen.characteristic
    codes, labels = evidence.coded_cavities(seen.parts)
    return judge_coded_size(
        seen.parts.value,
        codes,
        labels,
        lower=one.lower,
        upper=one.upper,
        target=target_of(one),
        required_index=required_index_of(one),
        gauge_uncertainty=0.0,
        gauge_resolution=one.gauge.resolution if one.gauge else None,
    )


def _verdict_exact(judged: SizeFinding, without: SizeFinding, repeated: MeanSquare | None) -> Verdict:
    """What an exact gauge would show: no guard band, and the gauge's share taken out of the spread."""
    if judged.required_index is None or repeated is None:
        return without.verdict
    verdicts = [
        _cavity_verdict(cavity.verdict, cavity.index, judged.required_index, repeated)
        for cavity in without.cavities
    ]
    return next(one for one in (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS) if one in verdicts)


def _cavity_verdict(
    verdict: Verdict, index: PerformanceIndex | None, required: float, repeated: MeanSquare
) -> Verdict:
    if index is None or verdict is Verdict.HOLDS:
        return verdict
    interval = _exact(index, repeated).interval
    if interval.low >= required:
        return Verdict.HOLDS
    if verdict is Verdict.FAILS and index.high < required <= interval.high:
        return Verdict.NOT_SHOWN
    return verdict


def _exact(index: PerformanceIndex, repeated: MeanSquare) -> ExactIndex:
    return exact_index(
        index.value,
        index.low,
        index.high,
        index.sd,
        index.degrees_of_freedom,
        repeatability=sqrt(repeated.value),
        repeatability_freedom=repeated.freedom,
        confidence=index.confidence,
    )


def _says(verdict: Verdict, exact: Verdict, *, known: bool) -> str:
    if not known:
        return "nothing is known of the gauge: it is taken as exact"
    if verdict is exact:
        return "does not hang on the gauge"
    would = {Verdict.HOLDS: "it would hold", Verdict.FAILS: "it would not hold"}
    return f"hangs on the gauge: with an exact one {would.get(exact, 'it would be open')}"

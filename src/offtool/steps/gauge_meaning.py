"""What a gauge does to verdicts: the guard band it costs, the spread it adds, and the index without it."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from offtool.core.inspection import PerformanceIndex, SizeFinding, judge_coded_size
from offtool.core.inspection.conformity import coverage_factor
from offtool.core.inspection.mean_squares import MeanSquare
from offtool.core.values import Interval, Verdict
from offtool.records.models import Characteristic, Gauge, Tool, Trial
from offtool.steps.exact_gauge import exact_index
from offtool.steps.gauge_studied import SizeWithGauge
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainties_of
from offtool.steps.sentences import decimals_for
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import required_index_of, target_of

CONFIDENCE = 0.95
TRIALS_LOOKED_AT = 3
"""Of each tool, from the newest back: a size that none of them measured is not waited for."""


def sizes_with_gauge(gauge: Gauge) -> Iterator[SizeWithGauge]:
    """Every size that is measured with a gauge, in the newest trial that measured it."""
    asked = {one.pk: one for one in gauge.characteristics.select_related("gauge", "part")}
    known = gauge_uncertainties_of(asked.values())
    for evidence, seen in _newest(gauge, asked):
        yield _with_gauge(evidence, seen, known.get(seen.characteristic.pk))


def _newest(gauge: Gauge, asked: dict[int, Characteristic]) -> Iterator[tuple[TrialEvidence, SizeSeen]]:
    """The last trials from the newest back, tool by tool, until each size was met once."""
    for tool in Tool.objects.filter(programme=gauge.programme_id).order_by("code"):
        made = set(tool.cavities.values_list("part_id", flat=True))
        wanted = {pk for pk, one in asked.items() if one.part_id in made}
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
    return sorted(
        trials,
        key=lambda one: (one.state.ordinal, one.shot_on.isoformat() if one.shot_on else "", one.pk),
        reverse=True,
    )


def _with_gauge(evidence: TrialEvidence, seen: SizeSeen, known: GaugeUncertainty | None) -> SizeWithGauge:
    one = seen.characteristic
    repeated = known.repeatability if known is not None else None
    u = known.value if known is not None else None
    judged, without = (_judged_again(evidence, seen, value) for value in (u, 0.0))
    worst = min(judged.cavities, key=lambda cavity: cavity.index.value if cavity.index else inf)
    index = worst.index
    exact = exact_index(index, repeated) if index is not None and repeated is not None else None
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
        uncertainty=u,
        uncertainty_says=known.says if known is not None else "",
        guard_band=None if u is None else guard_band(u),
        guard_share=_guard_share(u, one),
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
        says=_says(judged.verdict, verdict_exact, known=u is not None),
    )


def guard_band(uncertainty: float) -> float:
    """What ISO 14253-1 takes off at each limit, at 95 %."""
    return coverage_factor(CONFIDENCE) * uncertainty


def _guard_share(u: float | None, one: Characteristic) -> float | None:
    if u is None or one.lower is None or one.upper is None:
        return None
    return 2 * guard_band(u) / (one.upper - one.lower)


def _judged_again(evidence: TrialEvidence, seen: SizeSeen, u: float | None) -> SizeFinding:
    """The size as the trial shows it, with this uncertainty of the gauge."""
    one = seen.characteristic
    codes, labels = evidence.coded_cavities(seen.used)
    return judge_coded_size(
        evidence.readings.value[seen.used],
        codes,
        labels,
        lower=one.lower,
        upper=one.upper,
        target=target_of(one),
        required_index=required_index_of(one),
        gauge_uncertainty=u,
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
    interval = exact_index(index, repeated).interval
    if interval.low >= required:
        return Verdict.HOLDS
    if verdict is Verdict.FAILS and index.high < required <= interval.high:
        return Verdict.NOT_SHOWN
    return verdict


def _says(verdict: Verdict, exact: Verdict, *, known: bool) -> str:
    if not known:
        return "nothing is known of the gauge: it is taken as exact"
    if verdict is exact:
        return "does not hang on the gauge"
    would = {Verdict.HOLDS: "it would hold", Verdict.FAILS: "it would not hold"}
    return f"hangs on the gauge: with an exact one {would.get(exact, 'it would be open')}"

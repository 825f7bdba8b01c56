"""Whether the cavities of a tool differ, asked of all sizes of a trial at once."""

from __future__ import annotations

from offtool.core.inspection.many import control_false_discoveries, expected_false_alarms
from offtool.core.inspection.variation.alike import chance_cavities_alike
from offtool.records.reading_arrays import NOT_RECORDED
from offtool.steps.findings import CavitiesCompared, CavitiesDiffer
from offtool.steps.sentences import decimals_for
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key

RATE = 0.05
"""Share of the sizes named that may be named by chance; common practice, no source."""


def compare_cavities(seen: TrialEvidence) -> CavitiesCompared | None:
    """The sizes whose cavities differ by more than chance; None where no size has two to compare."""
    asked = [(one, p) for one in seen.several_cavities() if (p := _chance_alike(seen, one)) is not None]
    if not asked:
        return None
    # Sizes of one part hang together: they were moulded by the same shots.
    found = control_false_discoveries([p for _, p in asked], rate=RATE)
    differ = [
        _differs(one, p, float(found.adjusted[i])) for i, (one, p) in enumerate(asked) if found.stands[i]
    ]
    return CavitiesCompared(
        differ=tuple(sorted(differ, key=_far, reverse=True)),
        sizes=len(asked),
        false_alarms=expected_false_alarms(len(asked), RATE).expected,
        rate=RATE,
    )


def _chance_alike(seen: TrialEvidence, one: SizeSeen) -> float | None:
    """The chance of such differences where the cavities are alike; None where none can be told."""
    codes, labels = seen.coded_cavities(one.parts)
    shots = one.parts.shot
    known = None if (shots == NOT_RECORDED).any() else shots.astype(float)
    return chance_cavities_alike(one.parts.value, codes, len(labels), shots=known)


def _differs(one: SizeSeen, p: float, adjusted_p: float) -> CavitiesDiffer:
    asked = one.characteristic
    ordered = sorted(one.finding.cavities, key=lambda cavity: cavity.mean)
    difference = ordered[-1].mean - ordered[0].mean
    has_both = asked.lower is not None and asked.upper is not None
    return CavitiesDiffer(
        size=size_key(asked),
        unit=asked.unit,
        decimals=decimals_for(asked.lower, asked.upper, asked.nominal),
        p=p,
        adjusted_p=adjusted_p,
        low_cavity=ordered[0].cavity,
        high_cavity=ordered[-1].cavity,
        difference=difference,
        of_tolerance=difference / (asked.upper - asked.lower) if has_both else None,  # type: ignore[operator]
    )


def _far(one: CavitiesDiffer) -> float:
    return one.of_tolerance or 0.0

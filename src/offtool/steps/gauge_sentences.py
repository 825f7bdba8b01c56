"""The sentences of a gauge study: is the gauge fit, what to do, and what the answer rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, log10

from offtool.core.inspection.gauge import GaugeJudgement, GaugeStudy, LinearityStudy, ReferenceStudy
from offtool.core.values import Interval
from offtool.records.models import Gauge
from offtool.records.models import GaugeStudy as KeptStudy
from offtool.steps.findings import Action, Fact
from offtool.steps.gauge_studied import SizeWithGauge
from offtool.steps.kept_studies import Found
from offtool.steps.sentences import count, per_cent, per_cent_span, sentence

READ, STUDIES, SIZES = "read", "studies", "sizes"
"""Where an action leads on."""
SHOWN_BELOW = 0.05
MOST_DECIMALS = 6
LAY_OUT = (
    "Study it: 10 parts over the whole tolerance, 3 people, each part 2 or 3 times by each, in random order, "
    "nobody seeing what was read before."
)
_FIT = {
    GaugeJudgement.FIT: "is fit",
    GaugeJudgement.FIT_FOR_SOME: "is fit for some uses",
    GaugeJudgement.NOT_FIT: "is not fit",
}


def decimals_of(resolution: float) -> int:
    """Decimals that show the step of a gauge: 3 for 0.001, 2 for 0.02."""
    return min(max(ceil(-log10(resolution) - 1e-9), 0), MOST_DECIMALS)


def amount(value: float, decimals: int, unit: str) -> str:
    """0.0042 mm."""
    return f"{value:.{decimals}f} {unit}".rstrip().replace("-", "−")


def headline(gauge: Gauge, size: str, found: Found, decimals: int, unit: str) -> str:
    """One sentence: whether the gauge is fit for what it was studied on."""
    what = f" for {size}" if size else ""
    if isinstance(found, LinearityStudy):
        return _line_headline(gauge, found, decimals, unit)
    if isinstance(found, ReferenceStudy):
        return _reference_headline(gauge, what, found, decimals, unit)
    if found.reason.interval is None:
        return f"Whether {gauge.code} is fit{what} is not shown: {found.reason.sentence}."
    of = "the tolerance" if found.tolerance is not None else "the spread of the parts"
    takes = f"it takes {per_cent(found.reason.value or 0.0, 0)} of {of}"
    span = per_cent_span(found.reason.interval, 0)
    if found.judgement is GaugeJudgement.NOT_SHOWN:
        return (
            f"Whether {gauge.code} is fit{what} is not shown: {takes}, and that may be anything from {span}."
        )
    return f"{gauge.code} {_FIT[found.judgement]}{what}: {takes} ({span})."


def _reference_headline(gauge: Gauge, what: str, found: ReferenceStudy, decimals: int, unit: str) -> str:
    reads = _reads(found.bias, found.bias_interval, decimals + 1, unit)
    if found.judgement is GaugeJudgement.NOT_SHOWN:
        return f"Whether {gauge.code} is fit{what} is not shown: {reads}."
    return f"{gauge.code} {_FIT[found.judgement]}{what} by one person: {reads}."


def _reads(bias: float, interval: Interval | None, decimals: int, unit: str) -> str:
    """It reads 0.0012 mm large (0.0008 to 0.0016)."""
    if interval is None:
        return "its readings never differ"
    if interval.low <= 0 <= interval.high:
        furthest = max(-interval.low, interval.high)
        return f"no bias is shown, it is at most {amount(furthest, decimals, unit)}"
    ends = sorted((abs(interval.low), abs(interval.high)))
    side = "large" if bias > 0 else "small"
    span = f"{ends[0]:.{decimals}f} to {ends[1]:.{decimals}f}"
    return f"it reads {amount(abs(bias), decimals, unit)} {side} ({span})"


def _line_headline(gauge: Gauge, found: LinearityStudy, decimals: int, unit: str) -> str:
    first, last = found.points[0].reference, found.points[-1].reference
    span = f"over {first:g} to {last:g} {unit}".rstrip()
    if not found.bias_shown:
        return f"{gauge.code} shows no bias {span}."
    worst = found.worst
    side = "large" if worst.mean_bias > 0 else "small"
    share = (
        f", {per_cent(found.worst_of_tolerance, 0)} of the tolerance"
        if found.worst_of_tolerance is not None
        else ""
    )
    off = amount(abs(worst.mean_bias), decimals + 1, unit)
    return f"{gauge.code} is not the same {span}: it reads {off} {side} at {worst.reference:g}{share}."


def no_study_headline(gauge: Gauge, unit: str) -> str:
    """What is known of a gauge without a study that counts."""
    if gauge.study:
        said = amount(gauge.uncertainty, decimals_of(gauge.resolution) + 1, unit)
        return f"No study of {gauge.code} is read: its uncertainty, {said}, is entered by hand."
    return f"No study of {gauge.code}: verdicts take it as exact."


def actions(
    found: Found | None,
    sizes: Sequence[SizeWithGauge],
    decimals: int,
    unit: str,
    *,
    studied_on_parts: bool,
) -> Iterator[Action]:
    """What to do, in the order of effect; `studied_on_parts`: a crossed or nested study counts."""
    if found is None:
        yield Action(do=LAY_OUT, because="Then verdicts know what a reading is worth.", leads_to=READ)
        return
    yield from _hanging(sizes)
    if isinstance(found, GaugeStudy):
        yield from _spread_actions(found, decimals, unit)
    else:
        yield from _bias_actions(found)
    if not studied_on_parts:
        yield Action(
            do="Study it on parts with the people who measure them as well.",
            because="A reference says nothing of how parts are held, nor of what differs between people.",
            leads_to=READ,
        )


def _hanging(sizes: Sequence[SizeWithGauge]) -> Iterator[Action]:
    hang = [one for one in sizes if one.hangs_on_gauge]
    if hang:
        named = ", ".join(f"{one.part} {one.number}" for one in hang[:6]) + (" …" if len(hang) > 6 else "")
        yield Action(
            do=f"Measure {named} again with a finer gauge, or each part several times and take the mean.",
            because=f"{count(len(hang), 'verdict hangs', 'verdicts hang')} on the gauge.",
            leads_to=SIZES,
        )


def _spread_actions(found: GaugeStudy, decimals: int, unit: str) -> Iterator[Action]:
    if found.judgement is GaugeJudgement.FIT:
        yield Action(
            do="Keep the gauge; study it again when gauge, people or the way of holding change.",
            because="It takes little of what it must judge.",
            leads_to="",
        )
        return
    if found.reason.settle:
        yield Action(do=sentence(found.reason.settle), because="Then the answer is shown.", leads_to=READ)
    if found.judgement is not GaugeJudgement.NOT_SHOWN or found.reason.interval is not None:
        yield from _largest_source(found, decimals, unit)
    if found.judgement is GaugeJudgement.FIT_FOR_SOME:
        yield Action(
            do="Use it where the guard band leaves room enough, and not to show a critical index.",
            because="What it takes of the tolerance stands below, size by size.",
            leads_to=SIZES,
        )


def _largest_source(found: GaugeStudy, decimals: int, unit: str) -> Iterator[Action]:
    repeat, between_people = found.share("repeatability"), found.share("reproducibility")
    if repeat is None or repeat.sd == 0:
        return
    if between_people is None or repeat.sd >= between_people.sd:
        yield Action(
            do="Make a reading repeat better: clean faces, a stop for the part, steady force, a finer gauge.",
            because=f"One person reading one part again scatters by {amount(repeat.sd, decimals + 1, unit)}.",
            leads_to="",
        )
        return
    together = found.interaction_p is not None and found.interaction_p < SHOWN_BELOW
    where = "They differ from part to part: look at the drawing below. " if together else ""
    yield Action(
        do="Agree how the part is held and read, and let everybody do it so.",
        because=f"{where}People differ by {amount(between_people.sd, decimals + 1, unit)}, more than one "
        f"person's readings do ({amount(repeat.sd, decimals + 1, unit)}).",
        leads_to="",
    )


def _bias_actions(found: ReferenceStudy | LinearityStudy) -> Iterator[Action]:
    if isinstance(found, LinearityStudy):
        if found.bias_shown:
            yield Action(
                do="Have it adjusted, or correct each reading by the bias at its size.",
                because="Bias adds itself to every reading and averages out of none.",
                leads_to="",
            )
        return
    if found.reason.settle:
        yield Action(do=sentence(found.reason.settle), because=sentence(found.reason.sentence), leads_to="")


def facts(kept: KeptStudy, readings: int, found: Found, unit: str) -> Iterator[Fact]:
    """What the answer rests on."""
    yield Fact(about="Study", says=f"{kept.kind}, {kept.name}" + (f"; {kept.note}" if kept.note else ""))
    if isinstance(found, GaugeStudy):
        own = " each" if kept.kind == "nested" else ""
        people, parts = count(found.operators, "person", "people"), count(found.parts, "part")
        repeats = count(found.repeats, "time")
        yield Fact(about="Readings", says=f"{readings}: {people}, {parts}{own}, {repeats}")
    else:
        yield Fact(about="Readings", says=f"{readings}")
    yield Fact(about="Size", says=_size(kept))
    yield Fact(about="Tolerance", says=_tolerance(kept, found.tolerance, unit))
    if isinstance(found, GaugeStudy):
        yield Fact(about="Method", says=found.method)
        if found.interaction_p is not None:
            pooled = "; taken as repeatability" if found.interaction_pooled else ""
            yield Fact(about="People × parts", says=f"p {found.interaction_p:.2g}{pooled}")
    if isinstance(found, ReferenceStudy):
        said = f"{found.reference:g} {unit}".rstrip()
        known = (
            f", standard uncertainty {found.reference_uncertainty:g}"
            if found.reference_uncertainty
            else ", taken as exact"
        )
        yield Fact(about="Reference", says=said + known)
    yield Fact(about="Confidence", says=per_cent(found.confidence, 0))


def _size(kept: KeptStudy) -> str:
    one = kept.characteristic
    return f"{one.part.code} {one}" if one is not None else "no size of the drawing"


def _tolerance(kept: KeptStudy, tolerance: float | None, unit: str) -> str:
    if tolerance is None:
        return "none: judged by the spread of the parts"
    whence = "given with the study" if kept.tolerance is not None else "of the size"
    return f"{tolerance:.6g} {unit}, {whence}".replace(" ,", ",")

"""How the numbers of a joint are worded, once for pages, drawings, commands and reports."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from offtool.core.joints.assembled import (
    AssembledJoint,
    AssembledPair,
    AssembledShares,
    Contribution,
    FrictionEffect,
    Grade,
    GradeShare,
    PairFlow,
)
from offtool.core.joints.evidence import Span
from offtool.core.joints.friction import LearnedFriction, PairFit
from offtool.core.joints.relaxation import RelaxationFit, RelaxedTorque, TorqueAfter
from offtool.core.joints.steel import SteelAmount, SteelCandidate, Stop
from offtool.core.joints.tested import Change
from offtool.core.values import Verdict
from offtool.reports import words
from offtool.steps.joint_found import JointFound, JointSizeSeen
from offtool.steps.joint_sentences import per_cent_of, share

GRADES = (Grade.LOOSE, Grade.GOOD, Grade.TIGHT, Grade.OVERSTRAINED)
"""From loose to overstrained: the order in every drawing and table."""
LETTERS = {Grade.LOOSE: "L", Grade.GOOD: "G", Grade.TIGHT: "T", Grade.OVERSTRAINED: "O"}
FRICTION_DECIMALS = 2
AGREES = {
    Verdict.HOLDS: "within what is usual",
    Verdict.FAILS: "outside what is usual",
    Verdict.NOT_SHOWN: "not told apart from what is usual",
}


def after_number(unit: str) -> str:
    """A unit with its blank before it; nothing for a bare number, whose unit is 1."""
    return f" {unit}" if unit != "1" else ""


def share_in_words(found: GradeShare) -> str:
    """92 % (64 to 99 %)."""
    return share(found)


def grades_in_words(shares: AssembledShares) -> str:
    """94 % good, 5 % loose, 1.2 % overstrained; good first, then what else there is."""
    others = [grade for grade in GRADES if grade is not Grade.GOOD and shares.of(grade).share > 0]
    return ", ".join(f"{per_cent_of(shares.of(one).share)} {one}" for one in (Grade.GOOD, *others))


def asked_in_words(found: JointFound) -> str:
    """0.010 to 0.080 N·m; that nothing is asked."""
    lower, upper = found.lower.value, found.upper.value
    if lower is None and upper is None:
        return "nothing is asked"
    return f"{limits_in_words(lower, upper, decimals=found.decimals)}{after_number(found.unit)}"


def limits_in_words(lower: float | None, upper: float | None, *, decimals: int) -> str:
    """0.01 to 0.08, at least 0.0008: as they were given; one that was worked out is rounded."""
    ends = [end for end in (lower, upper) if end is not None]
    places = min(words.decimals_to_write(ends), decimals + 1)
    told = [words.number(end, places) for end in ends]
    if lower is None or upper is None:
        return f"{'at least' if upper is None else 'at most'} {told[0]}" if told else "no limits"
    return " to ".join(told)


def limit_in_words(limit: float, *, decimals: int) -> str:
    """0.060: one end, with the decimals of the measure or one more."""
    return words.number(limit, min(words.decimals_to_write([limit], decimals), decimals + 1))


def measure_in_words(shares: AssembledShares, *, decimals: int, unit: str) -> str:
    """0.045 N·m, 95 % of joints 0.031 to 0.058."""
    middle = words.ends(shares.middle_low, shares.middle_high, decimals)
    return f"{words.number(shares.mean, decimals)}{after_number(unit)}, 95 % of joints {middle}"


def pair_in_words(parts: Sequence[str], cavities: Sequence[str]) -> str:
    """HO-04 cavity 1 with HO-02 cavity 3."""
    return " with ".join(f"{part} {words.cavity(one)}" for part, one in zip(parts, cavities, strict=True))


def size_of_joint(role: str) -> str:
    """A role as it is read: peg diameter."""
    return role.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class PairMatrix:
    """The pairs of two parts, a row a cavity of the first, a column a cavity of the second."""

    rows_are: str
    columns_are: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[AssembledPair, ...]], ...]


def pair_matrix(assembled: AssembledJoint) -> PairMatrix | None:
    """The pairs as a matrix; None where there are not two parts with cavities."""
    if len(assembled.parts) != 2:
        return None
    firsts = tuple(dict.fromkeys(one.cavities[0] for one in assembled.pairs))
    seconds = tuple(dict.fromkeys(one.cavities[1] for one in assembled.pairs))
    return PairMatrix(
        rows_are=assembled.parts[0],
        columns_are=assembled.parts[1],
        columns=seconds,
        rows=tuple((one, tuple(assembled.pair(one, other) for other in seconds)) for one in firsts),
    )


def flow_in_words(parts: Sequence[str], flow: PairFlow) -> str:
    """HO-04 cavity 1 with HO-02 cavity 3: 25 % of all joints, 97 % of them good."""
    of_all, good = per_cent_of(flow.share), per_cent_of(flow.good)
    return f"{pair_in_words(parts, (flow.first, flow.second))}: {of_all} of all joints, {good} of them good"


def contribution_in_words(one: Contribution, *, unit: str) -> str:
    """peg diameter of HO-04: 62 % of the variance, 50 % between cavities, 12 % within; +1.2 N·m a mm."""
    of = f" of {one.part}" if one.part else ""
    return (
        f"{size_of_joint(one.role)}{of}: {words.percent(one.share, 0)} of the variance, "
        f"{words.percent(one.between, 0)} between cavities, {words.percent(one.within, 0)} within; "
        f"{slope_in_words(one.slope)}{after_number(unit)} a {one.unit}"
    )


def slope_in_words(slope: float) -> str:
    """Two digits that count, with the sign: +1.2, −0.034."""
    if slope == 0:
        return "0"
    sign = words.MINUS if slope < 0 else "+"
    return f"{sign}{abs(slope):.2g}"


FAR_MORE = 10.0
FAR_MORE_SAID = ", far more than pieces vary"


def friction_effect_in_words(effect: FrictionEffect, *, decimals: int, unit: str) -> str:
    """friction 0.35 to 0.50, not known: moves the mean from 0.041 to 0.058 N·m, 2.1 times the variance of
    the pieces."""
    low, high = effect.friction.low, effect.friction.high
    means = (words.number(one, decimals) for one in (effect.mean_at_low, effect.mean_at_high))
    times = effect.beside_variance
    beside = f", {times:.2g} times the variance of the pieces" if times < FAR_MORE else FAR_MORE_SAID
    return (
        f"friction {span_in_words(Span(low=low, high=high))}, not known: moves the mean from "
        f"{' to '.join(means)}{after_number(unit)}{beside if isfinite(effect.beside_variance) else ''}"
    )


def span_in_words(span: Span, decimals: int = FRICTION_DECIMALS) -> str:
    """0.35 to 0.50; one number where both ends are the same."""
    if span.low == span.high:
        return words.number(span.low, decimals)
    return words.ends(span.low, span.high, decimals)


def friction_in_words(learned: LearnedFriction) -> str:
    """0.41 (0.37 to 0.46) from 24 readings of 4 pairs, usual is 0.35 to 0.50: within what is usual."""
    number = words.number(learned.friction, FRICTION_DECIMALS)
    ends = f" ({words.span(learned.interval, FRICTION_DECIMALS)})" if learned.interval else ", no interval"
    pairs = f"{len(learned.pairs)} pair{'s' * (len(learned.pairs) != 1)}"
    said = f"{number}{ends} from {learned.readings} readings of {pairs}"
    if learned.given is None or learned.agrees is None:
        return said
    return f"{said}, usual is {span_in_words(learned.given)}: {AGREES[learned.agrees]}"


def pair_fit_in_words(one: PairFit, *, decimals: int) -> str:
    """1-2: measured 0.045 N·m, predicted 0.041, does not fit (+0.002 to +0.009 off the others)."""
    measured, predicted = (words.number(value, decimals) for value in (one.measured_nm, one.predicted_nm))
    said = f"{one.pair}: measured {measured} N·m, predicted {predicted}"
    if one.fits is None or one.interval is None:
        return f"{said}, not shown whether it fits"
    ends = f"{words.signed(one.interval.low, decimals)} to {words.signed(one.interval.high, decimals)}"
    return f"{said}, {'fits' if one.fits else f'does not fit ({ends} off what the others say)'}"


def relaxation_in_words(
    fit: RelaxationFit | None, relaxed: RelaxedTorque | None, *, decimals: int
) -> Iterator[str]:
    """A sentence a time: as fitted to what was read, else as the handbook has it."""
    if fit is not None:
        first = words.number(fit.torque_1h_nm, decimals)
        yield f"{first} N·m after 1 h, by {fit.readings} readings up to {fit.last_hours:,.0f} h"
        for one in fit.after:
            yield after_in_words(one, decimals=decimals)
    elif relaxed is not None:
        for hours, left in ((24, relaxed.torque_24h_nm), (1000, relaxed.torque_1000h_nm)):
            ends = words.ends(left.low, left.high, decimals)
            yield f"{ends} N·m after {hours:,} h, as materials of this sort relax (handbook)"


def after_in_words(one: TorqueAfter, *, decimals: int) -> str:
    """0.072 N·m (0.066 to 0.078) after 1,000 h, 71 % of that after 1 h, beyond what was read."""
    number = words.number(one.torque_nm, decimals)
    ends = f" ({words.span(one.torque_interval, decimals)})" if one.torque_interval else ", no interval,"
    beyond = ", beyond what was read" if one.decades_beyond > 0 else ""
    share = words.percent(one.share, 0)
    return f"{number} N·m{ends} after {one.hours:,.0f} h, {share} of that after 1 h{beyond}"


def change_in_words(change: Change) -> str:
    """change −26 % (−31 to −21 %), holds."""
    said = f"change {words.signed(change.change_pct, 0)} %"
    if change.interval is not None:
        low, high = (words.signed(end, 0) for end in (change.interval.low, change.interval.high))
        said += f" ({low} to {high} %)"
    return f"{said}, {change.verdict}"


def size_in_words(one: JointSizeSeen) -> str:
    """diameter of the peg: HO-04 2, cavity 1: 4.05, cavity 2: 4.06 mm; as given: 7.20 ± 0.05 mm."""
    if one.is_measured:
        means = ", ".join(
            f"{words.cavity(each.cavity)}: {words.number(each.mean, one.decimals)}" for each in one.cavities
        )
        return f"{one.meaning}: {one.size}, {means}{after_number(one.unit)}"
    if one.value is None:
        return f"{one.meaning}: {'not measured yet' if one.size else 'worked out'}"
    plus = f" ± {one.plus_minus:g}" if one.plus_minus else ""
    return f"{one.meaning}: {one.value:g}{plus}{after_number(one.unit)}, as given"


def steel_in_words(one: SteelAmount) -> str:
    """PEG-REC, cavity 1: remove 0.03 mm; the steel-safe allowance ends there."""
    verb = "add" if one.amount_mm < 0 else "remove"
    stop = f"; {one.stop}" if one.stop is not Stop.NONE else ""
    return f"{one.feature}, {words.cavity(one.cavity)}: {verb} {words.amount(one.amount_mm)} mm{stop}"


def demand_in_words(one: SteelCandidate) -> str:
    """HO-04 2 larger, 4.012 to 4.041 mm in the mean."""
    said = []
    for size in one.demands:
        way = "larger" if size.after > size.mean else "smaller"
        mean, after = words.number(size.mean, 3), words.number(size.after, 3)
        said.append(f"{size.size} {way}, {mean} to {after} mm in the mean")
    return words.listed(said)


def good_in_words(one: SteelCandidate) -> str:
    """58 % of joints are good now, 97 % after."""
    return f"{per_cent_of(one.good_before)} of joints are good now, {per_cent_of(one.good_after)} after"

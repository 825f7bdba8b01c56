"""What assembled pieces of a joint showed: measured beside predicted, what ageing did, what time leaves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from offtool.core.joints.evidence import Span
from offtool.core.joints.friction import PairFit
from offtool.core.joints.relaxation import RelaxationFit, RelaxedTorque, TorqueAfter
from offtool.core.joints.tested import Change, ConditionFound, TestsCompared
from offtool.core.values import Caution, Interval, Verdict
from offtool.reports import words
from offtool.reports.friction_drawing import draw_friction
from offtool.reports.joint_words import change_in_words, friction_in_words
from offtool.reports.relaxation_drawing import draw_relaxation
from offtool.steps.joint_found import JointFound
from offtool.steps.sentences import count, sentence
from offtool.web.pages.trial import MARK


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """One pair of cavities, measured and predicted."""

    pair: str
    readings: int
    measured: str
    predicted: str
    left: str
    mark: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionRow:
    """What joints showed in one condition."""

    condition: str
    pieces: int
    mean: str
    change: str
    limits: str
    mark: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRow:
    """What is left of the torque after a time."""

    source: str
    loss: str
    after: tuple[str, ...]
    """At each of the times."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestedSection:
    """Measured joints beside what their sizes foretell, and what time does to them."""

    __test__ = False  # not one of pytest's

    friction: SafeString
    """Measured over predicted; empty where no torque was measured."""
    friction_says: str
    pairs: tuple[PairRow, ...]
    compared_says: str
    conditions: tuple[ConditionRow, ...]
    relaxation: SafeString
    times: tuple[TimeRow, ...]
    cautions: tuple[Caution, ...]


def tested_section(found: JointFound) -> TestedSection | None:
    """The section; None where nothing was measured and nothing is known of time."""
    learned, compared = found.learned, found.compared
    times = tuple(_times(found))
    if learned is None and compared is None and not times:
        return None
    parts = (learned, compared, found.relaxation, found.relaxed)
    d = found.decimals
    friction = draw_friction(learned, decimals=d) if learned is not None and learned.pairs else ""
    relaxation = draw_relaxation(found.relaxation, found.relaxed, lower=found.lower.value, decimals=d)
    return TestedSection(
        friction=mark_safe(friction),  # noqa: S308 it escapes
        friction_says=sentence(f"Friction {friction_in_words(learned)}") if learned is not None else "",
        pairs=tuple(_pair(one, found.decimals) for one in learned.pairs) if learned is not None else (),
        compared_says=_compared(compared) if compared is not None else "",
        conditions=tuple(_condition(one, found) for one in compared.conditions)
        if compared is not None
        else (),
        relaxation=mark_safe(relaxation),  # noqa: S308 our own drawing
        times=times,
        cautions=tuple(dict.fromkeys(one for part in parts if part is not None for one in part.cautions)),
    )


def _pair(one: PairFit, decimals: int) -> PairRow:
    d = decimals + 1
    left = words.signed(one.left_nm, d) if one.left_nm is not None else words.NONE
    if one.interval is not None:
        left += f" ({words.span(one.interval, d)})"
    mark, word = {True: ("yes", "agrees"), False: ("no", "does not agree"), None: ("", "")}[one.fits]
    return PairRow(
        pair=one.pair,
        readings=one.readings,
        measured=words.number(one.measured_nm, d),
        predicted=words.number(one.predicted_nm, d),
        left=left,
        mark=mark,
        word=word,
    )


def _compared(compared: TestsCompared) -> str:
    low, high = (words.signed(one, 0) for one in (compared.allowed_low_pct, compared.allowed_high_pct))
    others = [one.condition for one in compared.conditions if one.change is not None]
    return (
        f"{words.listed(others).capitalize()} beside {compared.before}: a change of {low} to {high} % is "
        "allowed (common practice, no source)."
    )


def _condition(one: ConditionFound, found: JointFound) -> ConditionRow:
    d = found.decimals
    spread = f" ± {words.number(one.sd, d + 1)}" if one.sd is not None else ""
    verdicts = [limit.verdict for limit in one.limits]
    verdicts += [one.change.verdict] if one.change is not None else []
    verdict = _worst(verdicts)
    return ConditionRow(
        condition=one.condition,
        pieces=one.pieces,
        mean=f"{words.number(one.mean, d)}{spread} {found.unit}",
        change=_change(one.change) if one.change is not None else "",
        limits="; ".join(
            f"{limit.side} limit {limit.verdict}" + (f", {limit.beyond} beyond" if limit.beyond else "")
            for limit in one.limits
        ),
        mark=MARK[verdict] if verdict is not None else "",
        word=str(verdict) if verdict is not None else "",
    )


def _worst(verdicts: list[Verdict]) -> Verdict | None:
    order = (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)
    return min(verdicts, key=order.index) if verdicts else None


def _change(change: Change) -> str:
    """−14 % (−17 to −12 %), holds, the same pieces."""
    return change_in_words(change).removeprefix("change ") + (
        ", the same pieces" if change.by_piece else ", other pieces"
    )


def _times(found: JointFound) -> Iterator[TimeRow]:
    if found.relaxation is not None:
        yield _fitted(found.relaxation, found)
    if found.relaxed is not None:
        yield _by_handbook(found.relaxed, found)


def _fitted(fit: RelaxationFit, found: JointFound) -> TimeRow:
    loss = words.percent(fit.loss_per_decade, 1)
    if fit.interval is not None:
        loss += f" ({_percent_span(fit.interval)})"
    source = (
        f"from {count(fit.readings, 'reading')} of this joint, {fit.first_hours:g} to {fit.last_hours:g} h"
    )
    return TimeRow(source=source, loss=loss, after=tuple(_after(one, found) for one in fit.after))


def _after(one: TorqueAfter, found: JointFound) -> str:
    said = words.number(one.torque_nm, found.decimals + 1)
    if one.torque_interval is not None:
        said += f" ({words.span(one.torque_interval, found.decimals + 1)})"
    return f"{said} {found.unit}"


def _by_handbook(relaxed: RelaxedTorque, found: JointFound) -> TimeRow:
    low, high = relaxed.loss_per_decade.low, relaxed.loss_per_decade.high
    return TimeRow(
        source="by the handbook, from the mean worked out",
        loss=f"{words.number(100 * low, 0)} to {words.percent(high, 0)}",
        after=tuple(_span(one, found) for one in (relaxed.torque_24h_nm, relaxed.torque_1000h_nm)),
    )


def _span(span: Span, found: JointFound) -> str:
    low, high = (words.number(one, found.decimals) for one in (span.low, span.high))
    return f"{low} to {high} {found.unit}" if low != high else f"{low} {found.unit}"


def _percent_span(interval: Interval) -> str:
    low, high = (words.number(100 * one, 1) for one in (interval.low, interval.high))
    return f"{low} to {high} %"

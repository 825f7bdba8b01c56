"""Plan a sample: how many pieces to look at, what they let through, and what they do not promise."""

from __future__ import annotations

from typing import Any

from offtool import __version__
from offtool.core.pilot.sampling import (
    AttributePlan,
    StandardPlan,
    attribute_plan,
    demonstrate_reliability,
    find_attribute_plan,
    find_variables_plan,
    follow_switching,
    standard_plan,
    variables_plan,
)
from offtool.core.pilot.sampling.asked import Counted, Severity
from offtool.core.pilot.sampling.chances import share_passing
from offtool.core.values import Caution, ImpossibleInput
from offtool.handbook.sampling_plans import PIECES_UP_TO
from offtool.steps import sampling_sentences as said
from offtool.steps.sampling_asked import (
    Asked,
    FindAsked,
    LotAsked,
    LotsAsked,
    MeasuredAsked,
    OwnAsked,
    ZeroAsked,
)
from offtool.steps.sampling_found import SamplingFound

METHOD = f"offtool {__version__}"
PASSES_OFTEN, PASSES_SELDOM = 0.95, 0.10
"""Chances at which a plan's own good and bad share are read off, where none is given."""


def plan_sampling(asked: Asked) -> SamplingFound:
    """The answer to one question. Raises ImpossibleInput for what cannot be, with the field's name."""
    try:
        return _answered(asked)
    except ImpossibleInput as error:
        if isinstance(error.value, float) and error.value.is_integer():  # 0 pieces, not 0.0
            whole = f"{int(error.value):,}"
            raise ImpossibleInput(error.argument, whole, error.unit, error.limit, error.remedy) from error
        raise


def _answered(asked: Asked) -> SamplingFound:
    match asked:
        case LotAsked():
            return _lot(asked)
        case OwnAsked():
            return _own(asked)
        case FindAsked():
            return _find(asked)
        case ZeroAsked():
            return _zero(asked)
        case MeasuredAsked():
            return _measured(asked)
        case LotsAsked():
            return _lots(asked)


def _found(parts: dict[str, Any], *cautions: tuple[Caution, ...]) -> SamplingFound:
    """The whole answer, every caution once."""
    every = tuple(dict.fromkeys(one for some in cautions for one in some))
    return SamplingFound(method=METHOD, cautions=every, **parts)


def _lot(asked: LotAsked) -> SamplingFound:
    standard = standard_plan(asked.lot, level=asked.level, aql=asked.aql, severity=asked.severity)
    plan = _of_standard(standard, asked)
    return _found(said.of_lot(standard, plan), standard.cautions, plan.cautions)


def _of_standard(standard: StandardPlan, asked: LotAsked) -> AttributePlan:
    """Its operating curve. A reduced plan passes a lot between its two numbers too."""
    flaws = standard.aql > PIECES_UP_TO
    good = asked.good if asked.good is not None else standard.aql / 100
    return _plan(
        standard.pieces,
        standard.refuse - 1,
        good=good,
        bad=asked.bad,
        lot=None if flaws else standard.lot,
        counted="flaws" if flaws else "pieces",
    )


def _own(asked: OwnAsked) -> SamplingFound:
    plan = _plan(
        asked.pieces, asked.accept, good=asked.good, bad=asked.bad, lot=asked.lot, counted=asked.counted
    )
    return _found(said.of_own(plan), plan.cautions)


def _plan(
    pieces: int, accept: int, *, good: float | None, bad: float | None, lot: int | None, counted: Counted
) -> AttributePlan:
    """The plan with both risks; a share that is not given is where the plan itself draws its line."""
    if counted == "flaws" or accept < pieces:
        good = share_passing(PASSES_OFTEN, pieces, accept, counted) if good is None else good
        own = share_passing(PASSES_SELDOM, pieces, accept, counted)
        if bad is None and good >= own:
            limit = f"a plan of {pieces} and {accept} lets such a lot pass less than one time in ten"
            raise ImpossibleInput("good", f"{100 * good:g}", "%", limit, "say what a bad lot is, too")
        bad = own if bad is None else bad
    return attribute_plan(pieces, accept, good=good or 0.01, bad=bad or 0.5, lot=lot, counted=counted)


def _find(asked: FindAsked) -> SamplingFound:
    found = find_attribute_plan(
        asked.good,
        asked.bad,
        producer_risk=asked.producer_risk,
        consumer_risk=asked.consumer_risk,
        lot=asked.lot,
    )
    plan = None
    if found.pieces is not None and found.accept is not None:
        plan = _plan(
            found.pieces, found.accept, good=asked.good, bad=asked.bad, lot=asked.lot, counted="pieces"
        )
    return _found(said.of_found(found, plan), found.cautions)


def _zero(asked: ZeroAsked) -> SamplingFound:
    shown = demonstrate_reliability(
        asked.reliability, confidence=asked.confidence, failures=asked.failures, lot=asked.lot
    )
    plan = None
    if shown.pieces is not None:
        good = None if shown.succeeds_at is None else 1 - shown.succeeds_at
        bad = 1 - asked.reliability
        good = good if good is not None and good < bad else bad / 10
        plan = _plan(shown.pieces, asked.failures, good=good, bad=bad, lot=asked.lot, counted="pieces")
    return _found(said.of_demonstration(shown, plan), shown.cautions)


def _measured(asked: MeasuredAsked) -> SamplingFound:
    if (asked.pieces is None) is not (asked.factor is None):
        missing = "factor" if asked.factor is None else "pieces"
        raise ImpossibleInput(missing, "nothing", "", "must be given with the other", "or leave both blank")
    if asked.pieces is not None and asked.factor is not None:
        plan = variables_plan(
            asked.pieces,
            asked.factor,
            good=asked.good,
            bad=asked.bad,
            spread=asked.spread,
            limits=asked.limits,
        )
    else:
        plan = find_variables_plan(
            asked.good,
            asked.bad,
            spread=asked.spread,
            producer_risk=asked.producer_risk,
            consumer_risk=asked.consumer_risk,
            limits=asked.limits,
        )
    counted = find_attribute_plan(
        asked.good, asked.bad, producer_risk=asked.producer_risk, consumer_risk=asked.consumer_risk
    )
    return _found(said.of_measured(plan, counted, asked), plan.cautions)


def _lots(asked: LotsAsked) -> SamplingFound:
    if not asked.lots:
        remedy = "write one lot a line, its size and what was found"
        raise ImpossibleInput("lots", "none", "", "must be at least one lot", remedy)
    switching = follow_switching(
        list(map(float, asked.lots)),
        list(map(float, asked.found)),
        level=asked.level,
        aql=asked.aql,
        reduced_allowed=asked.reduced_allowed,
    )
    following = None if switching.stopped else _like_the_last(asked, switching.severity)
    more = following.cautions if following is not None else ()
    return _found(said.of_lots(switching, following), switching.cautions, more)


def _like_the_last(asked: LotsAsked, severity: str) -> StandardPlan:
    """The plan for a next lot that is as large as the last one."""
    severities: dict[str, Severity] = {"tightened": "tightened", "reduced": "reduced"}
    return standard_plan(
        asked.lots[-1], level=asked.level, aql=asked.aql, severity=severities.get(severity, "normal")
    )

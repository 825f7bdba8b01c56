"""Where a piece comes from, how sure, why, and what to look at next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify.answers import (
    NONE,
    Answer,
    Counts,
    Identified,
    MakeShare,
    PartAnswer,
)
from offtool.core.samples.identify.conflicts import alike_origins, part_clashes, state_bounds
from offtool.core.samples.identify.hypotheses import Finding, PieceCase, Weight
from offtool.core.samples.identify.next_look import Look, choose_looks
from offtool.core.samples.identify.posterior import PartSum, Summed, sum_out
from offtool.core.values import Caution
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import Stage

EVIDENCE_FOR = 8
"""For so many of the most probable origins the evidence is taken apart; the others say only how probable."""
FROM_ELSEWHERE = 0.5
CAPPED = Caution("what can be changed back, or is only usual, counts twenty to one at most", PRACTICE)
NO_CERTIFICATE = Caution("an opinion from what was seen, not a certificate, and no word on what it is worth")
NOTHING = Caution("nothing was looked at: the answer is what usually turns up")


def identify(case: PieceCase, looks: Sequence[Look] = ()) -> Identified:
    """The probability of every origin of a piece, with what speaks for and against it.

    Bayes' rule over all origins, and none of these; each part is summed out exactly and may be from
    elsewhere (`sum_out`). `looks` is what can still be looked at: the result says what each would tell.

    Returns: Identified. Raises: ImpossibleInput for findings that do not fit the makes.

    Holds when: findings are independent given where the piece is from. Soft ones are not quite: they are
    capped. The probabilities are as good as the record and the shares they start from.
    """
    summed = sum_out(case)
    codes = [one.code for one in case.occasions]
    order = np.argsort(-summed.posterior, kind="stable")
    belonging = {one.case.label: one.belonging() for one in summed.parts}
    strangers = {
        label: found < FROM_ELSEWHERE for label, found in belonging.items() if _is_known(case, label)
    }
    answers = tuple(_answer(summed, strangers, int(at), rank < EVIDENCE_FOR) for rank, at in enumerate(order))
    return Identified(
        answers=answers,
        stages=_stages(summed),
        parts=tuple(
            _part_answer(summed, one, float(belonging[one.case.label][order[0]])) for one in summed.parts
        ),
        alike=alike_origins(summed, looks, codes),
        look_next=choose_looks(summed, looks, codes),
        log_evidence=summed.log_evidence,
        elsewhere=case.elsewhere,
        none_of_these=case.none_of_these,
        cautions=tuple(_cautions(case)),
    )


def _is_known(case: PieceCase, label: str) -> bool:
    """Whether anything was found on this part."""
    return any(part.findings for part in case.parts if part.label == label)


def _answer(summed: Summed, strangers: Mapping[str, NDArray[np.bool_]], at: int, in_full: bool) -> Answer:
    occasions = summed.case.occasions
    is_none = at == len(occasions)
    return Answer(
        code=NONE if is_none else occasions[at].code,
        stage=None if is_none else occasions[at].stage,
        probability=float(summed.posterior[at]),
        prior=float(summed.priors[at]),
        evidence=tuple(_evidence(summed, at)) if in_full else (),
        elsewhere=tuple(label for label, is_stranger in strangers.items() if is_stranger[at]),
    )


def _evidence(summed: Summed, at: int) -> Iterator[Counts]:
    """What each finding counts for this origin, the strongest first."""
    found = [_count("", one, one.log_likelihood, summed.priors, at) for one in summed.case.findings]
    for part in summed.parts:
        for one in part.case.findings:
            most = one.log_likelihood.max()
            of_origins = np.log(part.mixed(np.exp(one.log_likelihood - most))) + most
            found.append(_count(part.case.label, one, of_origins, summed.priors, at))
    yield from sorted(found, key=lambda one: -abs(one.log_odds))


def _count(
    part: str, one: Finding, logs: NDArray[np.float64], priors: NDArray[np.float64], at: int
) -> Counts:
    usual = np.logaddexp.reduce(logs + np.log(priors))
    return Counts(
        part=part,
        about=one.about,
        found=one.found,
        weight=one.weight,
        log_odds=float(logs[at] - usual),
        capped=one.capped,
    )


def _stages(summed: Summed) -> tuple[tuple[Stage | None, float], ...]:
    shares: dict[Stage | None, float] = {}
    for one, share in zip(summed.case.occasions, summed.posterior, strict=False):
        shares[one.stage] = shares.get(one.stage, 0.0) + float(share)
    shares[None] = float(summed.posterior[-1])
    return tuple(sorted(shares.items(), key=lambda item: -item[1]))


def _part_answer(summed: Summed, part: PartSum, belongs: float) -> PartAnswer:
    shares = part.makes_given(summed.posterior)
    makes = [*part.case.makes, None]
    order = np.argsort(-shares, kind="stable")
    states: dict[tuple[str, str], float] = {}
    for make, share in zip(part.case.makes, shares, strict=False):
        states[make.tool, make.state] = states.get((make.tool, make.state), 0.0) + float(share)
    return PartAnswer(
        label=part.case.label,
        makes=tuple(MakeShare(make=makes[at], probability=float(shares[at])) for at in order),
        states=tuple(
            (tool, state, share) for (tool, state), share in sorted(states.items(), key=lambda item: -item[1])
        ),
        belongs=belongs,
        bounds=state_bounds(part.case),
        clashes=part_clashes(part.case),
    )


def _cautions(case: PieceCase) -> Iterator[Caution]:
    findings = [*case.findings, *(one for part in case.parts for one in part.findings)]
    if not findings:
        yield NOTHING
    if any(one.capped and one.weight is Weight.SOFT for one in findings):
        yield CAPPED
    yield NO_CERTIFICATE

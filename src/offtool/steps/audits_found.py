"""The audits of a pilot: welds pulled and joints turned, against what is asked and the release."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from offtool.core.pilot.yields import AuditsJudged, judge_audits
from offtool.core.values import Caution, OfftoolError, Verdict
from offtool.core.welding.cautions import PULLING
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind
from offtool.records.models import Joint, PilotAudit, Seam
from offtool.steps.joint_evidence import JointInRecord
from offtool.steps.judge_seam import strength_of_seam
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.pilot_counted import CONFIDENCE
from offtool.steps.pilot_found import AuditSeen
from offtool.steps.pilot_in_record import PilotInRecord
from offtool.steps.sentences import decimals_for

SEAM, JOINT = "seam", "joint"
NO_PULL_ASKED = "say what pull the seam must hold"
NO_LIMIT = "say what the joint must hold, or what its limb weighs"
NOT_RELEASED = (
    "its weld study gives no mean and spread, so the pulls are held against the requirement alone and a weld "
    "that gets weaker is seen late"
)


def audits_found(told: PilotInRecord, measured: SizesMeasured | None = None) -> tuple[AuditSeen, ...]:
    """What was pulled and turned, seams first, each by itself; with the sizes that are looked up already."""
    known = measured or SizesMeasured()
    seams: dict[int, list[PilotAudit]] = defaultdict(list)
    joints: dict[int, list[PilotAudit]] = defaultdict(list)
    for one in told.audits:
        if one.seam_id is not None:
            seams[one.seam_id].append(one)
        elif one.joint_id is not None:
            joints[one.joint_id].append(one)
    return (*(_seam(one, known) for one in seams.values()), *_joints(list(joints.values()), known))


def verdict_of_audits(found: Sequence[AuditSeen]) -> Verdict | None:
    """The worst of them; None where nothing was pulled or turned."""
    if not found:
        return None
    verdicts = {one.judged.verdict if one.judged is not None else Verdict.NOT_SHOWN for one in found}
    return next(one for one in (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS) if one in verdicts)


def _seam(audits: Sequence[PilotAudit], measured: SizesMeasured) -> AuditSeen:
    seam = audits[0].seam
    assert isinstance(seam, Seam)  # noqa: S101 for the type checker
    if seam.required_n is None:
        return _seen(audits, SEAM, seam, "pull", "N", 0, None, NO_PULL_ASKED)
    strength = strength_of_seam(seam.programme.slug, seam.code, measured)
    released = strength if strength is not None and strength.sd_n else None
    try:
        judged = _judged(
            audits,
            lower=seam.required_n,
            upper=None,
            mean=released.mean_n if released is not None else None,
            sd=released.sd_n if released is not None else None,
        )
    except OfftoolError as error:
        return _seen(audits, SEAM, seam, "pull", "N", 0, None, str(error))
    return _seen(audits, SEAM, seam, "pull", "N", 0, judged, "")


def _joints(each: Sequence[Sequence[PilotAudit]], measured: SizesMeasured) -> Iterator[AuditSeen]:
    for audits in each:
        joint = audits[0].joint
        assert isinstance(joint, Joint)  # noqa: S101 for the type checker
        facts = JOINT_KINDS[JointKind(joint.kind)]
        sizes = [one.characteristic for one in joint.sizes.all() if one.characteristic is not None]
        lower, upper = (one.value for one in JointInRecord(joint, measured.latest(sizes)).limits)
        decimals = decimals_for(lower, upper, lower or upper or 1.0)
        try:
            judged, why = _judged(audits, lower=lower, upper=upper), ""
        except OfftoolError as error:
            judged, why = None, NO_LIMIT if lower is None and upper is None else str(error)
        yield _seen(audits, JOINT, joint, facts.measure, facts.unit, decimals, judged, why)


def _judged(
    audits: Sequence[PilotAudit], *, lower: float | None, upper: float | None, mean: float | None = None,
    sd: float | None = None,
) -> AuditsJudged:  # fmt: skip
    hours = [one.hour for one in audits if one.hour is not None]
    return judge_audits(
        [one.value for one in audits],
        hours=hours if len(hours) == len(audits) else (),
        lower=lower,
        upper=upper,
        released_mean=mean,
        released_sd=sd,
        confidence=CONFIDENCE,
    )


def _seen(
    audits: Sequence[PilotAudit], kind: str, what: Seam | Joint, measure: str, unit: str, decimals: int,
    judged: AuditsJudged | None, why_not: str,
) -> AuditSeen:  # fmt: skip
    return AuditSeen(
        kind=kind, code=what.code, name=what.name or what.code, measure=measure, unit=unit, decimals=decimals,
        readings=len(audits), judged=judged, why_not=why_not,
    )  # fmt: skip


def audit_cautions(found: Sequence[AuditSeen]) -> Iterator[Caution]:
    """What must be said beside them."""
    if found:
        yield PULLING
    for one in found:
        if one.kind == SEAM and one.judged is not None and one.judged.released_mean is None:
            yield Caution(f"{one.name}: {NOT_RELEASED}")
    for one in found:
        if one.judged is not None:
            yield from (Caution(f"{one.name}: {said.text}", said.source) for said in one.judged.cautions)

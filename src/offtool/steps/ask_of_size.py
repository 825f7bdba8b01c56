"""What a joint asks of a size, over what its drawing says: made and dropped, one that counts a size."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from math import isfinite

from offtool.core.values import ImpossibleInput, OfftoolError, nearest
from offtool.handbook.terms import LARGEST_NUMBER
from offtool.records.models import Characteristic, Joint, JointDemand
from offtool.records.operations import NewDemand, drop_joint_demand, keep_demand
from offtool.records.queries import demands_counting, find_joint, find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.what_is_asked import size_key, size_named


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeDemanded:
    """What a joint now asks of a size."""

    programme: str
    joint: str
    size: str
    unit: str
    target: float
    lower: float | None
    upper: float | None
    reason: str
    made_at: datetime
    made_by: str
    demand_id: int


def ask_of_size(
    programme: str,
    joint: str,
    size: str,
    *,
    target: float,
    lower: float | None,
    upper: float | None,
    reason: str,
    made_at: datetime,
    made_by: str,
) -> SizeDemanded:
    """Let a joint ask that the mean of a size be at the target, with ends that it can do with.

    Raises NotInRecord for names that are not there, and for a size that is none of the joint's;
    ImpossibleInput for a target outside the ends; OfftoolError without a reason, and for a size of which
    something is asked already.
    """
    found = find_joint(find_programme(programme), joint)
    asked = _size_of(found, size)
    _refuse_impossible(target, lower, upper, asked.unit)
    if not reason.strip():
        raise OfftoolError("no reason is given", remedy="say why the joint needs it")
    _refuse_second(found, asked)
    new = NewDemand(characteristic=asked, target=target, lower=lower, upper=upper, reason=reason)
    return _shown(found, keep_demand(found, new, made_at=made_at, made_by=made_by))


def drop_demand(programme: str, joint: str, size: str, *, reason: str, made_by: str) -> None:
    """Let what a joint asks of a size count no longer; it stays in the record with the reason.

    Raises NotInRecord for names that are not there, and where the joint asks nothing of the size;
    OfftoolError without a reason.
    """
    found = find_joint(find_programme(programme), joint)
    counting = {size_key(one.characteristic): one for one in demands_counting(found)}
    asked = size_named(
        [one.characteristic for one in counting.values()], size, not_there=f"that {joint} asks of"
    )
    drop_joint_demand(counting[size_key(asked)], reason, made_by=made_by)


def _size_of(joint: Joint, size: str) -> Characteristic:
    """The characteristic of that name among the joint's sizes, by its role too. Raises NotInRecord."""
    sizes = [one for one in joint.sizes.all() if one.characteristic is not None]
    for one in sizes:
        if one.role == size.strip() and one.characteristic is not None:
            return one.characteristic
    measured = [one.characteristic for one in sizes if one.characteristic is not None]
    try:
        return size_named(measured, size, not_there=f"of joint {joint.code}")
    except NotInRecord as error:
        raise NotInRecord(error.what, remedy=nearest(size, map(size_key, measured))) from error


def _refuse_impossible(target: float, lower: float | None, upper: float | None, unit: str) -> None:
    for name, value in (("target", target), ("lower", lower), ("upper", upper)):
        if value is not None and not (isfinite(value) and abs(value) <= LARGEST_NUMBER):
            raise ImpossibleInput(name, value, unit, "must be a finite number", "give the size in numbers")
    if lower is not None and lower > target:
        raise ImpossibleInput(
            "lower", lower, unit, f"must not be above the target {target:g}", "mend one of them"
        )
    if upper is not None and upper < target:
        raise ImpossibleInput(
            "upper", upper, unit, f"must not be below the target {target:g}", "mend one of them"
        )


def _refuse_second(joint: Joint, asked: Characteristic) -> None:
    first = JointDemand.objects.filter(characteristic=asked, dropped="").select_related("joint").first()
    if first is not None:
        raise OfftoolError(
            f"joint {first.joint.code} asks {first.target:g} {asked.unit} of {size_key(asked)} already",
            where="" if first.joint_id == joint.pk else f"joint {joint.code}",
            remedy="drop that demand first",
        )


def _shown(joint: Joint, demand: JointDemand) -> SizeDemanded:
    return SizeDemanded(
        programme=joint.programme.slug,
        joint=joint.code,
        size=size_key(demand.characteristic),
        unit=demand.characteristic.unit,
        target=demand.target,
        lower=demand.lower,
        upper=demand.upper,
        reason=demand.reason,
        made_at=demand.made_at,
        made_by=demand.made_by,
        demand_id=demand.pk,
    )

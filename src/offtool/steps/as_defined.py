"""A joint or a seam as it was defined: what a change starts from."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from offtool.records.models import Joint, JointSize, Seam, SeamSize
from offtool.records.queries import find_joint, find_programme, find_seam
from offtool.steps.define_joint import JointDefined
from offtool.steps.define_seam import SeamDefined
from offtool.steps.sizes_given import SizeSaid
from offtool.steps.what_is_asked import size_key


def joint_as_defined(programme: str, code: str) -> JointDefined:
    """What `change_joint` would leave as it is. Raises NotInRecord."""
    joint = find_joint(find_programme(programme), code)
    sizes = {one.role: _joint_size(one) for one in joint.sizes.select_related("characteristic__part")}
    return JointDefined(**_columns(joint, JointDefined, "sizes"), sizes=sizes)


def seam_as_defined(programme: str, code: str) -> SeamDefined:
    """What `change_seam` would leave as it is. Raises NotInRecord."""
    seam = find_seam(find_programme(programme), code)
    sizes = {one.role: SizeSaid(**_said(one)) for one in sorted(seam.sizes.all(), key=lambda one: one.pk)}
    return SeamDefined(
        **_columns(seam, SeamDefined, "sizes", "top_part", "bottom_part"),
        top_part=seam.top_part.code,
        bottom_part=seam.bottom_part.code,
        sizes=sizes,
    )


def _columns(kept: Joint | Seam, defined: Any, *but: str) -> dict[str, Any]:
    return {one.name: getattr(kept, one.name) for one in fields(defined) if one.name not in but}


def _joint_size(one: JointSize) -> SizeSaid:
    return SizeSaid(**_said(one), factor=one.factor, angle_deg=one.angle_deg, angle_role=one.angle_role)


def _said(one: JointSize | SeamSize) -> dict[str, Any]:
    size = size_key(one.characteristic) if one.characteristic is not None else ""
    return {"size": size, "value": one.value, "plus_minus": one.plus_minus}

"""The kinds of welded seam and the sizes each has: one table for record, forms and mathematics."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from offtool.handbook.joint_kinds import Role
from offtool.handbook.terms import SeamKind

_WIDTH = Role(name="joint_width", meaning="width of the faces that meet", side="")
_LENGTH = Role(name="seam_length", meaning="length of the seam, all round", side="")
_RIDGE = (
    Role(name="ridge_height", meaning="height of the ridge", side="outer"),
    Role(
        name="ridge_angle_deg", meaning="angle at the tip of the ridge", side="outer", unit="deg", usual=90.0
    ),
)
_OPEN_HEIGHT = Role(
    name="open_height", meaning="height of the two parts laid together before welding", side="", usual=0.0
)

SEAM_KINDS: Mapping[SeamKind, tuple[Role, ...]] = MappingProxyType(
    {
        SeamKind.RIDGE: (_WIDTH, _LENGTH, *_RIDGE, _OPEN_HEIGHT),
        SeamKind.STEP: (
            *(_WIDTH, _LENGTH, *_RIDGE),
            Role(name="side_gap", meaning="gap at the side of the step, each side", side=""),
            Role(name="shadow_gap", meaning="gap left to be seen outside; 0 for none", side="", usual=0.0),
            _OPEN_HEIGHT,
        ),
        SeamKind.GROOVE: (
            *(_WIDTH, _LENGTH, *_RIDGE),
            Role(name="tongue_width", meaning="width of the tongue that carries the ridge", side="outer"),
            Role(name="groove_width", meaning="width of the groove", side="inner"),
            Role(
                name="groove_depth", meaning="room under the tongue, to the floor of the groove", side="inner"
            ),
            _OPEN_HEIGHT,
        ),
        SeamKind.SHEAR: (
            _LENGTH,
            Role(name="interference", meaning="overlap, each side", side=""),
            Role(name="weld_depth", meaning="how deep the parts are driven into each other", side=""),
            Role(name="wall", meaning="thickness of the wall that is melted", side="outer"),
            Role(name="largest_dimension", meaning="largest dimension of the part at the seam", side=""),
            Role(name="lead_deg", meaning="angle of the lead-in", side="", unit="deg", usual=45.0),
            _OPEN_HEIGHT,
        ),
    }
)
"""Sizes of each kind; 0 for the open height means that it is not known."""

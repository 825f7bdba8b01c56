"""The kinds of joint: which sizes each has, what is read of it, and which end of that reading is loose.

One table for the record, the forms, the commands and the mathematics.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from offtool.handbook.terms import JointKind

Side = Literal["inner", "outer", ""]
MOST_LINKS = 60
"""Sizes of a chain or a loop; more are several chains."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Role:
    """One size of a kind of joint; `usual` stands where it is not given, None where it must be."""

    name: str
    meaning: str
    side: Side
    unit: str = "mm"
    usual: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfJoint:
    """What a kind of joint is made of. Without roles its sizes are the links that the user names."""

    kind: JointKind
    meaning: str
    measure: str
    unit: str
    loose_is: Literal["low", "high"]
    uses_friction: bool
    uses_materials: bool
    """Whether stiffness and strain of the two sides count."""
    roles: tuple[Role, ...] = ()

    def role(self, name: str) -> Role | None:
        """The role of that name."""
        return next((one for one in self.roles if one.name == name), None)


_PEG = Role(name="peg_diameter", meaning="diameter of the peg", side="inner")
_BORE = Role(name="socket_bore", meaning="bore of the socket", side="outer")
_OUTER = Role(name="socket_outer", meaning="outer diameter of the socket", side="outer")
_LENGTH = Role(name="contact_length", meaning="length over which peg and socket touch", side="")

JOINT_KINDS: Mapping[JointKind, KindOfJoint] = MappingProxyType(
    {
        one.kind: one
        for one in (
            KindOfJoint(
                kind=JointKind.PEG,
                meaning="a round peg pressed into a closed round socket; it turns with friction",
                measure="breakaway torque",
                unit="N·m",
                loose_is="low",
                uses_friction=True,
                uses_materials=True,
                roles=(
                    *(_PEG, _BORE, _OUTER, _LENGTH),
                    Role(name="peg_bore", meaning="bore through the peg", side="inner", usual=0.0),
                ),
            ),
            KindOfJoint(
                kind=JointKind.CLIP,
                meaning="a round peg in a socket that is slit or open at one side, which springs open",
                measure="breakaway torque",
                unit="N·m",
                loose_is="low",
                uses_friction=True,
                uses_materials=True,
                roles=(
                    *(_PEG, _BORE, _OUTER, _LENGTH),
                    Role(
                        name="opening_deg",
                        meaning="angle of the opening, seen from the middle; 0 for a narrow slit",
                        side="outer",
                        unit="deg",
                        usual=0.0,
                    ),
                ),
            ),
            KindOfJoint(
                kind=JointKind.BALL,
                meaning="a ball snapped into a round socket past its lip; it turns every way",
                measure="breakaway torque",
                unit="N·m",
                loose_is="low",
                uses_friction=True,
                uses_materials=True,
                roles=(
                    Role(name="ball_diameter", meaning="diameter of the ball", side="inner"),
                    Role(name="socket_bore", meaning="diameter of the round hollow", side="outer"),
                    Role(name="opening_diameter", meaning="diameter of the lip", side="outer"),
                    _OUTER,
                ),
            ),
            KindOfJoint(
                kind=JointKind.SNAP,
                meaning="a finger that bends past an undercut and springs back behind it",
                measure="pull-off force",
                unit="N",
                loose_is="low",
                uses_friction=True,
                uses_materials=True,
                roles=(
                    Role(name="beam_length", meaning="length of the finger", side="inner"),
                    Role(name="root_thickness", meaning="thickness of the finger at its root", side="inner"),
                    Role(
                        name="tip_share",
                        meaning="thickness at the tip over that at the root",
                        side="inner",
                        unit="1",
                        usual=1.0,
                    ),
                    Role(
                        name="width",
                        meaning="width of the finger; of a trapezoid, the side in tension",
                        side="inner",
                    ),
                    Role(
                        name="width_share",
                        meaning="width in compression over the width in tension",
                        side="inner",
                        unit="1",
                        usual=1.0,
                    ),
                    Role(name="undercut", meaning="how far the finger hooks behind the edge", side="outer"),
                    Role(
                        name="lead_deg",
                        meaning="angle at which it is pushed in",
                        side="inner",
                        unit="deg",
                        usual=30.0,
                    ),
                    Role(
                        name="hold_deg",
                        meaning="angle at which it is pulled off",
                        side="inner",
                        unit="deg",
                        usual=45.0,
                    ),
                ),
            ),
            KindOfJoint(
                kind=JointKind.BOSS,
                meaning="a thread-forming screw driven into a plain hole of a boss",
                measure="pull-out force",
                unit="N",
                loose_is="low",
                uses_friction=False,
                uses_materials=True,
                roles=(
                    Role(name="screw_diameter", meaning="outer diameter of the thread", side="inner"),
                    Role(name="screw_core", meaning="core diameter of the thread", side="inner"),
                    Role(name="screw_pitch", meaning="pitch of the thread", side="inner"),
                    Role(name="boss_bore", meaning="bore of the boss", side="outer"),
                    Role(name="boss_outer", meaning="outer diameter of the boss", side="outer"),
                    Role(name="engagement", meaning="length of thread in the boss", side=""),
                ),
            ),
            KindOfJoint(
                kind=JointKind.SLIP,
                meaning="a pin that moves freely in a bore, or a hole that locates on a pin",
                measure="clearance",
                unit="mm",
                loose_is="high",
                uses_friction=False,
                uses_materials=False,
                roles=(
                    Role(name="shaft_diameter", meaning="diameter of the shaft or pin", side="inner"),
                    Role(name="bore_diameter", meaning="diameter of the bore", side="outer"),
                ),
            ),
            KindOfJoint(
                kind=JointKind.CHAIN,
                meaning="sizes in a row that add up to a gap, each with its factor, +1 or −1",
                measure="gap",
                unit="mm",
                loose_is="high",
                uses_friction=False,
                uses_materials=False,
            ),
            KindOfJoint(
                kind=JointKind.LOOP,
                meaning="sizes with directions in a plane that close on themselves; the gap closes them",
                measure="gap",
                unit="mm",
                loose_is="high",
                uses_friction=False,
                uses_materials=False,
            ),
        )
    }
)
"""Every kind of joint; roles are named as in the formulas of `offtool.core.joints`."""

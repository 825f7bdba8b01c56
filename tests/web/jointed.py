"""The small invented record with an arm beside the torso: its peg turns in the hip socket of the torso."""

from __future__ import annotations

from datetime import date

import numpy as np

from offtool.handbook.terms import Half, SizeKind, Stated
from offtool.records.models import (
    Cavity,
    Characteristic,
    Move,
    Part,
    Programme,
    Resin,
    SteelFeature,
    SteelSize,
    Tool,
    ToolState,
)
from offtool.steps.define_joint import JointDefined, define_joint
from offtool.steps.keep_joint_test import JointTestAbout, JointTestKept, keep_joint_test
from offtool.steps.read_readings import TrialAbout, keep_readings
from offtool.steps.sizes_given import Said, SizeSaid
from tests.web import otter

JOINT = f"/p/{otter.SLUG}/joints/shoulder/"
JOINTS = f"/p/{otter.SLUG}/joints/"
PEG_MM = 4.10
SIZES: dict[str, Said] = {
    "peg_diameter": "HO-04 2",
    "socket_bore": "HO-02 13",
    "socket_outer": 7.2,
    "contact_length": (4.0, 0.1),
}
CHAIN: dict[str, Said] = {
    "opening": SizeSaid(size="HO-02 32"),
    "peg": SizeSaid(size="HO-04 2", factor=-1),
    "torso": SizeSaid(size="HO-02 31", factor=-1),
    "room": SizeSaid(value=18.2, plus_minus=0.05),
}


def make_arm(*, cavities: int = 2, parts: int = 10, seed: int = 11) -> None:
    """The arm with its tool, in one steel state, and its first trial read."""
    programme = Programme.objects.get(slug=otter.SLUG)
    resin = Resin.objects.create(
        programme=programme, code="POM", flow_pct=2.0, cross_pct=2.0, thickness_pct=2.0, density_g_cm3=1.41
    )
    arm = Part.objects.create(programme=programme, code="HO-04", name="Arm", resin=resin)
    size = Characteristic.objects.create(
        part=arm, number="2", name="Shoulder peg", kind=SizeKind.DIAMETER, unit="mm", nominal=PEG_MM,
        lower=PEG_MM - 0.05, upper=PEG_MM + 0.15,
    )  # fmt: skip
    tool = Tool.objects.create(programme=programme, code="M3", name="Arms")
    state = ToolState.objects.create(tool=tool, label="a", ordinal=1, made_on=date(2026, 2, 20))
    feature = SteelFeature.objects.create(
        tool=tool, part=arm, code="PEG", half=Half.CAVITY, stated=Stated.DIAMETER, can_add=False,
        size_change_per_mm=1.0, drawn_mm=4.184,
    )  # fmt: skip
    Move.objects.create(feature=feature, characteristic=size, factor=1.0, forms=True)
    for i in range(cavities):
        place = Cavity.objects.create(tool=tool, part=arm, label=str(i + 1))
        SteelSize.objects.create(
            feature=feature, cavity=place, state=state, measured_mm=4.184, allowance_mm=0.2
        )
    keep_readings(
        arm_csv(cavities, parts, seed), "M3_T1.csv", programme=otter.SLUG, tool="M3", trial="T1",
        read_at=otter.NOW, read_by="the gauge room", about=TrialAbout(shot_on=otter.NOW.date()),
    )  # fmt: skip


def arm_csv(cavities: int, parts: int, seed: int) -> bytes:
    """Readings of the peg; each cavity a hundredth larger than the one before."""
    random = np.random.default_rng(seed)
    rows = ["Shot,Cavity,2 Shoulder peg"]
    for shot in range(1, parts + 1):
        for cavity in range(1, cavities + 1):
            rows.append(f"{shot},{cavity},{PEG_MM + 0.01 * (cavity - 1) + random.normal(0, 0.003):.3f}")
    return "\n".join(rows).encode()


def a_joint(code: str = "shoulder", **changed: object) -> str:
    """The arm's peg in the torso, or another joint."""
    given: dict[str, object] = {
        "code": code, "kind": "peg in socket", "sizes": SIZES, "lower": 0.08, "upper": 0.3,
    } | changed  # fmt: skip
    return define_joint(otter.SLUG, JointDefined(**given), made_by="tester")  # type: ignore[arg-type]


def a_chain(code: str = "stack", **changed: object) -> str:
    """A gap of two parts and three sizes."""
    given: dict[str, object] = {"kind": "chain of sizes", "sizes": CHAIN, "lower": 0.0, "upper": 0.4}
    return a_joint(code, **(given | changed))


def torque_csv(pieces: int = 8) -> str:
    """Torques of pieces of every pair of cavities, fresh after an hour and a day, then aged."""
    rows = ["Piece,HO-04 cavity,HO-02 cavity,Condition,Hours,Breakaway torque [N·m]"]
    for condition, hours, share in (("fresh", 1, 1.0), ("fresh", 24, 0.9), ("aged", 200, 0.8)):
        for i in range(pieces):
            inner, outer = i % 2 + 1, i // 2 % 4 + 1
            rows.append(f"{i + 1},{inner},{outer},{condition},{hours},{share * (0.05 + 0.01 * inner):.4f}")
    return "\n".join(rows)


def keep_test(name: str = "torque 1", joint: str = "shoulder") -> JointTestKept:
    return keep_joint_test(
        torque_csv().encode(), "torque.csv", programme=otter.SLUG, joint=joint, test=name,
        about=JointTestAbout(done_on=date(2026, 3, 20)), read_at=otter.NOW, read_by="assembly",
    )  # fmt: skip

"""The joints of the harbour otter, and the pieces of each trial that were put together and turned.

The drawing gives pegs and sockets the same limits, 4.0 +0.03/-0.02 and 5.0 +0.03/-0.02: each piece passes by
itself, and two that pass can make a loose joint. That is found when they are put together. All is invented.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

import numpy as np
from examples.otter_story.drawings import TOOLS, ToolDrawing
from examples.otter_story.hidden import TORQUE_SD_NM, TRUE_JOINTS, TrueJoint
from examples.otter_story.programme import SLUG
from numpy.random import Generator
from numpy.typing import NDArray

from offtool.steps.define_joint import JointDefined, define_joint
from offtool.steps.keep_joint_test import JointTestAbout, keep_joint_test
from offtool.steps.sizes_given import SizeSaid

GAUGE = "TRQ-04"
LEAST_NM, MOST_NM = 0.01, 0.08

SHOULDER = JointDefined(
    code="shoulder",
    name="arm in the torso front",
    kind="peg in socket",
    sizes={
        "peg_diameter": "HO-04 2",
        "socket_bore": "HO-02 4",
        "socket_outer": TRUE_JOINTS["shoulder"].outer_mm,
        "contact_length": TRUE_JOINTS["shoulder"].length_mm,
    },
    lower=LEAST_NM,
    upper=0.15,
    limb_mass_g=1.35,
    lever_mm=17.0,
)
HIP = JointDefined(
    code="hip",
    name="leg in the torso front",
    kind="peg in clip",
    sizes={
        "peg_diameter": "HO-05 2",
        "socket_bore": "HO-02 5",
        "socket_outer": 8.4,
        "contact_length": 5.0,
        "opening_deg": 0.0,
    },
    lower=LEAST_NM,
    upper=MOST_NM,
    limb_mass_g=2.1,
    lever_mm=20.0,
    note="the socket is slit at its back",
)
TAIL = JointDefined(
    code="tail",
    name="tail in the torso back",
    kind="peg in socket",
    sizes={
        "peg_diameter": "HO-06 3",
        "socket_bore": "HO-03 4",
        "socket_outer": TRUE_JOINTS["tail"].outer_mm,
        "contact_length": TRUE_JOINTS["tail"].length_mm,
    },
    lower=LEAST_NM,
    upper=MOST_NM,
    limb_mass_g=4.2,
    lever_mm=24.0,
)
TAIL_FINGER = JointDefined(
    code="tail-finger",
    name="finger behind the tail's rib",
    kind="cantilever snap",
    sizes={"beam_length": 7.0, "root_thickness": 1.2, "width": 4.0, "undercut": "HO-06 6"},
    lower=4.0,
    upper=25.0,
    inner_resin="ABS",
    note="the finger stands in the tail's socket; only the rib is measured",
)
PINS = JointDefined(
    code="pins",
    name="locating pin of the torso",
    kind="chain of sizes",
    sizes={"hole pitch": SizeSaid(size="HO-03 8"), "pin pitch": SizeSaid(size="HO-02 8", factor=-1.0)},
    lower=-0.06,
    upper=0.06,
    note="what the pins can give before the halves bind",
)
JOINTS = (SHOULDER, HIP, TAIL, TAIL_FINGER, PINS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """Pieces of two trials put together, so many of each pair of cavities, and turned at these hours."""

    joint: str
    name: str
    peg_trial: str
    socket_trial: str
    pieces: int
    hours: tuple[float, ...]
    aged: bool
    done_on: date
    seed: tuple[int, ...]
    note: str
    kept: bool = True
    """Whether it is in the record already; else its file lies in the gauge room."""

    @property
    def file(self) -> str:
        """The file as it came from the bench."""
        return f"{self.joint}_{self.name}_torque.csv"


TESTS = (
    Turned(
        joint="shoulder",
        name="T1",
        peg_trial="M3 T1",
        socket_trial="M1 T1",
        pieces=3,
        hours=(1.0,),
        aged=False,
        done_on=date(2026, 2, 9),
        seed=(41,),
        note="every arm falls by itself, as steel-safe pegs and sockets must; not read again",
    ),
    Turned(
        joint="shoulder",
        name="T2",
        peg_trial="M3 T2",
        socket_trial="M1 T2",
        pieces=3,
        hours=(1.0, 24.0),
        aged=False,
        done_on=date(2026, 3, 2),
        seed=(42,),
        note="",
    ),
    Turned(
        joint="tail",
        name="T2",
        peg_trial="M2 T2",
        socket_trial="M1 T2",
        pieces=8,
        hours=(1.0, 24.0),
        aged=True,
        done_on=date(2026, 3, 2),
        seed=(43,),
        note="aged: 24 h at 60 °C",
    ),
    Turned(
        joint="shoulder",
        name="T3",
        peg_trial="M3 T3",
        socket_trial="M1 T3",
        pieces=6,
        hours=(1.0, 24.0),
        aged=True,
        done_on=date(2026, 3, 23),
        seed=(20260323, 3),
        note="aged: 24 h at 60 °C",
        kept=False,
    ),
)
"""In order of time. The hip was not put together yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueSizes:
    """A size as it truly is in a trial: mean and spread of each cavity."""

    cavities: tuple[str, ...]
    mean: NDArray[np.float64]
    sd: NDArray[np.float64]


SizesOfTrial = Mapping[tuple[str, str], TrueSizes]
"""By part and number, and by tool and trial: ("HO-04 2", "M3 T3")."""


def drawing_of(size: str) -> ToolDrawing:
    """The tool that makes a size."""
    return next(tool for tool in TOOLS if size in [one.key for one in tool.sizes])


_HEADS = "Condition,Hours,Operator,Breakaway torque [mN·m],Running torque [mN·m]"


def torque_file(test: Turned, truth: SizesOfTrial) -> bytes:
    """A row each time that a piece was turned, in mN·m as the gauge shows it."""
    joint, random = TRUE_JOINTS[test.joint], np.random.default_rng(test.seed)
    peg, socket = joint.peg.split()[0], joint.socket.split()[0]
    rows = [
        f"Torque of the {test.joint}, {test.name} (an invented example)",
        f"Torque gauge {GAUGE}" + (f"; {test.note}" if test.note else ""),
        "",
        f"Piece,{peg} cavity,{socket} cavity,{_HEADS}",
    ]
    pieces = list(_pieces(test, joint, truth, random))
    for hours in test.hours:
        left = 1 - joint.loss_per_decade * np.log10(hours)
        rows += [_row(place, "fresh", hours, torque * left, random) for place, torque in pieces]
    if test.aged:
        hours = 2 * test.hours[-1]
        rows += [_row(place, "aged", hours, torque * joint.aged_share, random) for place, torque in pieces]
    return "\n".join([*rows, ""]).encode()


def _pieces(
    test: Turned, joint: TrueJoint, truth: SizesOfTrial, random: Generator
) -> Iterator[tuple[str, float]]:
    """Piece and cavities, and its true torque after an hour."""
    pegs, sockets = truth[joint.peg, test.peg_trial], truth[joint.socket, test.socket_trial]
    number = 0
    for i, peg_cavity in enumerate(pegs.cavities):
        for j, socket_cavity in enumerate(sockets.cavities):
            for _ in range(test.pieces):
                number += 1
                peg = random.normal(pegs.mean[i], pegs.sd[i])
                bore = random.normal(sockets.mean[j], sockets.sd[j])
                holds = 1 + joint.friction_sd * random.normal()
                torque = holds * float(joint.torque_nm(np.asarray(peg), np.asarray(bore)))
                yield f"{number},{peg_cavity},{socket_cavity}", torque


def _row(place: str, condition: str, hours: float, torque: float, random: Generator) -> str:
    """What turns freely shows nothing; what holds is read with the gauge's scatter."""
    who = "Early" if hours < 2 else "Late"
    found = (torque, torque * random.uniform(0.78, 0.86))
    shown = (max(one + random.normal(0, TORQUE_SD_NM), 0.0) if torque > 0 else 0.0 for one in found)
    return ",".join([place, condition, f"{hours:g}", who, *(f"{1000 * one:.0f}" for one in shown)])


def define_joints(made_by: str) -> None:
    """Define every joint in the open record."""
    for joint in JOINTS:
        define_joint(SLUG, joint, made_by=made_by)


def keep_torques(files: Mapping[tuple[str, str], bytes], read_by: str) -> None:
    """Keep the tests that are in the record where the demo begins."""
    for test in TESTS:
        if test.kept:
            keep_joint_test(
                files[test.joint, test.name],
                test.file,
                programme=SLUG,
                joint=test.joint,
                test=test.name,
                about=JointTestAbout(
                    gauge=GAUGE,
                    inner_trial=test.peg_trial,
                    outer_trial=test.socket_trial,
                    done_on=test.done_on,
                    note=test.note,
                ),
                read_at=datetime.combine(test.done_on, time(16), UTC),
                read_by=read_by,
            )

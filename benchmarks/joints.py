"""An assembled joint of 8 × 8 cavities: ten million combinations, beside the same in plain numpy at once."""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from offtool.core.joints.evidence import JointEvidence

CAVITIES = 8
PEG, BORE, SPREAD = 4.05, 4.0, 0.005
OUTER, LENGTH, GIVE_OR_TAKE = 8.0, 4.0, 0.05
MODULUS, POISSON, FRICTION = 2300.0, 0.39, 0.35
LOWER, UPPER, STRAIN = 0.2, 0.5, 0.018


def cavity_means() -> tuple[np.ndarray, np.ndarray]:
    """Where the cavities of peg and socket stand."""
    rng = np.random.default_rng(3)
    return PEG + rng.normal(0, 0.006, CAVITIES), BORE + rng.normal(0, 0.006, CAVITIES)


def evidence() -> JointEvidence:
    """A peg in a socket, measured in eight cavities each."""
    from offtool.core.joints.evidence import JointEvidence, JointMaterial, SizeGiven, SizeInCavity, Span
    from offtool.handbook.terms import JointKind

    resin = JointMaterial(modulus_mpa=MODULUS, poisson=POISSON, strain_allowed=STRAIN)
    measured = [
        SizeInCavity(role=role, part=part, cavity=str(i + 1), mean=float(mean), sd=SPREAD, parts=8)
        for (role, part), means in zip(
            (("peg_diameter", "arm"), ("socket_bore", "body")), cavity_means(), strict=True
        )
        for i, mean in enumerate(means)
    ]
    return JointEvidence(
        kind=JointKind.PEG,
        measured=tuple(measured),
        given=(
            SizeGiven(role="socket_outer", value=OUTER, plus_minus=GIVE_OR_TAKE),
            SizeGiven(role="contact_length", value=LENGTH, plus_minus=GIVE_OR_TAKE),
        ),
        lower=LOWER,
        upper=UPPER,
        inner=resin,
        outer=resin,
        friction=Span(low=FRICTION - 0.05, high=FRICTION + 0.05),
    )


def assemble(combinations: int) -> None:
    """The whole result: every pair, intervals, contributions and pairing included."""
    from offtool.core.joints.assembled import assemble_joint

    assemble_joint(evidence(), combinations=combinations)


def assemble_plain(combinations: int) -> None:
    """The baseline: the same joints drawn at once by numpy, graded and counted; no interval, nothing else."""
    pegs, bores = cavity_means()
    shape = (CAVITIES, CAVITIES, combinations // CAVITIES**2)
    rng = np.random.default_rng(1)
    peg = rng.normal(pegs[:, None, None], SPREAD, shape)
    bore = rng.normal(bores[None, :, None], SPREAD, shape)
    outer = rng.normal(OUTER, GIVE_OR_TAKE / 3, shape)
    length = rng.normal(LENGTH, GIVE_OR_TAKE / 3, shape)
    ratio = (bore / outer) ** 2
    socket = ((1 + ratio) / (1 - ratio) + POISSON) / MODULUS
    solid = (1 - POISSON) / MODULUS
    pressure = np.maximum(peg - bore, 0) / (bore * (socket + solid))
    torque = FRICTION * pressure * pi * bore**2 * length / 2000
    over = pressure * socket > STRAIN
    for chosen in (over, (torque < LOWER) & ~over, (torque > UPPER) & ~over):
        chosen.mean(axis=2)

"""Shares of assembled joints from a handful of parts a cavity, in worlds whose shares are known exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.joints.assembled import AssembledJoint, AssembledShares, assemble_joint
from offtool.core.joints.evidence import JointEvidence, JointMaterial, SizeGiven, SizeInCavity, Span
from offtool.handbook.terms import JointKind
from tests.coverage.cases import covers

Bools = NDArray[np.bool_]
Array = NDArray[np.float64]
COMBINATIONS = 9_000
LOWER, UPPER = 0.020, 0.040
ABS = JointMaterial(modulus_mpa=2300.0, poisson=0.39, strain_allowed=0.05)
SOCKET_OUTER, LENGTH = 8.0, 4.0
PEG_GIVEN = (
    SizeGiven(role="socket_outer", value=SOCKET_OUTER),
    SizeGiven(role="contact_length", value=LENGTH),
)


@dataclass(frozen=True)
class World:
    """Cavities of a shaft and of a bore: true means and spreads, parts measured, scatter of the gauge."""

    shaft: Array
    bore: Array
    parts: int
    shaft_sd: Sequence[float] = (0.004,)
    bore_sd: Sequence[float] = (0.004,)
    gauge: float = 0.0

    def measured(self, rng: np.random.Generator, roles: tuple[str, str]) -> tuple[SizeInCavity, ...]:
        """What a trial finds."""
        found = []
        for role, part, means, sds in (
            (roles[0], "arm", self.shaft, self.shaft_sd),
            (roles[1], "body", self.bore, self.bore_sd),
        ):
            for i, (mean, sd) in enumerate(zip(means, np.broadcast_to(sds, means.shape), strict=True)):
                read = mean + np.hypot(sd, self.gauge) * rng.normal(size=self.parts)
                found.append(
                    SizeInCavity(
                        role=role, part=part, cavity=str(i), mean=float(read.mean()),
                        sd=float(read.std(ddof=1)), parts=self.parts, gauge_sd=self.gauge,
                    )
                )  # fmt: skip
        return tuple(found)

    def slip(self, rng: np.random.Generator) -> AssembledJoint:
        """The clearance, judged from a trial."""
        measured = self.measured(rng, ("shaft_diameter", "bore_diameter"))
        evidence = JointEvidence(kind=JointKind.SLIP, measured=measured, lower=LOWER, upper=UPPER)
        return assemble_joint(evidence, combinations=COMBINATIONS)

    def true_slip(self) -> Array:
        """Loose, good, tight of every pair: the difference of two normals."""
        sd = np.hypot(
            np.broadcast_to(self.shaft_sd, self.shaft.shape)[:, None],
            np.broadcast_to(self.bore_sd, self.bore.shape)[None],
        )
        clearance = self.bore[None] - self.shaft[:, None]
        loose, tight = special.ndtr((clearance - UPPER) / sd), special.ndtr((LOWER - clearance) / sd)
        return np.stack([loose, 1 - loose - tight, tight], axis=-1)


def held(true: Array, found: AssembledShares) -> list[bool]:
    """Whether each of the three intervals holds its true share."""
    shares = (found.loose, found.good, found.tight)
    return [one in share.interval for one, share in zip(true, shares, strict=True)]


def pairs_held(world: World, rng: np.random.Generator) -> Bools:
    true, found = world.true_slip(), world.slip(rng)
    return np.array([held(true[tuple(map(int, one.cavities))], one.shares) for one in found.pairs]).ravel()


def mix_held(world: World, rng: np.random.Generator) -> Bools:
    return np.array(held(world.true_slip().mean(axis=(0, 1)), world.slip(rng).mix))


ALIKE = World(np.full(3, 4.0), np.full(3, 4.03), 5)
APART = World(4.0 + 0.004 * np.arange(3), 4.03 + 0.003 * np.arange(3), 5)
FINE_TAIL = World(np.full(3, 4.0), np.full(3, 4.03), 8, (0.0025,), (0.003,))
GAUGED = World(4.0 + 0.004 * np.arange(3), 4.03 + 0.003 * np.arange(3), 10, gauge=0.0025)
UNLIKE = World(np.full(3, 4.0), np.full(3, 4.03), 10, (0.003, 0.003, 0.009), (0.004, 0.004, 0.004))


@covers("joint: loose, good, tight of each pair, alike cavities, 5 parts", worlds=400, safe_side=True)
def pairs_alike(rng: np.random.Generator) -> Bools:
    return pairs_held(ALIKE, rng)


@covers("joint: loose, good, tight of each pair, cavities apart, 5 parts", worlds=400, safe_side=True)
def pairs_apart(rng: np.random.Generator) -> Bools:
    return pairs_held(APART, rng)


@covers("joint: loose, good, tight of each pair, small shares, 8 parts", worlds=400, safe_side=True)
def pairs_tail(rng: np.random.Generator) -> Bools:
    return pairs_held(FINE_TAIL, rng)


@covers("joint: loose, good, tight of each pair, gauge taken out, 10 parts", worlds=400, safe_side=True)
def pairs_gauged(rng: np.random.Generator) -> Bools:
    return pairs_held(GAUGED, rng)


@covers("joint: loose, good, tight of each pair, one wild cavity, 10 parts", worlds=400, safe_side=True)
def pairs_unlike(rng: np.random.Generator) -> Bools:
    return pairs_held(UNLIKE, rng)


@covers("joint: loose, good, tight in the mix, alike cavities, 5 parts", worlds=800, safe_side=True)
def mix_alike(rng: np.random.Generator) -> Bools:
    return mix_held(ALIKE, rng)


@covers("joint: loose, good, tight in the mix, cavities apart, 5 parts", worlds=800, safe_side=True)
def mix_apart(rng: np.random.Generator) -> Bools:
    return mix_held(APART, rng)


@covers("joint: loose, good, tight in the mix, small shares, 8 parts", worlds=800, safe_side=True)
def mix_tail(rng: np.random.Generator) -> Bools:
    return mix_held(FINE_TAIL, rng)


@covers("joint: gain of the pairs chosen, cavities apart, 5 parts", worlds=600, safe_side=True)
def gain_apart(rng: np.random.Generator) -> bool:
    return gain_held(APART, rng)


@covers("joint: gain of the pairs chosen, alike cavities, 5 parts", worlds=600, safe_side=True)
def gain_alike(rng: np.random.Generator) -> bool:
    return gain_held(ALIKE, rng)


def gain_held(world: World, rng: np.random.Generator) -> bool:
    good = world.true_slip()[..., 1]
    pairing = world.slip(rng).pairing
    assert pairing is not None
    true = sum(flow.share * good[int(flow.first), int(flow.second)] for flow in pairing.flows) - good.mean()
    return bool(true in pairing.interval)


@covers("joint: a peg in its mix, friction somewhere in its range, 6 parts", worlds=600, safe_side=True)
def peg_mix(rng: np.random.Generator) -> Bools:
    """The truth by quadrature over the interference, friction drawn anew in every world."""
    world = World(4.050 + 0.003 * np.arange(3), 4.0 + 0.003 * np.arange(3), 6)
    friction = rng.uniform(0.25, 0.45)
    evidence = JointEvidence(
        kind=JointKind.PEG, measured=world.measured(rng, ("peg_diameter", "socket_bore")),
        given=PEG_GIVEN, lower=0.2, upper=0.45, inner=ABS, outer=ABS, friction=Span(low=0.25, high=0.45),
    )  # fmt: skip
    found = assemble_joint(evidence, combinations=COMBINATIONS).mix
    low = np.mean([chance_below(0.2, friction, p, b) for p in world.shaft for b in world.bore])
    high = 1 - np.mean([chance_below(0.45, friction, p, b) for p in world.shaft for b in world.bore])
    return np.array(held(np.array([low, 1 - low - high, high]), found))


def chance_below(torque: float, friction: float, peg: float, bore: float) -> float:
    """Lamé turned round for a solid peg of the socket's own resin, normal interference."""
    ratio = (bore / SOCKET_OUTER) ** 2
    give = 2 / (1 - ratio) / ABS.modulus_mpa  # both Poisson's ratios cancel
    interference = torque * 2000 * give / (friction * np.pi * bore * LENGTH)
    return float(special.ndtr((interference - (peg - bore)) / np.hypot(0.004, 0.004)))

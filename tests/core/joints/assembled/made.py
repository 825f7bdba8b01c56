"""Evidence made for tests: shaft and bore, chains, a peg in its socket."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from offtool.core.joints.evidence import JointEvidence, JointMaterial, Link, SizeGiven, SizeInCavity, Span
from offtool.handbook.terms import JointKind

SHAFTS, BORES = (4.000, 4.006, 4.011), (4.030, 4.036, 4.025)
SHAFT_SD, BORE_SD = 0.004, 0.003
LOWER, UPPER = 0.018, 0.036
ABS = JointMaterial(modulus_mpa=2300.0, poisson=0.39, strain_allowed=0.0145)


def cavities(
    role: str, part: str, means: Sequence[float], sd: float, parts: int = 10, **more: Any
) -> tuple[SizeInCavity, ...]:
    """One size in cavities 1, 2, 3 …"""
    return tuple(
        SizeInCavity(role=role, part=part, cavity=str(i + 1), mean=mean, sd=sd, parts=parts, **more)
        for i, mean in enumerate(means)
    )


def slip(
    parts: int = 10, *, shafts: Sequence[float] = SHAFTS, bores: Sequence[float] = BORES
) -> JointEvidence:
    """A shaft in a bore."""
    measured = (
        *cavities("shaft_diameter", "arm", shafts, SHAFT_SD, parts),
        *cavities("bore_diameter", "body", bores, BORE_SD, parts),
    )
    return JointEvidence(kind=JointKind.SLIP, measured=measured, lower=LOWER, upper=UPPER)


def chain(
    given: Sequence[SizeGiven],
    measured: Sequence[SizeInCavity] = (),
    factors: Mapping[str, float] | None = None,
    **more: Any,
) -> JointEvidence:
    """A chain of all these sizes, each opening the gap where no factor says otherwise."""
    names = dict.fromkeys([*(one.role for one in given), *(one.role for one in measured)])
    links = tuple(Link(role=name, factor=(factors or {}).get(name, 1.0)) for name in names)
    return JointEvidence(
        kind=JointKind.CHAIN, given=tuple(given), measured=tuple(measured), links=links, **more
    )


def peg(**more: Any) -> JointEvidence:
    """A peg in two cavities, its socket in two; limits and strain all bite."""
    asked: dict[str, Any] = {
        "measured": (
            *cavities("peg_diameter", "arm", (4.060, 4.045), 0.012),
            *cavities("socket_bore", "body", (4.000, 4.010), 0.012),
        ),
        "given": (
            SizeGiven(role="socket_outer", value=8.0, plus_minus=0.1),
            SizeGiven(role="contact_length", value=4.0, plus_minus=0.3),
        ),
        "lower": 0.25,
        "upper": 0.4,
        "inner": ABS,
        "outer": ABS,
        "friction": Span(low=0.3, high=0.4),
    }
    return JointEvidence(kind=JointKind.PEG, **{**asked, **more})

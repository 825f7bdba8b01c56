"""What joints that spring have in common: what may be asked of them, and what is said of their strain."""

from __future__ import annotations

from offtool.core.joints.evidence import Span
from offtool.core.joints.response import Values
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.friction import RUNNING_SHARE

PRACTICE = "common practice, no source"
REPEATED_SHARE = 0.6
"""Strain allowed again and again over strain allowed once; common practice, makers differ."""

SHORT_TIME = Caution(
    "stiffness and strain are those of a short time: held under strain, a joint loosens as the resin relaxes",
    PRACTICE,
)

FRICTION_LOW = Range(
    meaning="least friction of the pair at the first move", at_least=0, usual=(0.05, 1.5), source=PRACTICE
)
FRICTION_HIGH = Range(
    meaning="most friction of the pair at the first move", at_least=0, usual=(0.05, 1.5), source=PRACTICE
)


def modulus(of: str) -> Range:
    """The range of a modulus of elasticity."""
    return Range(
        meaning=f"short-time (secant) modulus of the {of}",
        unit="MPa",
        above=0,
        usual=(1.0, 250_000.0),
        source="soft elastomers to steel",
    )


def poisson(of: str) -> Range:
    """The range of a Poisson's ratio."""
    return Range(meaning=f"Poisson's ratio of the {of}", at_least=0, at_most=0.5)


def strain_allowed(of: str) -> Range:
    """The range of a permissible strain."""
    return Range(
        meaning=f"strain that the {of} may bear in this use, as a share (0.02 is 2 %)",
        above=0,
        below=1,
        usual=(0.0005, 0.5),
        source=PRACTICE,
        remedy="give a share, not per cent",
    )


def require_order(low: float, high: float) -> None:
    """Refuse a least friction above the most."""
    if low > high:
        raise ImpossibleInput(
            "friction_low", low, "", f"must not be above friction_high {high:g}", "swap the two"
        )


def require_wall(inner: float, outer: float, *, of: str) -> None:
    """Refuse a socket whose outer diameter leaves no wall beside an inner one."""
    if not outer > inner:
        limit = f"must be above that of the {of}, {inner:g} mm: no wall is left"
        raise ImpossibleInput("socket_outer_mm", outer, "mm", limit, "check which of the two is outside")


def span(both: Values) -> Span:
    """The answers to the least and the most friction."""
    return Span(low=float(both[0]), high=float(both[1]))


def running(breakaway: Span) -> Span:
    """What is left of a breakaway torque once it turns."""
    return Span(low=RUNNING_SHARE[0] * breakaway.low, high=RUNNING_SHARE[1] * breakaway.high)


def clearance(mm: float) -> Caution:
    """What is said where interference would be needed."""
    return Caution(
        f"clearance of {mm:.3g} mm: the joint is loose. At a first trial that is expected: steel-safe tools "
        "start so",
        "pegs and balls start small and sockets large, so that steel can be removed",
    )


def strain_cautions(strain: float, allowed: float, where: str) -> tuple[Caution, ...]:
    """What is said of a strain above the allowed one, which is taken as given.

    Whether it is that of a joint assembled once or of one moved again and again is whoever gives it to say:
    see `offtool.core.joints.materials.material_of`.
    """
    if strain <= allowed:
        return ()
    said = f"strain {where} of {strain:.1%} is above the {allowed:.1%} allowed: it can whiten or crack"
    return (Caution(said),)

"""Ranges and checks that the joint formulas share."""

from __future__ import annotations

from offtool.core.values import ImpossibleInput, Range

PRACTICE = "common practice, no source"
GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall, exact by definition."""

PEG_DIAMETER = Range(meaning="diameter of the peg", unit="mm", above=0)
SOCKET_BORE = Range(meaning="bore of the socket", unit="mm", above=0)
SOCKET_OUTER = Range(meaning="outer diameter of the socket", unit="mm", above=0)
CONTACT_LENGTH = Range(meaning="length over which both touch", unit="mm", above=0)
PEG_BORE = Range(meaning="bore through the peg; 0 for a solid peg", unit="mm", at_least=0)

FRICTION_LOW = Range(
    meaning="least friction of the pair at the first move",
    at_least=0,
    usual=(0.05, 1.5),
    source=PRACTICE,
)
FRICTION_HIGH = Range(
    meaning="most friction of the pair at the first move",
    at_least=0,
    usual=(0.05, 1.5),
    source=PRACTICE,
)


def modulus(of: str) -> Range:
    """The range of a modulus of elasticity."""
    return Range(
        meaning=f"short-time modulus of the {of}",
        unit="MPa",
        above=0,
        usual=(1.0, 250_000.0),
        source="soft elastomers to steel",
        remedy="look up the material, or give the modulus from the grade's sheet",
    )


def poisson(of: str) -> Range:
    """The range of a Poisson's ratio."""
    return Range(meaning=f"Poisson's ratio of the {of}", at_least=0, at_most=0.5)


def strain_allowed(of: str) -> Range:
    """The range of a permissible strain."""
    return Range(
        meaning=f"strain that the {of} may bear, as a share (0.02 is 2 %)",
        above=0,
        below=1,
        usual=(0.0005, 0.5),
        source=PRACTICE,
        remedy="give a share, not per cent",
    )


def require_order(low: float, high: float) -> None:
    """Refuse a range of friction whose ends are swapped."""
    if low > high:
        raise ImpossibleInput(
            "friction_low", low, "", f"must not be above friction_high {high:g}", "swap the two"
        )


def require_wall(bore: float, outer: float, *, bore_name: str, outer_name: str, of: str) -> None:
    """Refuse a ring that is thinner than nothing."""
    if not outer > bore:
        raise ImpossibleInput(
            outer_name,
            outer,
            "mm",
            f"must be above {bore_name} {bore:g} mm: the {of} would be thinner than nothing",
            "check which of the two is the outer diameter, and that none is a radius",
        )

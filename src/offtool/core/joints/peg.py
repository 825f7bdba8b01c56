"""A round peg pressed into a closed round socket: both are thick-walled cylinders (Lamé)."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from offtool.core.formulas import formula
from offtool.core.joints.evidence import JointMaterial, Span
from offtool.core.joints.hold import peg_torque_ceiling
from offtool.core.joints.limits import (
    CONTACT_LENGTH,
    FRICTION_HIGH,
    FRICTION_LOW,
    PEG_BORE,
    PEG_DIAMETER,
    PRACTICE,
    SOCKET_BORE,
    SOCKET_OUTER,
    modulus,
    poisson,
    require_order,
    require_wall,
    strain_allowed,
)
from offtool.core.joints.materials import both_sides, one_piece
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.friction import RUNNING_SHARE
from offtool.handbook.terms import JointKind

THICK_REACH = 0.3
"""How far each end of a thick socket stiffens the contact, over the bore: above what finite elements give for
outer diameters of 1.1 to 3 bores."""

WORTH_SAYING = 0.05
"""Ends that stiffen a joint by less than this are not mentioned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFit:
    """What a peg in its socket does. `interference_mm` is on diameter, negative for clearance.

    Strains are the largest principal ones: the growth of the socket's bore, and the largest of the peg's.
    The ranges of torque and force come from that of friction. `ends_factor` is the most by which ends beyond
    the contact raise pressure, torque and strain; the numbers here are without it.
    """

    interference_mm: float
    pressure_mpa: float
    hoop_stress_mpa: float
    socket_strain: float
    peg_strain: float
    strain_use: float
    breakaway_nm: Span
    running_nm: Span
    pull_off_n: Span
    assembly_n: Span
    ends_factor: float
    peg_diameter_mm: float
    socket_bore_mm: float
    socket_outer_mm: float
    contact_length_mm: float
    peg_bore_mm: float
    friction: Span
    cautions: tuple[Caution, ...] = ()

    @property
    def fit(self) -> str:
        """Interference or clearance in words."""
        if self.interference_mm > 0:
            return f"interference of {self.interference_mm:.3f} mm on diameter"
        return f"clearance of {abs(self.interference_mm):.3f} mm: nothing presses, nothing holds"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pressed:
    """The elementwise mechanics; the one place of it."""

    interference: Values
    pressure: Values
    socket_strain: Values
    peg_strain: Values


def _pressed(sizes: Sizes, inner: JointMaterial, outer: JointMaterial) -> _Pressed:
    """p = (delta / d) / (C_s / E_s + C_p / E_p), d the bore of the socket; 0 with clearance."""
    bore, peg = sizes["socket_bore"], sizes["peg_diameter"]
    interference = peg - bore
    socket = _socket_give(bore, sizes["socket_outer"], outer)
    give = bore * (socket + _peg_give(peg, _peg_bore(sizes), inner))
    pressure = np.where(interference > 0, interference / give, 0.0)
    return _Pressed(
        interference=interference,
        pressure=pressure,
        socket_strain=pressure * socket,
        peg_strain=pressure * _peg_worst(peg, _peg_bore(sizes), inner),
    )


def _peg_bore(sizes: Sizes) -> Values:
    return np.asarray(sizes.get("peg_bore", 0.0), dtype=np.float64)


def _socket_give(bore: Values, outer: Values, material: JointMaterial) -> Values:
    """Tangential strain at the bore for each MPa: [(D^2 + d^2) / (D^2 - d^2) + nu] / E."""
    ratio = (bore / outer) ** 2
    return ((1 + ratio) / (1 - ratio) + material.poisson) / material.modulus_mpa


def _peg_give(peg: Values, bore: Values, material: JointMaterial) -> Values:
    """Tangential shortening at the surface for each MPa: [(d^2 + q^2) / (d^2 - q^2) - nu] / E."""
    ratio = (bore / peg) ** 2
    return ((1 + ratio) / (1 - ratio) - material.poisson) / material.modulus_mpa


def _peg_worst(peg: Values, bore: Values, material: JointMaterial) -> Values:
    """Largest principal strain anywhere in the peg for each MPa.

    Solid: 1 - nu across or 2 nu along. Hollow: 2 d^2 / (d^2 - q^2) round its bore, however small the bore is.
    """
    nu = material.poisson
    hollow = 2 / (1 - (bore / peg) ** 2)
    return np.where(bore > 0, hollow, np.maximum(1 - nu, 2 * nu)) / material.modulus_mpa


def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
    """Breakaway torque in N·m at that friction, and the strain used, of every piece."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        inner, outer = both_sides(materials)
        found = _pressed(sizes, inner, outer)
        torque = _torque(found.pressure, sizes["socket_bore"], sizes["contact_length"], friction)
        use = np.maximum(found.socket_strain / outer.strain_allowed, found.peg_strain / inner.strain_allowed)
        real = _possible(sizes)
        return Response(measure=np.where(real, torque, np.nan), strain_use=np.where(real, use, np.nan))


def _torque(pressure: Values, bore: Values, length: Values, friction: Values) -> Values:
    """mu p pi d^2 L / 2, in N·m."""
    return np.asarray(friction * pressure * (pi / 2000) * bore**2 * length)


def _possible(sizes: Sizes) -> Values:
    bore, peg, through = sizes["socket_bore"], sizes["peg_diameter"], _peg_bore(sizes)
    walls = (bore > 0) & (sizes["socket_outer"] > bore) & (peg > through)
    return np.asarray(walls & (through >= 0) & (sizes["contact_length"] > 0))


MODEL = JointModel(kind=JointKind.PEG, respond=respond)


@formula(
    limits={
        "peg_diameter_mm": PEG_DIAMETER,
        "socket_bore_mm": SOCKET_BORE,
        "socket_outer_mm": SOCKET_OUTER,
        "contact_length_mm": CONTACT_LENGTH,
        "peg_bore_mm": PEG_BORE,
        "inner_modulus_mpa": modulus("peg"),
        "inner_poisson": poisson("peg"),
        "inner_strain_allowed": strain_allowed("peg"),
        "outer_modulus_mpa": modulus("socket"),
        "outer_poisson": poisson("socket"),
        "outer_strain_allowed": strain_allowed("socket"),
        "friction_low": FRICTION_LOW,
        "friction_high": FRICTION_HIGH,
        "peg_length_mm": Range(
            meaning="whole length of the peg; blank for the contact's", unit="mm", above=0
        ),
        "socket_length_mm": Range(
            meaning="whole length of the socket; blank for the contact's", unit="mm", above=0
        ),
        "peg_yield_mpa": Range(
            meaning="yield strength of the peg in tension; blank leaves its twisting unchecked",
            unit="MPa",
            above=0,
        ),
    },
    example={
        "peg_diameter_mm": 4.05,
        "socket_bore_mm": 4.0,
        "socket_outer_mm": 8.0,
        "contact_length_mm": 4.0,
        "inner_modulus_mpa": 2300.0,
        "inner_poisson": 0.39,
        "inner_strain_allowed": 0.012,
        "outer_modulus_mpa": 2300.0,
        "outer_poisson": 0.39,
        "outer_strain_allowed": 0.012,
        "friction_low": 0.3,
        "friction_high": 0.5,
    },
    source="Lamé, thick-walled cylinders, plane stress, as in Shigley or Norton, Machine Design, press fits; "
    "ends beyond the contact: shells on an elastic foundation, our upper estimate; running friction: common "
    "practice, no source",
)
def peg_in_socket(
    peg_diameter_mm: float,
    socket_bore_mm: float,
    socket_outer_mm: float,
    contact_length_mm: float,
    *,
    peg_bore_mm: float = 0.0,
    inner_modulus_mpa: float,
    inner_poisson: float,
    inner_strain_allowed: float,
    outer_modulus_mpa: float,
    outer_poisson: float,
    outer_strain_allowed: float,
    friction_low: float,
    friction_high: float,
    peg_length_mm: float | None = None,
    socket_length_mm: float | None = None,
    peg_yield_mpa: float | None = None,
) -> PressFit:
    """How hard a peg sits in its socket: pressure, strain, torque to turn, force to pull off and to assemble.

    p = (delta / d) / {[(D^2 + d^2) / (D^2 - d^2) + nu_s] / E_s + [(P^2 + q^2) / (P^2 - q^2) - nu_p] / E_p};
    torque mu p pi d^2 L / 2, pull-off mu p pi d L, at full depth also the assembly force; d is the bore, P
    the peg, q the bore through it, delta = P - d. Friction once it turns is 0.6 to 0.9 of that at the first
    move. Strain compared: the largest principal one; at the socket's bore (hoop + nu p) / E, the bore's
    growth, which a plug gauge shows.

    Returns: PressFit; with clearance nothing presses. Raises: ImpossibleInput for a wall thinner than
    nothing, a part shorter than the contact, a swapped friction.

    Holds when: both are round, the strain is elastic and fresh (time takes a third or more of the torque in
    plastics), their ends lie level with the contact; longer ends are answered with a caution and its size.

    Example: steel, 50 in 100 mm, 0.025 mm on radius: p = 77.6 MPa, hoop stress 129.4 MPa.
    """
    require_order(friction_low, friction_high)
    require_wall(
        socket_bore_mm,
        socket_outer_mm,
        bore_name="socket_bore_mm",
        outer_name="socket_outer_mm",
        of="socket",
    )
    require_wall(
        peg_bore_mm, peg_diameter_mm, bore_name="peg_bore_mm", outer_name="peg_diameter_mm", of="peg"
    )
    sizes = one_piece(
        peg_diameter=peg_diameter_mm,
        socket_bore=socket_bore_mm,
        socket_outer=socket_outer_mm,
        contact_length=contact_length_mm,
        peg_bore=peg_bore_mm,
    )
    inner = JointMaterial(
        modulus_mpa=inner_modulus_mpa, poisson=inner_poisson, strain_allowed=inner_strain_allowed
    )
    outer = JointMaterial(
        modulus_mpa=outer_modulus_mpa, poisson=outer_poisson, strain_allowed=outer_strain_allowed
    )
    found = _pressed(sizes, inner, outer)
    materials = Materials(inner=inner, outer=outer)
    low, high = (respond(sizes, materials, np.asarray(mu)) for mu in (friction_low, friction_high))
    breakaway = Span(low=float(low.measure), high=float(high.measure))
    # T = F d / 2: the pull-off force is that whose lever is the bore's radius.
    pull = Span(low=2000 * breakaway.low / socket_bore_mm, high=2000 * breakaway.high / socket_bore_mm)
    ends = _ends_factor(sizes, inner, outer, peg_length_mm, socket_length_mm)
    return PressFit(
        interference_mm=float(found.interference),
        pressure_mpa=float(found.pressure),
        hoop_stress_mpa=float(found.socket_strain) * outer_modulus_mpa
        - outer_poisson * float(found.pressure),
        socket_strain=float(found.socket_strain),
        peg_strain=float(found.peg_strain),
        strain_use=float(low.strain_use),
        breakaway_nm=breakaway,
        running_nm=Span(low=RUNNING_SHARE[0] * breakaway.low, high=RUNNING_SHARE[1] * breakaway.high),
        pull_off_n=pull,
        assembly_n=pull,
        ends_factor=ends,
        peg_diameter_mm=peg_diameter_mm,
        socket_bore_mm=socket_bore_mm,
        socket_outer_mm=socket_outer_mm,
        contact_length_mm=contact_length_mm,
        peg_bore_mm=peg_bore_mm,
        friction=Span(low=friction_low, high=friction_high),
        cautions=(
            *_fit_cautions(found),
            *_strain_cautions(found, inner, outer),
            *_ends_cautions(found, ends),
            *_twist_cautions(breakaway, peg_diameter_mm, peg_bore_mm, peg_yield_mpa),
        ),
    )


def _ends_factor(
    sizes: Sizes, inner: JointMaterial, outer: JointMaterial, peg_mm: float | None, socket_mm: float | None
) -> float:
    """The most by which ends beyond the contact raise the pressure.

    A rigid band in a long shell is as stiff as a ring longer by sqrt(r t) / (3 (1 - nu^2))^(1/4) at each
    side; in a thick socket that is too much, and no more than 0.3 bores count (finite elements in the tests).
    A peg's ends help over one radius at each side (Saint-Venant).
    """
    bore, wide, peg = (float(sizes[role]) for role in ("socket_bore", "socket_outer", "peg_diameter"))
    length = float(sizes["contact_length"])
    shell = sqrt((bore + wide) * (wide - bore) / 8) / (3 * (1 - outer.poisson**2)) ** 0.25
    reach = min(shell, THICK_REACH * bore)
    socket = float(_socket_give(sizes["socket_bore"], sizes["socket_outer"], outer))
    solid = float(_peg_give(sizes["peg_diameter"], sizes["peg_bore"], inner))
    stiffer = socket / _stiffer("socket_length_mm", socket_mm, length, reach)
    stiffer += solid / _stiffer("peg_length_mm", peg_mm, length, peg / 2)
    return (socket + solid) / stiffer


def _stiffer(argument: str, whole: float | None, contact: float, reach: float) -> float:
    """How much stiffer a part is than its contact alone, when its ends help over `reach` at both sides."""
    if whole is None:
        return 1.0
    if whole < contact:
        raise ImpossibleInput(
            argument, whole, "mm", f"must be at least the contact, {contact:g} mm", "shorten the contact"
        )
    return 1 + min(whole - contact, 2 * reach) / contact


def _fit_cautions(found: _Pressed) -> tuple[Caution, ...]:
    if found.interference > 0:
        return (
            Caution(
                "the assembly force needs a lead-in: a peg without a chamfer shaves the socket and loses "
                "interference",
                PRACTICE,
            ),
        )
    said = "clearance: the joint is loose. At a first trial that is expected: steel-safe tools start so"
    return (Caution(said, "pegs start small and sockets large, so that steel can be removed"),)


def _strain_cautions(found: _Pressed, inner: JointMaterial, outer: JointMaterial) -> tuple[Caution, ...]:
    sides = (("socket", found.socket_strain, outer), ("peg", found.peg_strain, inner))
    return tuple(
        Caution(
            f"the {side} is strained {float(strain):.1%}, more than the {one.strain_allowed:.1%} it may "
            "bear: it can crack or stay wide, and the torque is less than calculated"
        )
        for side, strain, one in sides
        if strain > one.strain_allowed
    )


def _ends_cautions(found: _Pressed, ends: float) -> tuple[Caution, ...]:
    if found.interference <= 0 or ends < 1 + WORTH_SAYING:
        return ()
    said = f"ends beyond the contact stiffen the joint: pressure and torque are up to {ends - 1:.0%} higher"
    return (Caution(said, "upper estimate, shells on an elastic foundation"),)


def _twist_cautions(torque: Span, peg: float, through: float, yield_mpa: float | None) -> tuple[Caution, ...]:
    if yield_mpa is None:
        return ()
    bears = peg_torque_ceiling(peg, yield_mpa, peg_bore_mm=through)
    if torque.high <= bears.torque_nm:
        return ()
    said = (
        f"the torque of up to {torque.high:.3g} N·m is above half of the {bears.yield_nm:.3g} N·m that twist "
        "the peg off"
    )
    return (Caution(said, f"torsion of a round bar; half: {PRACTICE}"),)

"""Ball in a round socket with a lip: it is snapped in, held all round, and turns every way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import formula
from offtool.core.joints.evidence import JointMaterial, Span
from offtool.core.joints.materials import both_sides, one_piece
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.joints.sprung import (
    FRICTION_HIGH,
    FRICTION_LOW,
    SHORT_TIME,
    clearance,
    modulus,
    poisson,
    require_order,
    require_wall,
    running,
    span,
    strain_allowed,
    strain_cautions,
)
from offtool.core.joints.wedge import greatest_push
from offtool.core.values import Caution, Range
from offtool.handbook.terms import JointKind

_E_PLAIN = (0.44325141463, 0.06260601220, 0.04757383546, 0.01736506451)
_E_LOG = (0.24998368310, 0.09200180037, 0.04069697526, 0.00526449639)
"""The complete elliptic integral E(m) = 1 + sum a_n q^n + sum b_n q^n ln(1/q), q = 1 - m, within 2e-8:
Abramowitz and Stegun 17.3.36, from memory, compared with scipy."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BallInSocket:
    """A ball held in a socket; interference is on the diameter, negative for clearance.

    `covered_deg` runs from the bottom of the hollow to the lip. `across_nm` turns about an axis in the plane
    of the lip, as a limb swings; `about_nm` about the socket's own axis. `past_lip_n` pushes the ball in or
    pulls it out over a square lip. Strains are shares; spans run over the friction.
    """

    interference_mm: float
    stays_in: bool
    covered_deg: float
    pressure_mpa: float
    socket_strain: float
    ball_strain: float
    lip_strain: float
    strain_use: float
    across_nm: Span
    about_nm: Span
    running_across_nm: Span
    running_about_nm: Span
    past_lip_n: Span
    ball_diameter_mm: float
    socket_bore_mm: float
    opening_diameter_mm: float
    socket_outer_mm: float
    inner_modulus_mpa: float
    inner_poisson: float
    inner_strain_allowed: float
    outer_modulus_mpa: float
    outer_poisson: float
    outer_strain_allowed: float
    friction: Span
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "ball_diameter_mm": Range(meaning="diameter of the ball", unit="mm", above=0),
        "socket_bore_mm": Range(meaning="diameter of the round hollow", unit="mm", above=0),
        "opening_diameter_mm": Range(meaning="diameter of the lip", unit="mm", above=0),
        "socket_outer_mm": Range(meaning="outer diameter of the socket", unit="mm", above=0),
        "inner_modulus_mpa": modulus("ball"),
        "inner_poisson": poisson("ball"),
        "inner_strain_allowed": strain_allowed("ball"),
        "outer_modulus_mpa": modulus("socket"),
        "outer_poisson": poisson("socket"),
        "outer_strain_allowed": strain_allowed("socket"),
        "friction_low": FRICTION_LOW,
        "friction_high": FRICTION_HIGH,
    },
    example={
        "ball_diameter_mm": 6.03,
        "socket_bore_mm": 6,
        "opening_diameter_mm": 5.7,
        "socket_outer_mm": 9,
        "inner_modulus_mpa": 2600,
        "inner_poisson": 0.35,
        "inner_strain_allowed": 0.06,
        "outer_modulus_mpa": 1300,
        "outer_poisson": 0.4,
        "outer_strain_allowed": 0.06,
        "friction_low": 0.15,
        "friction_high": 0.25,
    },
    source="Lamé's hollow sphere, Coulomb friction over the covered zone; the lip as the end of a tube "
    "(beam on an elastic foundation)",
)
def ball_in_socket(
    ball_diameter_mm: float,
    socket_bore_mm: float,
    opening_diameter_mm: float,
    socket_outer_mm: float,
    *,
    inner_modulus_mpa: float,
    inner_poisson: float,
    inner_strain_allowed: float,
    outer_modulus_mpa: float,
    outer_poisson: float,
    outer_strain_allowed: float,
    friction_low: float,
    friction_high: float,
) -> BallInSocket:
    """How firmly a socket holds a ball that it covers up to its lip, and what it takes to pass the lip.

    p = (d/2) / (a (k_s / E_s + (1 - 2 nu_b) / E_b)), k_s = (1 - nu)(2 a^3 + b^3) / (2 (b^3 - a^3)) + nu, with
    d the interference, a and b the radii of the hollow and outside. About the axis of the socket, covered to
    the angle t: T = pi mu p r^3 (t - sin t cos t). Across it: T = 4 mu p r^3 times the integral of
    E(sin^2 t) sin t. Strain at the lip: (ball - lip) / lip.

    Returns: BallInSocket. Raises: ImpossibleInput for a socket without wall, frictions that cross.

    Holds when: the socket is as stiff as a whole hollow sphere and presses evenly: its lip makes it softer,
    slots far softer, so pressure and torque are upper bounds. A ball that does not stay in, or has
    clearance, is answered with torque 0. The force past the lip is an estimate, for a lip without slots.

    Example: a sphere covered all round has T = pi^2 mu p r^3 about any axis (by hand).
    """
    require_order(friction_low, friction_high)
    require_wall(socket_bore_mm, socket_outer_mm, of="hollow")
    require_wall(opening_diameter_mm, socket_outer_mm, of="lip")
    sizes = one_piece(
        ball_diameter=ball_diameter_mm,
        socket_bore=socket_bore_mm,
        opening_diameter=opening_diameter_mm,
        socket_outer=socket_outer_mm,
    )
    ball = JointMaterial(
        modulus_mpa=inner_modulus_mpa, poisson=inner_poisson, strain_allowed=inner_strain_allowed
    )
    socket = JointMaterial(
        modulus_mpa=outer_modulus_mpa, poisson=outer_poisson, strain_allowed=outer_strain_allowed
    )
    friction = np.array([friction_low, friction_high])
    found = respond(sizes, Materials(inner=ball, outer=socket), friction)
    held = _held(sizes, ball, socket)
    across = span(found.measure)
    about = span(friction * _torque(sizes, held.pressure, _about(held.covered)))
    return _with_words(
        BallInSocket(
            interference_mm=ball_diameter_mm - socket_bore_mm,
            stays_in=bool(held.stays_in),
            covered_deg=float(np.degrees(held.covered)),
            pressure_mpa=float(held.pressure),
            socket_strain=float(held.socket_strain),
            ball_strain=float(held.ball_strain),
            lip_strain=float(held.lip_strain),
            strain_use=float(found.strain_use),
            across_nm=across,
            about_nm=about,
            running_across_nm=running(across),
            running_about_nm=running(about),
            past_lip_n=_past_lip(sizes, socket, friction),
            ball_diameter_mm=ball_diameter_mm,
            socket_bore_mm=socket_bore_mm,
            opening_diameter_mm=opening_diameter_mm,
            socket_outer_mm=socket_outer_mm,
            inner_modulus_mpa=inner_modulus_mpa,
            inner_poisson=inner_poisson,
            inner_strain_allowed=inner_strain_allowed,
            outer_modulus_mpa=outer_modulus_mpa,
            outer_poisson=outer_poisson,
            outer_strain_allowed=outer_strain_allowed,
            friction=Span(low=friction_low, high=friction_high),
        )
    )


@dataclass(frozen=True, slots=True)
class _Held:
    """A ball in its socket; strains as shares, the covered angle in radians from the bottom."""

    stays_in: NDArray[np.bool_]
    covered: Values
    pressure: Values
    ball_strain: Values
    socket_strain: Values
    lip_strain: Values


@np.errstate(all="ignore")
def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
    """Breakaway torque across the axis, the smaller of the two, and the largest strain over what is allowed.

    The strain at the lip counts, also where the ball then sits with clearance: it must pass to get in.
    """
    ball, socket = both_sides(materials)
    held = _held(sizes, ball, socket)
    outer = np.maximum(held.socket_strain, held.lip_strain) / socket.strain_allowed
    return Response(
        measure=friction * _torque(sizes, held.pressure, _across(held.covered)),
        strain_use=np.maximum(outer, held.ball_strain / ball.strain_allowed),
    )


@np.errstate(all="ignore")
def _held(sizes: Sizes, ball: JointMaterial, socket: JointMaterial) -> _Held:
    wide, bore, lip = sizes["ball_diameter"], sizes["socket_bore"], sizes["opening_diameter"]
    outer = sizes["socket_outer"]
    possible = (wide > 0) & (bore > 0) & (lip > 0) & (outer > bore) & (outer > lip)
    stays_in = possible & (lip < wide) & (lip < bore)
    gap = np.where(stays_in, np.maximum(wide - bore, 0.0), np.where(possible, 0.0, np.nan))
    socket_give = _socket_give(bore, outer, socket.poisson) / socket.modulus_mpa
    ball_give = (1 - 2 * ball.poisson) / ball.modulus_mpa
    pressure = gap / (bore * (socket_give + ball_give))
    return _Held(
        stays_in=np.asarray(stays_in, dtype=np.bool_),
        covered=np.pi - np.arcsin(np.minimum(lip / bore, 1.0)),
        pressure=pressure,
        ball_strain=pressure * ball_give,
        socket_strain=pressure * socket_give,
        lip_strain=np.where(stays_in, wide / lip - 1, np.where(possible, 0.0, np.nan)),
    )


def _socket_give(inner: Values, outer: Values, poisson: float) -> Values:
    """Hoop strain at the hollow of a sphere under pressure, times E / p."""
    cube = (inner / outer) ** 3
    return np.asarray((1 - poisson) * (2 * cube + 1) / (2 * (1 - cube)) + poisson)


def _torque(sizes: Sizes, pressure: Values, shape: Values) -> Values:
    """In N·m for a friction of 1."""
    return np.asarray(pressure * (sizes["ball_diameter"] / 2) ** 3 * shape / 1000)


def _about(covered: Values) -> Values:
    """Torque about the axis of the socket over mu p r^3."""
    return np.asarray(np.pi * (covered - np.sin(covered) * np.cos(covered)))


def _across(covered: Values) -> Values:
    """Torque across that axis over mu p r^3: half a sphere has pi^2 / 2, the rest up to the lip adds to it.

    With t the height above the equator over the radius, the rest is 4 times the integral of E(1 - t^2),
    which Abramowitz and Stegun's polynomials give term by term.
    """
    height = np.maximum(-np.cos(covered), 0.0)
    q = height**2
    log = -np.log(np.where(q > 0, q, 1.0))
    total, power = np.ones_like(q), q
    for n, (plain, logged) in enumerate(zip(_E_PLAIN, _E_LOG, strict=True), start=1):
        odd = 2 * n + 1
        total = total + power / odd * (plain + logged * (log + 2 / odd))
        power = power * q
    return np.asarray(np.pi**2 / 2 + 4 * height * total)


def _past_lip(sizes: Sizes, socket: JointMaterial, friction: Values) -> Span:
    """Push or pull over a square lip: the end of a long tube that the ball widens.

    A line load q at the end of a tube moves it by 2 q b R^2 / (E t), b = (3 (1 - nu^2))^(1/4) / sqrt(R t).
    """
    ball, lip = float(sizes["ball_diameter"]), float(sizes["opening_diameter"])
    outer = float(sizes["socket_outer"])
    if lip >= min(ball, float(sizes["socket_bore"])):
        return Span(low=0.0, high=0.0)
    R, t = (lip + outer) / 4, (outer - lip) / 2
    b = (3 * (1 - socket.poisson**2)) ** 0.25 / (R * t) ** 0.5
    stiffness = np.pi * socket.modulus_mpa * t / (b * R)
    return span(ball / 2 * stiffness * np.array([greatest_push(lip / ball, float(one)) for one in friction]))


def _with_words(found: BallInSocket) -> BallInSocket:
    if not found.stays_in:
        return replace(found, cautions=(_falls_out(found),))
    cautions = [] if found.interference_mm > 0 else [clearance(-found.interference_mm)]
    cautions += strain_cautions(found.socket_strain, found.outer_strain_allowed, "of the socket")
    cautions += strain_cautions(found.lip_strain, found.outer_strain_allowed, "past the lip")
    if found.lip_strain > found.outer_strain_allowed:
        cautions.append(
            Caution("slots in the lip turn its stretching into bending and lower strain and torque")
        )
    if found.past_lip_n.high == inf:
        cautions.append(Caution("a square lip this narrow locks the ball out: bevel it"))
    return replace(found, cautions=(*cautions, SHORT_TIME))


def _falls_out(found: BallInSocket) -> Caution:
    if found.opening_diameter_mm >= found.ball_diameter_mm:
        return Caution("the lip is as wide as the ball: the ball falls out")
    return Caution("the lip is as wide as the hollow and holds nothing: the ball slips out")


MODEL = JointModel(kind=JointKind.BALL, respond=respond)

"""Peg in a slit socket or open clip: a curved beam that the peg springs open.

How the clip touches the peg. A rigid round peg larger than the bore touches the two tips and the back. With
little opening, the back lies on the peg over an arc, bent evenly to the peg's radius; each arm then lifts off
until its tip. Bending theory puts the place of lifting at 122.6 degrees from the tip, the root of
a = sin a (2 - cos a), whatever the sizes; an arm shorter than that touches only at the tip and the very back.
That angle is also the one of least tip force, so that the small shift of it in a thick clip hardly counts.

The arm from there to the tip is a cantilever. Its give C at the tip follows from Castigliano, with the energy
of a thick curved beam: bending M^2 / (2 A e E), tension N^2 R / (2 A E), both together -M N / (A E), shear
1.2 V^2 R / (2 A G). The tip must move out by half the interference more than the lifting place carries it:
F = (interference / 2) (1 - cos a) / C. Stress is Winkler's, at the inner side a quarter turn from the tip.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np

from offtool.core.formulas import formula
from offtool.core.joints.evidence import JointMaterial, Span
from offtool.core.joints.materials import both_sides, one_piece
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.joints.sprung import (
    FRICTION_HIGH,
    FRICTION_LOW,
    PRACTICE,
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

LIFTING_RAD = 2.139182173773113
"""Root of a = sin a (2 - cos a): from the tip to where the arm lifts off the peg."""
HOLDS_BELOW_DEG = 180.0
"""With a wider opening the tips no longer reach round the peg."""
SHEAR_SHAPE = 1.2
"""Of a rectangular section."""
THICK = 3.0
"""Outer over inner diameter above which a curved beam with a rigid peg is too simple; common practice."""
SMALL_INTERFERENCE = 0.1
"""Interference over bore up to which small-deflection formulas are taken to hold; common practice."""
_THIN = 1e-2
"""Half the wall over the middle radius below which the neutral axis takes a series; what is left out of it is
below 1e-13."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PegInClip:
    """A peg held by a clip; interference is on the diameter, negative for clearance.

    `normal_force_n` is the sum of all contact forces, which friction acts on; `strain` and `strain_use` are
    those of the seated clip. `sideways_n` is the push or pull through the opening past square tips, infinite
    where they lock; `passing_strain` the strain on that way. Strains are shares; spans run over the friction.
    """

    interference_mm: float
    holds: bool
    tip_force_n: float
    normal_force_n: float
    opening_growth_mm: float
    strain: float
    strain_use: float
    breakaway_nm: Span
    running_nm: Span
    pull_off_n: Span
    sideways_n: Span
    passing_strain: float
    peg_diameter_mm: float
    socket_bore_mm: float
    socket_outer_mm: float
    contact_length_mm: float
    opening_deg: float
    outer_modulus_mpa: float
    outer_poisson: float
    outer_strain_allowed: float
    friction: Span
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "peg_diameter_mm": Range(meaning="diameter of the peg", unit="mm", above=0),
        "socket_bore_mm": Range(meaning="bore of the clip before the peg is in", unit="mm", above=0),
        "socket_outer_mm": Range(meaning="outer diameter of the clip", unit="mm", above=0),
        "contact_length_mm": Range(
            meaning="length over which peg and clip touch, along the axis", unit="mm", above=0
        ),
        "opening_deg": Range(
            meaning="angle of the opening, seen from the middle; 0 for a narrow slit",
            unit="deg",
            at_least=0,
            below=360,
            usual=(0, 150),
            source=PRACTICE,
        ),
        "outer_modulus_mpa": modulus("clip"),
        "outer_poisson": poisson("clip"),
        "outer_strain_allowed": strain_allowed("clip"),
        "friction_low": FRICTION_LOW,
        "friction_high": FRICTION_HIGH,
    },
    example={
        "peg_diameter_mm": 4.1,
        "socket_bore_mm": 4,
        "socket_outer_mm": 7,
        "contact_length_mm": 4,
        "opening_deg": 60,
        "outer_modulus_mpa": 2300,
        "outer_poisson": 0.35,
        "outer_strain_allowed": 0.02,
        "friction_low": 0.3,
        "friction_high": 0.5,
    },
    source="Castigliano's theorem and Winkler-Bach bending of curved beams, as in machine design textbooks; "
    "the contact worked out by offtool",
)
def peg_in_clip(
    peg_diameter_mm: float,
    socket_bore_mm: float,
    socket_outer_mm: float,
    contact_length_mm: float,
    *,
    opening_deg: float = 0.0,
    outer_modulus_mpa: float,
    outer_poisson: float,
    outer_strain_allowed: float,
    friction_low: float,
    friction_high: float,
) -> PegInClip:
    """How firmly a slit socket or open clip holds a peg, and how far it is bent.

    F = (d/2) (1 - cos a) / C at each tip, d the interference, a the arm from the tip to where it lies on the
    peg (at most 122.6 deg), C the give of that arm by Castigliano. Sum of contact forces
    S = 2 F (1 - cos a + sin a (w - a)), w = 180 deg - opening/2. Torque = mu S r; pull along the axis = mu S.

    Returns: PegInClip. Raises: ImpossibleInput for a clip without wall, frictions that cross.

    Holds when: the peg gives far less than the clip bends (it is taken as rigid); the clip is as long as the
    contact, free at both ends and not backed by a wall; friction does not shift the contact. Against plane
    finite elements on a rigid peg the forces are right for a thin clip, and about a tenth high where the
    outside is two to three times the bore; the strain is within 4 %. Clearance, or an opening of 180 deg and
    more, is answered with torque 0. The way in sideways is an estimate: each tip moves straight outwards,
    over square edges.

    Example: thin ring, slit: F = 1.187 E I (d/2) / R^3 (by hand, from the root above).
    """
    require_order(friction_low, friction_high)
    require_wall(socket_bore_mm, socket_outer_mm, of="bore")
    sizes = one_piece(
        peg_diameter=peg_diameter_mm,
        socket_bore=socket_bore_mm,
        socket_outer=socket_outer_mm,
        contact_length=contact_length_mm,
        opening_deg=opening_deg,
    )
    clip = JointMaterial(
        modulus_mpa=outer_modulus_mpa, poisson=outer_poisson, strain_allowed=outer_strain_allowed
    )
    friction = np.array([friction_low, friction_high])
    found = respond(sizes, Materials(outer=clip), friction)
    held, passing = _held(sizes, clip), _passing(sizes, clip, friction)
    breakaway = span(found.measure)
    return _with_words(
        PegInClip(
            interference_mm=peg_diameter_mm - socket_bore_mm,
            holds=opening_deg < HOLDS_BELOW_DEG,
            tip_force_n=float(held.tip),
            normal_force_n=float(held.normal),
            opening_growth_mm=float(held.growth),
            strain=float(held.strain),
            strain_use=float(found.strain_use),
            breakaway_nm=breakaway,
            running_nm=running(breakaway),
            pull_off_n=span(friction * held.normal),
            sideways_n=passing.push_n,
            passing_strain=passing.strain,
            peg_diameter_mm=peg_diameter_mm,
            socket_bore_mm=socket_bore_mm,
            socket_outer_mm=socket_outer_mm,
            contact_length_mm=contact_length_mm,
            opening_deg=opening_deg,
            outer_modulus_mpa=outer_modulus_mpa,
            outer_poisson=outer_poisson,
            outer_strain_allowed=outer_strain_allowed,
            friction=Span(low=friction_low, high=friction_high),
        )
    )


@dataclass(frozen=True, slots=True)
class _Held:
    """A seated clip: force at each tip, sum of contact forces, largest strain, growth of the opening."""

    tip: Values
    normal: Values
    strain: Values
    growth: Values


@dataclass(frozen=True, slots=True)
class _Ring:
    """The clip as a curved beam: middle radius R, area A, e from the middle to the neutral axis, inner r."""

    R: Values
    A: Values
    e: Values
    inner: Values

    @classmethod
    def of(cls, sizes: Sizes) -> _Ring:
        inner, outer = sizes["socket_bore"] / 2, sizes["socket_outer"] / 2
        R, wall = (inner + outer) / 2, outer - inner
        half = wall / 2 / R
        series = half**2 / 3 + 4 * half**4 / 45 + 44 * half**6 / 945
        share = np.where(half < _THIN, series, 1 - half / np.arctanh(half))
        return cls(R, wall * sizes["contact_length"], R * share, inner)

    def inner_strain(self, modulus: float) -> Values:
        """Strain at the inner side for 1 N of tension that has the lever R: M = R, N = 1."""
        bending = self.R * (self.R - self.e - self.inner) / (self.e * self.inner)
        return (bending + 1) / (self.A * modulus)


@np.errstate(all="ignore")
def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
    """Breakaway torque in N·m, and the strain of the seated clip (the outer side) over what it may bear."""
    _, clip = both_sides(materials)
    held = _held(sizes, clip)
    return Response(
        measure=friction * held.normal * sizes["peg_diameter"] / 2000,
        strain_use=held.strain / clip.strain_allowed,
    )


@np.errstate(all="ignore")
def _held(sizes: Sizes, material: JointMaterial) -> _Held:
    peg, bore = sizes["peg_diameter"], sizes["socket_bore"]
    opening = np.asarray(sizes.get("opening_deg", 0.0), dtype=np.float64)
    ring = _Ring.of(sizes)
    wrap = np.pi - np.radians(opening) / 2
    arm = np.clip(wrap, np.pi / 2, LIFTING_RAD)  # a shorter one holds nothing
    out = np.where(opening < HOLDS_BELOW_DEG, np.maximum(peg - bore, 0.0), 0.0) / 2
    possible = (peg > 0) & (bore > 0) & (sizes["socket_outer"] > bore) & (sizes["contact_length"] > 0)
    out = np.where(possible & (opening >= 0) & (opening < 360), out, np.nan)
    sine, cosine = np.sin(arm), np.cos(arm)
    tip = out * (1 - cosine) / _tip_give(ring, arm, material)
    return _Held(
        tip=tip,
        normal=2 * tip * (1 - cosine + sine * (wrap - arm)),
        strain=tip * ring.inner_strain(material.modulus_mpa),
        growth=2 * out * _growth(wrap, arm, ring),
    )


def _tip_give(ring: _Ring, arm: Values, material: JointMaterial) -> Values:
    """Movement of the tip outwards for 1 N outwards, of an arm held at its other end."""
    product = np.sin(arm) * np.cos(arm)
    bent, sheared = (arm - product) / 2, (arm + product) / 2
    shear = SHEAR_SHAPE * 2 * (1 + material.poisson)
    unit = ring.R / (ring.A * material.modulus_mpa)
    return np.asarray(unit * (bent * (ring.R / ring.e - 1) + sheared * shear))


def _growth(wrap: Values, arm: Values, ring: _Ring) -> Values:
    """Movement of one tip's inner edge away from the other tip, over half the interference.

    The lifted arm lies at w = cos s + B sin s - (f/2) s cos s from its old place, s from the tip, with w = 1
    at both ends and level at the inner one. As the middle line keeps its length, its end moves by the sum of
    w over the clip; the inner edge turns with it about the centre, and about the end by its slope B - f/2.
    """
    s, c = np.sin(arm), np.cos(arm)
    f = 2 * (1 - c) / (arm - s * c)
    B = (1 - c + f / 2 * arm * c) / s
    total = wrap - arm + s + B * (1 - c) - f / 2 * (arm * s + c - 1)
    return np.asarray((total * ring.inner + (B - f / 2) * (ring.R - ring.inner)) / ring.R)


@dataclass(frozen=True, slots=True)
class _Passing:
    """The way through the opening: push for the least and the most friction, and the strain at the back."""

    push_n: Span
    strain: float


def _passing(sizes: Sizes, clip: JointMaterial, friction: Values) -> _Passing:
    """Both tips are moved straight outwards until the peg passes; 0 where it passes without."""
    peg, opening = float(sizes["peg_diameter"]), float(_opening_width(sizes))
    if opening >= peg or float(sizes["opening_deg"]) >= HOLDS_BELOW_DEG:
        return _Passing(Span(low=0.0, high=0.0), 0.0)
    stiffness, strain = _spreading(sizes, clip)
    pushes = [greatest_push(opening / peg, float(one)) for one in friction]
    return _Passing(span(peg * float(stiffness) * np.array(pushes)), float(strain) * (peg - opening) / 2)


def _opening_width(sizes: Sizes) -> Values:
    """Straight across, from tip to tip."""
    return sizes["socket_bore"] * np.sin(np.radians(sizes["opening_deg"]) / 2)


def _spreading(sizes: Sizes, clip: JointMaterial) -> tuple[Values, Values]:
    """Force that moves each tip straight outwards by 1 mm, and the strain at the back that goes with it."""
    ring = _Ring.of(sizes)
    a = np.pi - np.radians(sizes["opening_deg"]) / 2
    product, c = np.sin(a) * np.cos(a), np.cos(a)
    bent = a / 2 - 1.5 * product + a * c**2
    stretched, sheared = (a + product) / 2, (a - product) / 2
    shear = SHEAR_SHAPE * 2 * (1 + clip.poisson)
    tension = 1 / (ring.A * clip.modulus_mpa)
    give = ring.R * tension * (ring.R / ring.e * bent + stretched - 2 * sheared + shear * sheared)
    # At the back the lever is R (1 - c) and the tension the force itself.
    bending = ring.inner_strain(clip.modulus_mpa) - tension
    return 1 / give, (bending * (1 - c) + tension) / give


def _with_words(found: PegInClip) -> PegInClip:
    if not found.holds:
        return replace(
            found, cautions=(Caution("an opening of 180 deg or more holds no peg: it falls out sideways"),)
        )
    if found.interference_mm <= 0:
        return replace(found, cautions=(clearance(-found.interference_mm), *_sideways_words(found)))
    cautions = [*strain_cautions(found.strain, found.outer_strain_allowed, "of the seated clip")]
    if found.interference_mm > SMALL_INTERFERENCE * found.socket_bore_mm:
        cautions.append(
            Caution("interference above a tenth of the bore: the formulas hold for small deflections")
        )
    if found.socket_outer_mm > THICK * found.socket_bore_mm:
        cautions.append(
            Caution("a wall as thick as this presses the peg in too: true forces are lower than said")
        )
    return replace(found, cautions=(*cautions, *_sideways_words(found), SHORT_TIME))


def _sideways_words(found: PegInClip) -> tuple[Caution, ...]:
    """What is said of the way through the opening."""
    if found.sideways_n.high == inf:
        return (
            Caution("square tips lock at this opening: push the peg in along its axis, or bevel the tips"),
        )
    return strain_cautions(found.passing_strain, found.outer_strain_allowed, "on the way in sideways")


MODEL = JointModel(kind=JointKind.CLIP, respond=respond)

"""Cantilever snaps: a finger that bends past an undercut; its forces, and the undercut its strain allows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import Literal

import numpy as np

from offtool.core.formulas import formula
from offtool.core.joints.evidence import JointMaterial, Span
from offtool.core.joints.materials import both_sides, one_piece
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.joints.sprung import (
    FRICTION_HIGH,
    FRICTION_LOW,
    PRACTICE,
    REPEATED_SHARE,
    SHORT_TIME,
    modulus,
    require_order,
    span,
    strain_allowed,
    strain_cautions,
)
from offtool.core.joints.wedge import wedge_factor
from offtool.core.values import Caution, Range
from offtool.handbook.terms import JointKind

SMALL_DEFLECTION = 0.1
"""Undercut over length up to which a beam's small-deflection formulas are taken to hold; common practice."""
SLENDER = 5.0
"""Length over thickness from which a beam bends without noticeable shear; common practice."""
_NEAR_UNIFORM = 0.1
"""Tapers below this take the series, as the closed form loses digits there; what is left out is below 1e-16
of the sum."""
_SERIES = 1 / np.arange(3, 19)

_LENGTH = Range(meaning="length of the finger, root to hook", unit="mm", above=0)
_ROOT = Range(meaning="thickness of the finger at its root", unit="mm", above=0)
_TIP_SHARE = Range(
    meaning="thickness at the tip over that at the root",
    unit="1",
    above=0,
    usual=(0.3, 1.0),
    source=PRACTICE,
)
_WIDTH_SHARE = Range(
    meaning="width of the side in compression over that in tension; 1 for a rectangle", unit="1", above=0
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CantileverSnap:
    """What a finger asks and gives. `pull_off_n` is infinite where the hook locks.

    `strain` is the largest in tension, on the side of the hook, which is judged; `compression_strain` the
    largest on the other side; both are shares. Spans run over the friction.
    """

    deflection_force_n: float
    mating_n: Span
    pull_off_n: Span
    strain: float
    compression_strain: float
    strain_use: float
    undercut_allowed_mm: float
    beam_length_mm: float
    root_thickness_mm: float
    tip_share: float
    width_mm: float
    width_share: float
    undercut_mm: float
    lead_deg: float
    hold_deg: float
    inner_modulus_mpa: float
    inner_strain_allowed: float
    friction: Span
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SnapUndercut:
    """The largest undercut for a strain, and how many times that of a finger of one thickness it is."""

    undercut_mm: float
    gain_by_taper: float
    strain: float
    beam_length_mm: float
    root_thickness_mm: float
    tip_share: float
    width_share: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "beam_length_mm": _LENGTH,
        "root_thickness_mm": _ROOT,
        "width_mm": Range(
            meaning="width of the finger; of a trapezoid, the side in tension", unit="mm", above=0
        ),
        "undercut_mm": Range(meaning="how far the finger hooks behind the edge", unit="mm"),
        "tip_share": _TIP_SHARE,
        "width_share": _WIDTH_SHARE,
        "lead_deg": Range(
            meaning="angle at which it is pushed in",
            unit="deg",
            above=0,
            below=90,
            usual=(15.0, 45.0),
            source=PRACTICE,
        ),
        "hold_deg": Range(
            meaning="angle at which it is pulled off", unit="deg", above=0, at_most=135, usual=(30.0, 90.0)
        ),
        "inner_modulus_mpa": modulus("finger"),
        "inner_strain_allowed": strain_allowed("finger"),
        "friction_low": FRICTION_LOW,
        "friction_high": FRICTION_HIGH,
    },
    example={
        "beam_length_mm": 19,
        "root_thickness_mm": 3.28,
        "width_mm": 9.5,
        "undercut_mm": 2.4,
        "tip_share": 0.5,
        "inner_modulus_mpa": 1815,
        "inner_strain_allowed": 0.04,
        "friction_low": 0.5,
        "friction_high": 0.6,
    },
    source="beam theory; a resin maker's public snap-fit design guide, from memory",
)
def cantilever_snap(
    beam_length_mm: float,
    root_thickness_mm: float,
    width_mm: float,
    undercut_mm: float,
    *,
    tip_share: float = 1.0,
    width_share: float = 1.0,
    lead_deg: float = 30.0,
    hold_deg: float = 45.0,
    inner_modulus_mpa: float,
    inner_strain_allowed: float,
    friction_low: float,
    friction_high: float,
) -> CantileverSnap:
    """What it takes to push a snap finger in and to pull it off, and how much of its strain that uses.

    P = E I y / (J L^3), J = integral of u^2 / (k + (1 - k) u)^3 over u from 0 to 1, which is 1/3 for k = 1;
    strain = y c / (J L^2), for k below 1/2 times 1 / (4 k (1 - k)), as the largest then lies off the root;
    W = P (mu + tan a) / (1 - mu tan a). I and c are those of the trapezoid at the root.

    Returns: CantileverSnap. Raises: ImpossibleInput for frictions that cross.

    Holds when: the finger is slender, its root rigid, the edge that it passes does not give way; thickness
    falls evenly from root to tip, width does not. Without an undercut nothing holds: the forces are 0.

    Example: length 19, tapering from 3.28 to half, width 9.5, undercut 2.4 mm, 1815 MPa: 32.5 N to bend.
    """
    require_order(friction_low, friction_high)
    sizes = one_piece(
        beam_length=beam_length_mm,
        root_thickness=root_thickness_mm,
        tip_share=tip_share,
        width=width_mm,
        width_share=width_share,
        undercut=undercut_mm,
        hold_deg=hold_deg,
    )
    material = JointMaterial(
        modulus_mpa=inner_modulus_mpa, poisson=0.0, strain_allowed=inner_strain_allowed
    )  # a slender beam asks for no Poisson's ratio
    friction = np.array([friction_low, friction_high])
    found = respond(sizes, Materials(inner=material), friction)
    bent = _bend(sizes, inner_modulus_mpa)
    lead = wedge_factor(np.asarray(lead_deg, dtype=np.float64), friction)
    result = CantileverSnap(
        deflection_force_n=float(bent.force),
        mating_n=span(_pushed(bent.force, lead)),
        pull_off_n=span(found.measure),
        strain=float(bent.tension),
        compression_strain=float(bent.compression),
        strain_use=float(found.strain_use),
        undercut_allowed_mm=inner_strain_allowed / float(_strain_per_mm(sizes)[0]),
        beam_length_mm=beam_length_mm,
        root_thickness_mm=root_thickness_mm,
        tip_share=tip_share,
        width_mm=width_mm,
        width_share=width_share,
        undercut_mm=undercut_mm,
        lead_deg=lead_deg,
        hold_deg=hold_deg,
        inner_modulus_mpa=inner_modulus_mpa,
        inner_strain_allowed=inner_strain_allowed,
        friction=Span(low=friction_low, high=friction_high),
    )
    return _with_words(result)


@formula(
    limits={
        "beam_length_mm": _LENGTH,
        "root_thickness_mm": _ROOT,
        "tip_share": _TIP_SHARE,
        "width_share": _WIDTH_SHARE,
        "inner_strain_allowed": replace(
            strain_allowed("finger"), meaning="strain that the finger may bear once, as a share (0.02 is 2 %)"
        ),
        "use": Range(meaning="whether it is joined once or opened again and again"),
    },
    example={
        "beam_length_mm": 19,
        "root_thickness_mm": 3.28,
        "tip_share": 0.5,
        "inner_strain_allowed": 0.02,
        "use": "once",
    },
    source="beam theory; a resin maker's public snap-fit design guide, from memory",
)
def snap_undercut_allowed(
    beam_length_mm: float,
    root_thickness_mm: float,
    *,
    tip_share: float = 1.0,
    width_share: float = 1.0,
    inner_strain_allowed: float,
    use: Literal["once", "repeated"],
) -> SnapUndercut:
    """The largest undercut that a snap finger can pass without more than the allowed strain.

    y = strain J L^2 / c, with J and c as in `cantilever_snap`; a rectangle of one thickness has
    y = 0.67 strain L^2 / h, one that tapers to half has 1.09.

    Returns: SnapUndercut. Raises: ImpossibleInput for sizes that cannot be.

    Holds when: the finger is slender and its root rigid. For repeated use 0.6 of the strain is taken.

    Example: length 19, tapering from 3.28 mm to half, strain 2 %: 2.4 mm.
    """
    strain = inner_strain_allowed * (1.0 if use == "once" else REPEATED_SHARE)
    sizes = one_piece(
        beam_length=beam_length_mm,
        root_thickness=root_thickness_mm,
        tip_share=tip_share,
        width_share=width_share,
    )
    uniform = {**sizes, "tip_share": np.ones(())}
    per_mm = float(_strain_per_mm(sizes)[0])
    undercut = strain / per_mm
    return SnapUndercut(
        undercut_mm=undercut,
        gain_by_taper=float(_strain_per_mm(uniform)[0]) / per_mm,
        strain=strain,
        beam_length_mm=beam_length_mm,
        root_thickness_mm=root_thickness_mm,
        tip_share=tip_share,
        width_share=width_share,
        cautions=_shape_cautions(beam_length_mm, root_thickness_mm, undercut),
    )


@dataclass(frozen=True, slots=True)
class _Bent:
    """A finger bent by its undercut: force at the hook, largest strain on either side, as shares."""

    force: Values
    tension: Values
    compression: Values


@np.errstate(all="ignore")
def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
    """Pull-off force in N, and tensile strain over what the finger (the inner side) may bear."""
    finger, _ = both_sides(materials)
    bent = _bend(sizes, finger.modulus_mpa)
    hold = np.asarray(sizes.get("hold_deg", 45.0), dtype=np.float64)
    pull_off = _pushed(bent.force, wedge_factor(hold, friction))
    return Response(
        measure=np.where(hold > 0, pull_off, np.nan), strain_use=bent.tension / finger.strain_allowed
    )


def _pushed(force: Values, factor: Values) -> Values:
    """Force along the way; a finger without undercut asks for none, even where it would lock."""
    return np.where(force == 0, 0.0, force * np.where(force == 0, 0.0, factor))


def _bend(sizes: Sizes, modulus_mpa: float) -> _Bent:
    length, thickness, width = sizes["beam_length"], sizes["root_thickness"], sizes["width"]
    shape = _taper_integral(_share(sizes, "tip_share"))
    _, inertia = _trapezoid(thickness, width, _share(sizes, "width_share"))
    undercut = np.maximum(sizes["undercut"], 0.0)
    tension, compression = _strain_per_mm(sizes)
    possible = (length > 0) & (thickness > 0) & (width > 0)
    force = modulus_mpa * inertia * undercut / (shape * length**3)
    return _Bent(
        np.where(possible, force, np.nan),
        np.where(possible, tension * undercut, np.nan),
        np.where(possible, compression * undercut, np.nan),
    )


def _share(sizes: Sizes, role: str) -> Values:
    """A share that is 1 where it is not given, and not a number where it cannot be."""
    share = np.asarray(sizes.get(role, 1.0), dtype=np.float64)
    return np.where(share > 0, share, np.nan)


def _strain_per_mm(sizes: Sizes) -> tuple[Values, Values]:
    """Largest strain in tension and in compression for each mm of undercut, as shares."""
    tip, share = _share(sizes, "tip_share"), _share(sizes, "width_share")
    length, thickness = sizes["beam_length"], sizes["root_thickness"]
    # u / (k + (1 - k) u)^2 has its top at u = k / (1 - k), which lies on the finger for k below 1/2.
    low = np.minimum(tip, 0.5)
    curvature = 1 / (4 * low * (1 - low)) / (_taper_integral(tip) * length**2)
    centre = thickness * _centre_share(share)
    return curvature * centre, curvature * (thickness - centre)


def _taper_integral(tip_share: Values) -> Values:
    """J = integral of u^2 / (k + (1 - k) u)^3 = (-ln k - 3/2 + 2 k - k^2 / 2) / (1 - k)^3."""
    c = 1 - tip_share
    near = np.abs(c) < _NEAR_UNIFORM
    far = np.where(near, 0.5, tip_share)
    closed = (-np.log(far) - 1.5 + 2 * far - far**2 / 2) / (1 - far) ** 3
    if not near.any():
        return np.asarray(closed, dtype=np.float64)
    series = np.polynomial.polynomial.polyval(np.where(near, c, 0.0), _SERIES)
    return np.asarray(np.where(near, series, closed), dtype=np.float64)


def _centre_share(width_share: Values) -> Values:
    """The neutral axis of a trapezoid, from the side in tension, over its height."""
    return (1 + 2 * width_share) / (3 * (1 + width_share))


def _trapezoid(height: Values, width: Values, width_share: Values) -> tuple[Values, Values]:
    """Distance of the neutral axis from the side in tension, and the second moment about it."""
    s = width_share
    return height * _centre_share(s), width * height**3 * (1 + 4 * s + s**2) / (36 * (1 + s))


def _shape_cautions(length: float, thickness: float, undercut: float) -> tuple[Caution, ...]:
    cautions = []
    if length < SLENDER * thickness:
        cautions.append(
            Caution(
                f"a finger {length / thickness:.3g} times as long as thick also shears, and its root turns: "
                "true force and strain are lower",
                PRACTICE,
            )
        )
    if undercut > SMALL_DEFLECTION * length:
        cautions.append(
            Caution(
                f"undercut of {undercut / length:.0%} of the length: the formulas hold for small deflections",
                PRACTICE,
            )
        )
    return tuple(cautions)


def _with_words(found: CantileverSnap) -> CantileverSnap:
    if found.undercut_mm <= 0:
        return replace(found, cautions=(Caution("without an undercut the finger holds nothing"),))
    cautions = [*strain_cautions(found.strain, found.inner_strain_allowed, "at the finger")]
    cautions += _shape_cautions(found.beam_length_mm, found.root_thickness_mm, found.undercut_mm)
    if found.mating_n.high == inf:
        cautions.append(Caution("at this lead angle friction locks it: it cannot be pushed in"))
    if found.pull_off_n.low == inf:
        cautions.append(Caution("the hook locks: it comes off only by lifting it or by breaking"))
    elif found.pull_off_n.high == inf:
        cautions.append(Caution("with the most friction the hook locks: whether it comes off is not certain"))
    return replace(found, cautions=(*cautions, SHORT_TIME))


MODEL = JointModel(kind=JointKind.SNAP, respond=respond)

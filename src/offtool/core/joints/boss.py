"""A thread-forming screw in a boss: the strain it puts there, the torque that drives it, the one that strips.

Simple engineering formulas with rules of thumb, each named where it stands. They rank bores and walls; the
torque of the driver comes from trials with the real screw.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sqrt, tan

import numpy as np

from offtool.core.formulas import formula
from offtool.core.joints.evidence import JointMaterial, Span
from offtool.core.joints.limits import (
    FRICTION_HIGH,
    FRICTION_LOW,
    PRACTICE,
    modulus,
    poisson,
    require_order,
    require_wall,
    strain_allowed,
)
from offtool.core.joints.materials import both_sides, one_piece, yield_of
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.values import Caution, Range
from offtool.handbook.terms import JointKind

FLANK_DEG = 30.0
"""Angle between the flanks of a thread made for plastics; common practice, no source."""

HEAD_LEVER = 0.75
"""Radius at which the head rubs, over the screw's diameter: a head of twice the diameter rubs between one
half and one diameter from the axis. Rule of thumb."""

LEAST_RATIO = 2.0
"""Stripping over driving torque that a driver's clutch can live with; common practice, no source."""

LEAST_WALL = 2.0
"""Outer diameter of a boss over the screw's; common practice, no source."""

LEAST_ENGAGEMENT = 2.0
"""Length of thread over the screw's diameter; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewedBoss:
    """What a screw does in its boss. Ranges come from that of friction; `ratio` is stripping torque over
    driving torque, what the choice of the driver's torque hangs on.

    The ratio says nothing of how much thread is formed: of a bore nearly as wide as the screw both torques
    are next to nothing. What the joint is judged by is the pull-out force.
    """

    overlap_mm: float
    boss_strain: float
    strain_use: float
    pressure_mpa: float
    driving_nm: Span
    stripping_nm: Span
    ratio: Span
    pull_out_n: float
    screw_diameter_mm: float
    screw_core_mm: float
    screw_pitch_mm: float
    boss_bore_mm: float
    boss_outer_mm: float
    engagement_mm: float
    yield_mpa: float
    friction: Span
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Driven:
    """The elementwise mechanics; the one place of it. Torques in N·mm."""

    strain: Values
    pressure: Values
    pull_out: Values
    driving: Values
    stripping: Values
    ratio: Values


def _driven(sizes: Sizes, boss: JointMaterial, yield_mpa: float, friction: Values) -> _Driven:
    screw, core, pitch = sizes["screw_diameter"], sizes["screw_core"], sizes["screw_pitch"]
    bore, length = sizes["boss_bore"], sizes["engagement"]
    strain = _bore_growth(screw, core, pitch, bore)
    pressure = _pressure(strain, bore, sizes["boss_outer"], boss, yield_mpa)
    pull_out = _bite(screw, core, bore) * (yield_mpa / sqrt(3) * pi / 2) * (screw + core) * length
    lever = (screw + core) / 4
    driving = friction * pressure * pi * bore * length * lever
    along_thread = pitch / (2 * pi) + friction * (lever / cos(radians(FLANK_DEG / 2)) + HEAD_LEVER * screw)
    stripping = pull_out * along_thread
    ratio = np.where(pull_out > 0, stripping / driving, 0.0)
    return _Driven(
        strain=strain,
        pressure=pressure,
        pull_out=pull_out,
        driving=np.asarray(driving),
        stripping=np.asarray(stripping),
        ratio=ratio,
    )


def _bore_growth(screw: Values, core: Values, pitch: Values, bore: Values) -> Values:
    """Tangential strain at the bore when all that the screw displaces goes outwards.

    The flank, a triangle h = (d - b) / 2 high, displaces h^2 tan(15°) pi (b + 2 h / 3) / P for each mm of
    length, a core above the bore its ring besides. A part flows into the root: an upper estimate.
    """
    height = np.maximum(screw - bore, 0.0) / 2
    flank = height**2 * tan(radians(FLANK_DEG / 2)) * pi * (bore + 2 * height / 3) / pitch
    ring = pi / 4 * np.maximum(core**2 - bore**2, 0.0)
    return np.sqrt(1 + 4 * (flank + ring) / (pi * bore**2)) - 1


def _pressure(strain: Values, bore: Values, outer: Values, boss: JointMaterial, yield_mpa: float) -> Values:
    """Lamé's pressure for that growth of the bore, at most that at which the whole wall yields."""
    ratio = (bore / outer) ** 2
    elastic = strain * boss.modulus_mpa / ((1 + ratio) / (1 - ratio) + boss.poisson)
    return np.minimum(elastic, -yield_mpa / sqrt(3) * np.log(ratio))


def _bite(screw: Values, core: Values, bore: Values) -> Values:
    """Share of the thread's shear area that holds: all where the bore is at most the pitch diameter.

    Above that the square of what is left of the overlap: shallow threads slip off the flank (our rule).
    """
    return np.clip(2 * (screw - bore) / (screw - core), 0.0, 1.0) ** 2


def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
    """Pull-out force in N, and growth of the bore over what the boss may bear once, of every piece.

    Loose is a screw that pulls out or strips (the stripping torque is this force at the thread's lever),
    which a wider bore never mends; overstrained is a boss that cracks. Friction moves neither.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        _, boss = both_sides(materials)
        found = _driven(sizes, boss, yield_of(boss), friction)
        real = _possible(sizes)
        return Response(
            measure=np.where(real, found.pull_out, np.nan),
            strain_use=np.where(real, found.strain / boss.strain_allowed, np.nan),
        )


def _possible(sizes: Sizes) -> Values:
    walls = (sizes["boss_outer"] > sizes["boss_bore"]) & (sizes["boss_bore"] > 0)
    thread = (sizes["screw_diameter"] > sizes["screw_core"]) & (sizes["screw_core"] > 0)
    return np.asarray(walls & thread & (sizes["screw_pitch"] > 0) & (sizes["engagement"] > 0))


MODEL = JointModel(kind=JointKind.BOSS, respond=respond)


@formula(
    limits={
        "screw_diameter_mm": Range(meaning="outer diameter of the thread", unit="mm", above=0),
        "screw_core_mm": Range(meaning="core diameter of the thread", unit="mm", above=0),
        "screw_pitch_mm": Range(meaning="pitch of the thread", unit="mm", above=0),
        "boss_bore_mm": Range(meaning="bore of the boss", unit="mm", above=0),
        "boss_outer_mm": Range(meaning="outer diameter of the boss", unit="mm", above=0),
        "engagement_mm": Range(meaning="length of thread in the boss", unit="mm", above=0),
        "modulus_mpa": modulus("boss"),
        "poisson": poisson("boss"),
        "strain_allowed": strain_allowed("boss"),
        "yield_mpa": Range(
            meaning="yield strength of the boss in tension; blank for a fortieth of the modulus",
            unit="MPa",
            above=0,
        ),
        "friction_low": FRICTION_LOW,
        "friction_high": FRICTION_HIGH,
    },
    example={
        "screw_diameter_mm": 3.0,
        "screw_core_mm": 2.0,
        "screw_pitch_mm": 1.35,
        "boss_bore_mm": 2.4,
        "boss_outer_mm": 6.0,
        "engagement_mm": 6.0,
        "modulus_mpa": 2300.0,
        "poisson": 0.39,
        "strain_allowed": 0.02,
        "yield_mpa": 40.0,
        "friction_low": 0.3,
        "friction_high": 0.6,
    },
    source="pull-out: shear strength on the thread's pitch cylinder; wall: Lamé and the fully yielded tube; "
    "torque: screw of a given pitch with friction; flank, head, bite and displaced volume: rules of thumb",
)
def screw_in_boss(
    screw_diameter_mm: float,
    screw_core_mm: float,
    screw_pitch_mm: float,
    boss_bore_mm: float,
    boss_outer_mm: float,
    engagement_mm: float,
    *,
    modulus_mpa: float,
    poisson: float,
    strain_allowed: float,
    yield_mpa: float | None = None,
    friction_low: float,
    friction_high: float,
) -> ScrewedBoss:
    """What a thread-forming screw asks of its boss, and how far driving it is from stripping it.

    Pull-out F = tau pi d_p L with tau = yield / sqrt(3) and pitch diameter d_p; stripping torque
    F [P / 2 pi + mu (d_p / 2 cos 15° + 0.75 d)], the head's friction in it; driving torque
    mu p pi b L d_p / 2 at full depth, p from the bore's growth by what the screw displaces.

    Returns: ScrewedBoss; without overlap nothing holds. Raises: ImpossibleInput for a boss thinner than
    nothing, a core not below the thread, a swapped friction.

    Holds when: the thread has flanks at 30°, the screw does not yield, the boss stands free. Expect a factor
    of two either way; compare bores and walls with it, set drivers by trials.

    Example: a 3 mm screw, 6 mm deep in 2.4 mm of ABS: pull-out 1.1 kN, the boss strained by 1.6 %.
    """
    require_order(friction_low, friction_high)
    require_wall(boss_bore_mm, boss_outer_mm, bore_name="boss_bore_mm", outer_name="boss_outer_mm", of="boss")
    require_wall(
        screw_core_mm,
        screw_diameter_mm,
        bore_name="screw_core_mm",
        outer_name="screw_diameter_mm",
        of="thread",
    )
    boss = JointMaterial(modulus_mpa=modulus_mpa, poisson=poisson, strain_allowed=strain_allowed)
    strength = yield_of(boss) if yield_mpa is None else yield_mpa
    sizes = one_piece(
        screw_diameter=screw_diameter_mm,
        screw_core=screw_core_mm,
        screw_pitch=screw_pitch_mm,
        boss_bore=boss_bore_mm,
        boss_outer=boss_outer_mm,
        engagement=engagement_mm,
    )
    low, high = (_driven(sizes, boss, strength, np.asarray(mu)) for mu in (friction_low, friction_high))
    ratios = sorted((float(low.ratio), float(high.ratio)))
    return ScrewedBoss(
        overlap_mm=screw_diameter_mm - boss_bore_mm,
        boss_strain=float(low.strain),
        strain_use=float(low.strain) / strain_allowed,
        pressure_mpa=float(low.pressure),
        driving_nm=Span(low=float(low.driving) / 1000, high=float(high.driving) / 1000),
        stripping_nm=Span(low=float(low.stripping) / 1000, high=float(high.stripping) / 1000),
        ratio=Span(low=ratios[0], high=ratios[1]),
        pull_out_n=float(low.pull_out),
        screw_diameter_mm=screw_diameter_mm,
        screw_core_mm=screw_core_mm,
        screw_pitch_mm=screw_pitch_mm,
        boss_bore_mm=boss_bore_mm,
        boss_outer_mm=boss_outer_mm,
        engagement_mm=engagement_mm,
        yield_mpa=strength,
        friction=Span(low=friction_low, high=friction_high),
        cautions=(
            *_strength_cautions(
                screw_diameter_mm, boss_bore_mm, float(low.strain), strain_allowed, ratios[0]
            ),
            *_shape_cautions(screw_diameter_mm, boss_outer_mm, engagement_mm),
        ),
    )


def _strength_cautions(
    screw: float, bore: float, strain: float, allowed: float, ratio: float
) -> tuple[Caution, ...]:
    if bore >= screw:
        return (Caution("the bore is as wide as the screw: nothing holds"),)
    cautions: tuple[Caution, ...]
    cautions = (Caution("rules of thumb: set the driver's torque by trials with the real screw", PRACTICE),)
    if strain > allowed:
        said = f"the boss may be strained {strain:.1%}, more than the {allowed:.1%} it may bear: it can split"
        cautions += (Caution(said),)
    if ratio < LEAST_RATIO:
        said = f"stripping is only {ratio:.2g} times driving torque, below {LEAST_RATIO:g}: no safe setting"
        cautions += (Caution(said, PRACTICE),)
    return cautions


def _shape_cautions(screw: float, outer: float, engagement: float) -> tuple[Caution, ...]:
    cautions: tuple[Caution, ...] = ()
    if outer < LEAST_WALL * screw:
        cautions += (Caution("the boss is thinner than twice the screw: it may split", PRACTICE),)
    if engagement < LEAST_ENGAGEMENT * screw:
        cautions += (Caution("less thread than twice the screw's diameter is in the boss", PRACTICE),)
    return cautions

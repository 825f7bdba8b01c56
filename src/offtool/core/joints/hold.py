"""Between which torques a joint must lie: what the limb weighs, and what its peg bears."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from offtool.core.formulas import formula
from offtool.core.joints.limits import GRAVITY_M_S2, PEG_BORE, PEG_DIAMETER, PRACTICE, require_wall
from offtool.core.values import Caution, Range

CEILING_SHARE = 0.5
"""Part of the peg's own strength that a joint's torque may take; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldTorque:
    """The torque of the limb's weight held out level, and `torque_nm`, which the joint must have."""

    weight_nm: float
    torque_nm: float
    limb_mass_g: float
    lever_mm: float
    safety_factor: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueCeiling:
    """The torque at which the peg itself yields, and `torque_nm`, the share of it that a joint may take."""

    yield_nm: float
    torque_nm: float
    peg_diameter_mm: float
    peg_bore_mm: float
    yield_mpa: float
    share: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueWindow:
    """From the torque that holds the limb to the one that its peg bears; empty where `low` is above
    `high`."""

    low_nm: float
    high_nm: float
    hold: HoldTorque
    ceiling: TorqueCeiling
    cautions: tuple[Caution, ...] = ()

    @property
    def empty(self) -> bool:
        """True where no torque holds the limb and spares the peg."""
        return self.low_nm > self.high_nm


_MASS = Range(meaning="mass of the limb and of all that hangs on it", unit="g", at_least=0)
_LEVER = Range(
    meaning="from the joint's axis to the limb's centre of mass, held out level", unit="mm", at_least=0
)
_SAFETY = Range(
    meaning="torque asked for over that of the weight", at_least=1, usual=(1.2, 4.0), source=PRACTICE
)
_YIELD = Range(meaning="yield strength of the peg in tension", unit="MPa", above=0)
_SHARE = Range(
    meaning="part of the peg's own strength that may be taken",
    above=0,
    at_most=1,
    usual=(0.2, 0.8),
    source=PRACTICE,
)


@formula(
    limits={"limb_mass_g": _MASS, "lever_mm": _LEVER, "safety_factor": _SAFETY},
    example={"limb_mass_g": 30.0, "lever_mm": 50.0},
    source="statics; standard acceleration of free fall 9.80665 m/s2; factor: common practice, no source",
)
def hold_torque(limb_mass_g: float, lever_mm: float, *, safety_factor: float = 2.0) -> HoldTorque:
    """The torque that a joint must have so that a limb held out level does not sink.

    T = n m g r. Level is the worst pose.

    Returns: HoldTorque.

    Holds when: the joint neither loosens with time nor with moving; ask it of the torque that is left.

    Example: 30 g at 50 mm weigh 0.0147 N·m; twice that is asked for.
    """
    weight = limb_mass_g / 1000 * GRAVITY_M_S2 * lever_mm / 1000
    return HoldTorque(
        weight_nm=weight,
        torque_nm=safety_factor * weight,
        limb_mass_g=limb_mass_g,
        lever_mm=lever_mm,
        safety_factor=safety_factor,
    )


@formula(
    limits={"peg_diameter_mm": PEG_DIAMETER, "yield_mpa": _YIELD, "share": _SHARE, "peg_bore_mm": PEG_BORE},
    example={"peg_diameter_mm": 4.0, "yield_mpa": 40.0},
    source="torsion of a round bar, yield in shear by von Mises; share: common practice, no source",
)
def peg_torque_ceiling(
    peg_diameter_mm: float, yield_mpa: float, *, share: float = CEILING_SHARE, peg_bore_mm: float = 0.0
) -> TorqueCeiling:
    """The torque above which turning a joint twists its peg off rather than moves it.

    T = pi (d^4 - q^4) / (16 d) tau, tau = yield / sqrt(3); q is the bore through the peg.

    Returns: TorqueCeiling. Raises: ImpossibleInput for a bore not below the diameter.

    Holds when: the peg is round and has no weld line, notch or sharp shoulder; these halve it easily.

    Example: 4 mm of ABS (40 MPa) yield at 0.29 N·m; half of that is 0.145.
    """
    require_wall(
        peg_bore_mm, peg_diameter_mm, bore_name="peg_bore_mm", outer_name="peg_diameter_mm", of="peg"
    )
    hollow = 1 - (peg_bore_mm / peg_diameter_mm) ** 4
    torque = pi * peg_diameter_mm**3 / 16 * hollow * yield_mpa / sqrt(3) / 1000
    return TorqueCeiling(
        yield_nm=torque,
        torque_nm=share * torque,
        peg_diameter_mm=peg_diameter_mm,
        peg_bore_mm=peg_bore_mm,
        yield_mpa=yield_mpa,
        share=share,
    )


@formula(
    limits={
        "limb_mass_g": _MASS,
        "lever_mm": _LEVER,
        "peg_diameter_mm": PEG_DIAMETER,
        "yield_mpa": _YIELD,
        "safety_factor": _SAFETY,
        "share": _SHARE,
        "peg_bore_mm": PEG_BORE,
    },
    example={"limb_mass_g": 30.0, "lever_mm": 50.0, "peg_diameter_mm": 4.0, "yield_mpa": 40.0},
    source="hold_torque and peg_torque_ceiling",
)
def torque_window(
    limb_mass_g: float,
    lever_mm: float,
    peg_diameter_mm: float,
    yield_mpa: float,
    *,
    safety_factor: float = 2.0,
    share: float = CEILING_SHARE,
    peg_bore_mm: float = 0.0,
) -> TorqueWindow:
    """Between which torques a joint holds its limb and spares its peg.

    From n m g r to a share of the torque at which the peg yields.

    Returns: TorqueWindow; `empty` where the two cross. Raises: ImpossibleInput for a bore not below the
    diameter.

    Example: an arm of 30 g at 50 mm on a 4 mm peg of ABS: 0.03 to 0.145 N·m.
    """
    hold = hold_torque(limb_mass_g, lever_mm, safety_factor=safety_factor)
    ceiling = peg_torque_ceiling(peg_diameter_mm, yield_mpa, share=share, peg_bore_mm=peg_bore_mm)
    crossed = hold.torque_nm > ceiling.torque_nm
    said = "no torque holds the limb and spares the peg: a thicker peg, a ratchet or a lighter limb is needed"
    return TorqueWindow(
        low_nm=hold.torque_nm,
        high_nm=ceiling.torque_nm,
        hold=hold,
        ceiling=ceiling,
        cautions=(Caution(said),) if crossed else (),
    )

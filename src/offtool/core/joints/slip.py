"""A pin that moves freely in a bore: clearance, and what tolerances leave of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from offtool.core.formulas import formula
from offtool.core.joints.materials import one_piece
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.values import Caution, Range
from offtool.handbook.terms import JointKind


class Fit(StrEnum):
    """What the limits of a shaft and a bore allow, in the words of ISO 286."""

    CLEARANCE = "clearance"
    TRANSITION = "transition"
    INTERFERENCE = "interference"


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipFit:
    """The clearance on diameter as drawn, and between which ends the limits leave it; negative is
    interference."""

    clearance_mm: float
    least_mm: float
    most_mm: float
    fit: Fit
    shaft_diameter_mm: float
    bore_diameter_mm: float
    shaft_plus_minus_mm: float
    bore_plus_minus_mm: float
    cautions: tuple[Caution, ...] = ()


def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
    """Clearance in mm of every pair; nothing is strained on purpose."""
    shaft, bore = sizes["shaft_diameter"], sizes["bore_diameter"]
    clearance = np.where((shaft > 0) & (bore > 0), bore - shaft, np.nan)
    return Response(measure=clearance, strain_use=np.zeros_like(clearance))


MODEL = JointModel(kind=JointKind.SLIP, respond=respond)


@formula(
    limits={
        "shaft_diameter_mm": Range(meaning="diameter of the shaft or pin", unit="mm", above=0),
        "bore_diameter_mm": Range(meaning="diameter of the bore", unit="mm", above=0),
        "shaft_plus_minus_mm": Range(
            meaning="how far the shaft may be off, either way", unit="mm", at_least=0
        ),
        "bore_plus_minus_mm": Range(meaning="how far the bore may be off, either way", unit="mm", at_least=0),
    },
    example={
        "shaft_diameter_mm": 3.95,
        "bore_diameter_mm": 4.02,
        "shaft_plus_minus_mm": 0.02,
        "bore_plus_minus_mm": 0.03,
    },
    source="ISO 286-1, definitions of clearance, transition and interference fit (from memory)",
)
def slip_fit(
    shaft_diameter_mm: float,
    bore_diameter_mm: float,
    *,
    shaft_plus_minus_mm: float,
    bore_plus_minus_mm: float,
) -> SlipFit:
    """How much play a pin has in its bore, at the limits of both.

    Least: smallest bore less largest shaft; most: largest bore less smallest shaft. All pairs clear: a
    clearance fit; none does: an interference fit; else a transition fit.

    Returns: SlipFit.

    Example: 3.95 ± 0.02 in 4.02 ± 0.03 clears by 0.02 to 0.12 mm.
    """
    sizes = one_piece(shaft_diameter=shaft_diameter_mm, bore_diameter=bore_diameter_mm)
    clearance = float(respond(sizes, Materials(), np.asarray(0.0)).measure)
    reach = shaft_plus_minus_mm + bore_plus_minus_mm
    least, most = clearance - reach, clearance + reach
    fit = Fit.CLEARANCE if least >= 0 else Fit.INTERFERENCE if most <= 0 else Fit.TRANSITION
    return SlipFit(
        clearance_mm=clearance,
        least_mm=least,
        most_mm=most,
        fit=fit,
        shaft_diameter_mm=shaft_diameter_mm,
        bore_diameter_mm=bore_diameter_mm,
        shaft_plus_minus_mm=shaft_plus_minus_mm,
        bore_plus_minus_mm=bore_plus_minus_mm,
        cautions=_cautions(fit, shaft_plus_minus_mm, bore_plus_minus_mm, shaft_diameter_mm, bore_diameter_mm),
    )


def _cautions(fit: Fit, shaft_off: float, bore_off: float, shaft: float, bore: float) -> tuple[Caution, ...]:
    said = {
        Fit.CLEARANCE: "",
        Fit.TRANSITION: "some pairs are tight: not every pin will move freely",
        Fit.INTERFERENCE: "every pair is tight: the pin is pressed and does not move freely",
    }[fit]
    cautions: tuple[Caution, ...] = (Caution(said),) if said else ()
    if shaft_off >= shaft or bore_off >= bore:
        cautions += (Caution("a tolerance is as large as the size itself: check its unit"),)
    return cautions

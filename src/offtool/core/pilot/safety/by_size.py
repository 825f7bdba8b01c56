"""What can be said of a piece that came off when only its largest size is known."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from offtool.core.formulas import formula
from offtool.core.pilot.safety.gauge import LONGEST
from offtool.core.values import Caution, Range, Verdict
from offtool.handbook.toy_law import LAW_DECIDES, SMALL_PARTS

SURELY_FITS_MM = SMALL_PARTS.diameter_mm / sqrt(1.5)
"""Jung: a body of largest size d lies in a ball of d sqrt(3 / 2); a ball as wide as the gauge fits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeInGauge:
    """`verdict` holds where no piece of that size fits, and does not hold where every one does."""

    verdict: Verdict
    largest_mm: float
    surely_fits_mm: float
    surely_not_mm: float
    words: str
    section: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "largest_mm": Range(
            meaning="largest size of the piece, from one end to the other", unit="mm", above=0, at_most=1000
        )
    },
    example={"largest_mm": 22.0},
    source=f"{SMALL_PARTS.section}; Jung 1901, from memory",
)
def small_part_by_size(largest_mm: float) -> SizeInGauge:
    """Whether a piece is a small part, as far as its largest size alone can say it.

    Up to D / sqrt(3 / 2) every shape lies in a ball that fits; beyond sqrt(D^2 + deep^2) none is inside.

    Returns: SizeInGauge; between the two it is not shown, and the piece belongs into the gauge.

    Holds when: the size is the largest distance between two points of the piece.

    Example: 22 mm fits in any shape; 40 mm hangs on the shape; 70 mm does not fit.
    """
    fits, never = largest_mm <= SURELY_FITS_MM, largest_mm > LONGEST
    verdict = Verdict.FAILS if fits else Verdict.HOLDS if never else Verdict.NOT_SHOWN
    return SizeInGauge(
        verdict=verdict,
        largest_mm=largest_mm,
        surely_fits_mm=SURELY_FITS_MM,
        surely_not_mm=LONGEST,
        words=_words(verdict, largest_mm),
        section=SMALL_PARTS.section,
        cautions=(LAW_DECIDES,),
    )


def _words(verdict: Verdict, largest_mm: float) -> str:
    if verdict is Verdict.FAILS:
        return f"a piece of {largest_mm:g} mm fits into the cylinder in any shape: it is a small part"
    if verdict is Verdict.HOLDS:
        return f"a piece of {largest_mm:g} mm does not fit into the cylinder: it is no small part"
    return f"whether a piece of {largest_mm:g} mm fits hangs on its shape: put it into the cylinder"

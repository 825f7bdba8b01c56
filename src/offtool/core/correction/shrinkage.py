"""Shrinkage of a size, and the exact split of its deviation into steel and shrinkage."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.correction.limits import ALLOWED, CAVITY, PART, SHRINKAGE, TARGET
from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range

MOST_SHRINKAGE = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrinkage:
    """Moulding shrinkage S = (C - P) / C as a fraction."""

    value: float
    cavity_mm: float
    part_mm: float
    cautions: tuple[Caution, ...] = ()

    @property
    def percent(self) -> float:
        """The same in per cent."""
        return 100 * self.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A deviation in mm of part, told apart by where it comes from; the shares add up to the deviation
    exactly."""

    deviation_mm: float
    left_on_purpose_mm: float
    cut_inaccurately_mm: float
    shrinkage_mm: float
    local_mm: float
    cavity_mm: float
    shrinkage_found: float
    cautions: tuple[Caution, ...] = ()

    @property
    def steel_mm(self) -> float:
        """Share of the steel: left on purpose and cut inaccurately together."""
        return self.left_on_purpose_mm + self.cut_inaccurately_mm

    def cause(self, noise_mm: float = 0.0) -> str:
        """The share that explains most of the deviation, in words; "noise" when none stands out of it."""
        shares = {
            "steel left on purpose": self.left_on_purpose_mm,
            "steel cut inaccurately": self.cut_inaccurately_mm,
            "shrinkage": self.shrinkage_mm,
            "local shrinkage": self.local_mm,
            "one cavity": self.cavity_mm,
        }
        same_way = {name: share for name, share in shares.items() if share * self.deviation_mm > 0}
        name = max(same_way, key=lambda one: abs(same_way[one]), default="noise")
        return name if name in same_way and abs(same_way[name]) > noise_mm else "noise"


@formula(
    limits={"cavity_mm": CAVITY, "part_mm": PART},
    example={"cavity_mm": 60.0, "part_mm": 59.7},
    source="ISO 294-4:2018, moulding shrinkage (definition from memory)",
)
def shrinkage(cavity_mm: float, part_mm: float) -> Shrinkage:
    """How much smaller the part is than the steel that formed it.

    S = (C - P) / C. The divisor is the cavity, not the part.

    Returns: Shrinkage. Raises: ImpossibleInput when the two cannot belong together (|S| of 20 % or more).

    Example: cavity 60.00, part 59.70 give 0.5 %.
    """
    value = (cavity_mm - part_mm) / cavity_mm
    if abs(value) >= MOST_SHRINKAGE:
        raise ImpossibleInput(
            "part_mm",
            part_mm,
            "mm",
            f"does not belong to steel of {cavity_mm:g} mm: shrinkage would be {value:.0%}",
            "check the unit, diameter against radius, and that the feature forms this size",
        )
    return Shrinkage(value=value, cavity_mm=cavity_mm, part_mm=part_mm)


@formula(
    limits={
        "part_mm": PART,
        "target_mm": TARGET,
        "cavity_mm": CAVITY,
        "allowed": ALLOWED,
        "drawn_mm": Range(meaning="steel size on the tool drawing; blank when unknown", unit="mm", above=0),
        "direction_shrinkage": Range(
            meaning="shrinkage pooled over all sizes of this direction, as a fraction; blank when unknown",
            above=-0.2,
            below=0.2,
        ),
        "size_shrinkage": SHRINKAGE,
    },
    example={"part_mm": 20.025, "target_mm": 19.9995, "cavity_mm": 20.15, "allowed": 0.005},
    source="algebra; worked example recomputed in the tests with exact fractions",
)
def split_deviation(
    part_mm: float,
    target_mm: float,
    *,
    cavity_mm: float,
    allowed: float,
    drawn_mm: float | None = None,
    direction_shrinkage: float | None = None,
    size_shrinkage: float | None = None,
) -> Split:
    """Where a deviation from target comes from: steel, shrinkage of the direction, of the place, one cavity.

    With C the steel found, C0 = target / (1 - S0) the steel that the allowed shrinkage S0 asks for, and S
    found: P - target = (C - C0)(1 - S0) - C (S - S0). The steel's share is told apart at the drawn size;
    shrinkage is told apart at the direction's and the size's pooled values where they are given.

    Returns: Split, whose shares add up exactly. Raises: ImpossibleInput as `shrinkage` does.

    Holds when: the steel size was measured. Without it, steel and shrinkage cannot be told apart.

    Example: steel 20.15 where 20.10 was asked, S 0.62 % where 0.50 % was allowed: +0.0498 - 0.0242 = +0.026
    mm.
    """
    found = shrinkage(cavity_mm, part_mm).value
    asked = target_mm / (1 - allowed)
    drawn = cavity_mm if drawn_mm is None else drawn_mm
    # Without pooled values the whole of the shrinkage is the direction's share.
    size = found if size_shrinkage is None else size_shrinkage
    direction = size if direction_shrinkage is None else direction_shrinkage
    cautions = (
        ()
        if drawn_mm is not None
        else (
            Caution("no drawn steel size: steel left on purpose cannot be told from steel cut inaccurately"),
        )
    )
    return Split(
        deviation_mm=part_mm - target_mm,
        left_on_purpose_mm=(drawn - asked) * (1 - allowed),
        cut_inaccurately_mm=(cavity_mm - drawn) * (1 - allowed),
        shrinkage_mm=-cavity_mm * (direction - allowed),
        local_mm=-cavity_mm * (size - direction),
        cavity_mm=-cavity_mm * (found - size),
        shrinkage_found=found,
        cautions=cautions,
    )

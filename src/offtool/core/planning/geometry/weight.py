"""What a part and a shot weigh, from the volume of the drawing."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range, nearest
from offtool.handbook.defects import PRACTICE
from offtool.handbook.resins import RESINS, resin_default

FROM_THE_DRAWING = Caution(
    "from the volume of the drawing and the density at room temperature: pigment, packing and a part that is "
    "not full shift it by some per cent; the scales at the press decide",
    PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartWeight:
    """The weight of one part."""

    weight_g: float
    density_g_cm3: float
    source: str
    volume_cm3: float
    resin: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotWeight:
    """What is injected in one cycle."""

    shot_g: float
    parts_g: float
    runner_share: float
    """Of the whole shot."""
    part_g: float
    cavities: int
    runner_g: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "volume_cm3": Range(meaning="volume of the part", unit="cm³", above=0, at_most=1e6,
                            usual=(0.01, 2000), source=PRACTICE, remedy="1 cm³ is 1000 mm³"),
        "resin": Range(meaning="resin by its code, such as ABS"),
        "density_g_cm3": Range(meaning="density from the data sheet; blank for the handbook's", unit="g/cm³",
                               above=0, at_most=25, usual=(0.8, 2.5), source=PRACTICE),
    },
    example={"volume_cm3": 5.9, "resin": "ABS"},
    source="mass = volume x density; densities: public tables of resin suppliers",
)  # fmt: skip
def part_weight(volume_cm3: float, *, resin: str = "", density_g_cm3: float | None = None) -> PartWeight:
    """What a part weighs in a resin.

    m = V density.

    Returns: PartWeight. Raises: ImpossibleInput for a resin whose density is neither given nor on the list.

    Holds when: the part is full and solid. The density is that at room temperature; a filler or a foam has
    another one, which its data sheet gives.

    Example: 10 cm³ of ABS at 1.05 g/cm³ weigh 10.5 g.
    """
    density, source = _density(resin, density_g_cm3)
    return PartWeight(
        weight_g=volume_cm3 * density,
        density_g_cm3=density,
        source=source,
        volume_cm3=volume_cm3,
        resin=resin,
        cautions=(FROM_THE_DRAWING,),
    )


@formula(
    limits={
        "part_g": Range(meaning="weight of one part", unit="g", above=0, at_most=1e5, usual=(0.01, 2000),
                        source=PRACTICE),
        "cavities": Range(meaning="cavities that are filled in one shot", at_least=1, at_most=512),
        "runner_g": Range(meaning="sprue and runner that come out with the parts; 0 with a hot runner",
                          unit="g", at_least=0, at_most=1e5),
    },
    example={"part_g": 6.2, "cavities": 4, "runner_g": 5.5},
    source="sum of what is in the mould",
)  # fmt: skip
def shot_weight(part_g: float, *, cavities: int, runner_g: float = 0.0) -> ShotWeight:
    """What is injected in one cycle, and how much of it is runner.

    m = cavities x part + runner.

    Returns: ShotWeight. Raises: ImpossibleInput for what cannot be, as the ranges say.

    Holds when: all cavities make the same part; of a family tool add the parts up first.

    Example: four parts of 6.2 g with a runner of 5.5 g are 30.3 g.
    """
    parts = part_g * cavities
    shot = parts + runner_g
    return ShotWeight(
        shot_g=shot,
        parts_g=parts,
        runner_share=runner_g / shot,
        part_g=part_g,
        cavities=cavities,
        runner_g=runner_g,
    )


def _density(resin: str, given: float | None) -> tuple[float, str]:
    if given is not None:
        return given, "given"
    found = resin_default(resin)
    if found is None or found.density_g_cm3 is None:
        remedy = f"give its density; {nearest(resin.upper(), [one.code for one in RESINS])}"
        raise ImpossibleInput("resin", resin or "blank", "", "its density is not on the list", remedy)
    return found.density_g_cm3, f"density of {found.code}, {found.source}"

"""How long a plate or a round pin cools until it can be pushed out: closed forms, by middle or by mean."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from offtool.core.formulas import formula
from offtool.core.planning.cycle.limits import LIMITS, refuse_crossed
from offtool.core.planning.cycle.series import Series, cylinder_series, plate_series
from offtool.core.values import Caution, Range

Criterion: TypeAlias = Literal["centreline", "average"]
Shape: TypeAlias = Literal["plate", "cylinder"]

SOURCE = "H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, chapters III and VII, from memory"
ONE_TERM_GOOD = 0.02
"""Share by which the first term may be off before it is said."""
WARMEST = Range(meaning="by what the part must be below the temperature: its middle, or its mean")

STEEL_AS_HELD = Caution(
    "the steel is taken to stay at its temperature and to touch the part; with a gap, a hot core pin or no "
    "water near it takes longer",
    SOURCE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingTime:
    """Time from the end of filling until the part can be pushed out, by the whole series and by one term."""

    time_s: float
    one_term_s: float
    """As books print it; the first term of the series alone."""
    fourier: float
    share_left: float
    """Of the difference between melt and mould, what is left at ejection."""
    shape: Shape
    criterion: Criterion
    size_mm: float
    melt_c: float
    mould_c: float
    eject_c: float
    diffusivity_mm2_s: float
    cautions: tuple[Caution, ...] = ()


METHODS: Mapping[Shape, Callable[[], Mapping[str, Series]]] = MappingProxyType(
    {"plate": plate_series, "cylinder": cylinder_series}
)
"""The series of each shape, by criterion."""
ACROSS: Mapping[Shape, float] = MappingProxyType({"plate": 1.0, "cylinder": 0.5})
"""The length in the Fourier number, as a share of the size that is given: the wall, the radius."""

_TEMPERATURES = {name: LIMITS[name] for name in ("melt_c", "mould_c", "eject_c", "diffusivity_mm2_s")}
_ABS = {"melt_c": 230.0, "mould_c": 50.0, "eject_c": 90.0, "diffusivity_mm2_s": 0.085}


@formula(
    limits={"wall_mm": LIMITS["wall_mm"], **_TEMPERATURES, "criterion": WARMEST},
    example={"wall_mm": 2.0, **_ABS},
    source=SOURCE,
)
def cooling_time_plate(
    wall_mm: float,
    *,
    melt_c: float,
    mould_c: float,
    eject_c: float,
    diffusivity_mm2_s: float,
    criterion: Criterion = "centreline",
) -> CoolingTime:
    """How long a wall cools between two halves of one temperature until it can be pushed out.

    One term: t = s^2 / (pi^2 a) ln(4/pi (Tm - Tw) / (Te - Tw)) for the middle, with 8/pi^2 for the mean; the
    time given is that of the whole series.

    Returns: CoolingTime. Raises: ImpossibleInput for temperatures that cross.

    Holds when: the wall is much wider than thick, the steel stays at its temperature, and one diffusivity
    serves from melt to ejection. The thickest wall decides.

    Example: 2 mm at 230 °C against 50 °C, out at 90 °C, 0.085 mm²/s: 8.3 s for the middle, 6.2 s for the
    mean.
    """
    return _cooling("plate", wall_mm, melt_c, mould_c, eject_c, diffusivity_mm2_s, criterion)


@formula(
    limits={"diameter_mm": LIMITS["diameter_mm"], **_TEMPERATURES, "criterion": WARMEST},
    example={"diameter_mm": 4.0, **_ABS},
    source=SOURCE,
)
def cooling_time_cylinder(
    diameter_mm: float,
    *,
    melt_c: float,
    mould_c: float,
    eject_c: float,
    diffusivity_mm2_s: float,
    criterion: Criterion = "centreline",
) -> CoolingTime:
    """How long a round pin, a boss or a sprue cools until it can be pushed out.

    One term: t = R^2 / (5.783 a) ln(1.602 (Tm - Tw) / (Te - Tw)) for the middle, with 0.6917 for the mean;
    the time given is that of the whole series.

    Returns: CoolingTime. Raises: ImpossibleInput for temperatures that cross.

    Holds when: it is much longer than thick, and steel at one temperature is all around it.

    Example: a pin of 4 mm cools for about 16 s where a wall of 4 mm needs about 33 s.
    """
    return _cooling("cylinder", diameter_mm, melt_c, mould_c, eject_c, diffusivity_mm2_s, criterion)


def _cooling(
    shape: Shape,
    size_mm: float,
    melt_c: float,
    mould_c: float,
    eject_c: float,
    diffusivity_mm2_s: float,
    criterion: Criterion,
) -> CoolingTime:
    refuse_crossed(melt_c, mould_c, eject_c)
    series = METHODS[shape]()[criterion]
    share = (eject_c - mould_c) / (melt_c - mould_c)
    fourier = series.fourier(share)
    seconds = (ACROSS[shape] * size_mm) ** 2 / diffusivity_mm2_s
    one_term = series.one_term(share)
    return CoolingTime(
        time_s=fourier * seconds,
        one_term_s=one_term * seconds,
        fourier=fourier,
        share_left=share,
        shape=shape,
        criterion=criterion,
        size_mm=size_mm,
        melt_c=melt_c,
        mould_c=mould_c,
        eject_c=eject_c,
        diffusivity_mm2_s=diffusivity_mm2_s,
        cautions=(*_about_one_term(one_term, fourier), STEEL_AS_HELD),
    )


def _about_one_term(one_term: float, fourier: float) -> tuple[Caution, ...]:
    if abs(one_term - fourier) <= ONE_TERM_GOOD * fourier:
        return ()
    return (
        Caution("so early that the first term alone is off: the time of the whole series stands", SOURCE),
    )

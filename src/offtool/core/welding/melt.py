"""How much a seam melts, and whether the room that is left for it takes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from offtool.core.formulas import formula
from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.core.welding.cautions import AT_THE_WELDER, EDGES
from offtool.core.welding.seam import (
    IN_MM,
    LIMITS,
    PLUS_MINUS,
    SeamSizes,
    Spans,
    over,
    ridge_section,
    seam_of,
    spans_of,
    unusual,
)
from offtool.handbook.terms import SeamKind

GEOMETRY = "geometry; melt keeps its volume"
ENGAGED = Range(
    meaning="how far tongue or step stands in the other part when closed; 0: gaps beside it do not count",
    unit="mm",
    at_least=0,
    at_most=50,
    remedy=IN_MM,
)


class Flash(StrEnum):
    """Whether melt comes out of the seam."""

    EXPECTED = "expected"
    NOT_EXPECTED = "not expected"
    UNSURE = "cannot be said"


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where melt may go, as area across the seam; `gap_mm` is where it rises when squeezed out sideways."""

    area_mm2: Span | None = None
    gap_mm: Span | None = None
    spread_mm: Span | None = None
    """Width over which it is squeezed flat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamMelt:
    """Melt of a seam with its spread. `filled` is its share of the room; None where no room is made for it.

    `film_mm`: thickness if all of it were spread over the faces. `rise_mm`: height if all of it went into the
    gap at the side.
    """

    kind: SeamKind
    section_mm2: Span
    volume_mm3: Span
    room_mm3: Span | None
    filled: Span | None
    film_mm: Span | None
    rise_mm: Span | None
    flash: Flash
    words: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "ridge_height_mm": LIMITS["ridge_height"],
        "seam_length_mm": LIMITS["seam_length"],
        "joint_width_mm": LIMITS["joint_width"],
        "ridge_angle_deg": LIMITS["ridge_angle_deg"],
        "plus_minus_mm": PLUS_MINUS,
    },
    example={"ridge_height_mm": 0.4, "seam_length_mm": 120.0, "joint_width_mm": 2.0},
    source=GEOMETRY,
)
def ridge_melt(
    ridge_height_mm: float,
    seam_length_mm: float,
    *,
    joint_width_mm: float,
    ridge_angle_deg: float = 90.0,
    plus_minus_mm: float = 0.0,
) -> SeamMelt:
    """How much a ridge between two flat faces melts, and how thin it is squeezed.

    V = h^2 tan(angle / 2) L; film = V / (width L).

    Returns: SeamMelt; flat faces leave no room, so that flash cannot be said.
    Raises: ImpossibleInput for sizes that cannot be.

    Holds when: all of the ridge melts. What melts of the walls beside it comes on top.

    Example: 0.4 mm at 90 degrees on 2 mm, 120 mm long: 0.16 mm² times 120 are 19.2 mm³, a film of 0.08 mm.
    """
    return _melt(
        seam_of(
            SeamKind.RIDGE,
            plus_minus_mm,
            joint_width=joint_width_mm,
            seam_length=seam_length_mm,
            ridge_height=ridge_height_mm,
            ridge_angle_deg=ridge_angle_deg,
        )
    )


@formula(
    limits={
        "ridge_height_mm": LIMITS["ridge_height"],
        "seam_length_mm": LIMITS["seam_length"],
        "joint_width_mm": LIMITS["joint_width"],
        "side_gap_mm": LIMITS["side_gap"],
        "ridge_angle_deg": LIMITS["ridge_angle_deg"],
        "step_height_mm": ENGAGED,
        "plus_minus_mm": PLUS_MINUS,
    },
    example={
        "ridge_height_mm": 0.4,
        "seam_length_mm": 120.0,
        "joint_width_mm": 1.0,
        "side_gap_mm": 0.08,
        "step_height_mm": 2.5,
    },
    source=GEOMETRY,
)
def step_melt(
    ridge_height_mm: float,
    seam_length_mm: float,
    *,
    joint_width_mm: float,
    side_gap_mm: float,
    ridge_angle_deg: float = 90.0,
    step_height_mm: float = 0.0,
    plus_minus_mm: float = 0.0,
) -> SeamMelt:
    """How much the ridge of a step melts, and how high it rises in the gap beside the step.

    V = h^2 tan(angle / 2) L; rise = V / (gap L); filled = V / (gap step L).

    Returns: SeamMelt; without the height of the step only the rise. The shadow gap is no room: it is seen.
    Raises: ImpossibleInput for sizes that cannot be.

    Holds when: all of the ridge melts and goes into the gap at one side.

    Example: 0.16 mm² into a gap of 0.08 mm rises 2.0 mm: 80 % of a step of 2.5 mm.
    """
    seam = seam_of(
        SeamKind.STEP,
        plus_minus_mm,
        joint_width=joint_width_mm,
        seam_length=seam_length_mm,
        ridge_height=ridge_height_mm,
        ridge_angle_deg=ridge_angle_deg,
        side_gap=side_gap_mm,
    )
    return _melt(seam, step_height_mm)


@formula(
    limits={
        "ridge_height_mm": LIMITS["ridge_height"],
        "seam_length_mm": LIMITS["seam_length"],
        "tongue_width_mm": LIMITS["tongue_width"],
        "groove_width_mm": LIMITS["groove_width"],
        "groove_depth_mm": LIMITS["groove_depth"],
        "ridge_angle_deg": LIMITS["ridge_angle_deg"],
        "tongue_height_mm": ENGAGED,
        "plus_minus_mm": PLUS_MINUS,
    },
    example={
        "ridge_height_mm": 0.5,
        "seam_length_mm": 120.0,
        "tongue_width_mm": 1.8,
        "groove_width_mm": 2.0,
        "groove_depth_mm": 0.2,
    },
    source=GEOMETRY,
)
def groove_melt(
    ridge_height_mm: float,
    seam_length_mm: float,
    *,
    tongue_width_mm: float,
    groove_width_mm: float,
    groove_depth_mm: float,
    ridge_angle_deg: float = 90.0,
    tongue_height_mm: float = 0.0,
    plus_minus_mm: float = 0.0,
) -> SeamMelt:
    """How much the ridge on a tongue melts, and what share of the groove it fills.

    V = h^2 tan(angle / 2) L; room = (groove width times room under the tongue, plus both side gaps times the
    tongue's height in the groove) L.

    Returns: SeamMelt. Raises: ImpossibleInput for sizes that cannot be.

    Holds when: all of the ridge melts; the room under the tongue is what is left when the halves are closed.

    Example: 0.25 mm² into 2.0 mm times 0.2 mm fills 62.5 %.
    """
    seam = seam_of(
        SeamKind.GROOVE,
        plus_minus_mm,
        seam_length=seam_length_mm,
        ridge_height=ridge_height_mm,
        ridge_angle_deg=ridge_angle_deg,
        tongue_width=tongue_width_mm,
        groove_width=groove_width_mm,
        groove_depth=groove_depth_mm,
    )
    return _melt(seam, tongue_height_mm)


@formula(
    limits={
        "interference_mm": LIMITS["interference"],
        "weld_depth_mm": LIMITS["weld_depth"],
        "seam_length_mm": LIMITS["seam_length"],
        "plus_minus_mm": PLUS_MINUS,
    },
    example={"interference_mm": 0.3, "weld_depth_mm": 2.0, "seam_length_mm": 120.0},
    source=GEOMETRY,
)
def shear_melt(
    interference_mm: float, weld_depth_mm: float, seam_length_mm: float, *, plus_minus_mm: float = 0.0
) -> SeamMelt:
    """How much melts where one wall is driven down inside another.

    V = interference per side times depth times L. The lead-in is not taken off.

    Returns: SeamMelt; clearance melts nothing. Raises: ImpossibleInput for sizes that cannot be.

    Holds when: the walls are held so that they do not give way.

    Example: 0.3 mm by 2 mm by 120 mm are 72 mm³.
    """
    return _melt(
        seam_of(
            SeamKind.SHEAR,
            plus_minus_mm,
            seam_length=seam_length_mm,
            interference=interference_mm,
            weld_depth=weld_depth_mm,
        )
    )


@formula(
    limits={"seam": Range(meaning="a seam: kind and sizes by role, each with its plus or minus")},
    example={
        "seam": {
            "kind": "tongue and groove",
            "sizes": [
                {"role": "seam_length", "value": 120.0},
                {"role": "ridge_height", "value": 0.5, "plus_minus": 0.03},
                {"role": "tongue_width", "value": 1.8, "plus_minus": 0.03},
                {"role": "groove_width", "value": 2.0, "plus_minus": 0.03},
                {"role": "groove_depth", "value": 0.2, "plus_minus": 0.03},
            ],
        }
    },
    source=GEOMETRY,
)
def seam_melt(seam: SeamSizes) -> SeamMelt:
    """How much a seam of any kind melts, with the spread of its sizes.

    As `ridge_melt`, `step_melt`, `groove_melt` and `shear_melt`, each size with a spread of its own.

    Returns: SeamMelt. Raises: ImpossibleInput for sizes that cannot be, or that are missing.
    """
    return _melt(seam, unsaid=unusual(seam))


def _melt(seam: SeamSizes, engaged_mm: float = 0.0, unsaid: tuple[Caution, ...] = ()) -> SeamMelt:
    sizes = spans_of(seam)
    way = MELTS[seam.kind]
    for role in ("seam_length", *way.needed):
        if role not in sizes:
            raise ImpossibleInput(role, "nothing", LIMITS[role].unit, "must be given: the melt rests on it")
    section, length, room = way.section(sizes), sizes["seam_length"], way.room(sizes, engaged_mm)
    filled = None if room.area_mm2 is None else over(section, room.area_mm2)
    rise = None if room.gap_mm is None else over(section, room.gap_mm)
    flash = _flash(filled)
    return SeamMelt(
        kind=seam.kind,
        section_mm2=section,
        volume_mm3=_times(section, length),
        room_mm3=None if room.area_mm2 is None else _times(room.area_mm2, length),
        filled=filled,
        film_mm=None if room.spread_mm is None else over(section, room.spread_mm),
        rise_mm=rise,
        flash=flash,
        words=_words(section, filled, rise, flash),
        cautions=(*unsaid, *AT_THE_WELDER, *(() if flash is Flash.NOT_EXPECTED else (EDGES,))),
    )


def _overlap(sizes: Spans) -> Span:
    return _times(_not_negative(sizes["interference"]), sizes["weld_depth"])


def _flat(sizes: Spans, _: float) -> Room:
    return Room(spread_mm=sizes.get("joint_width"))


def _beside_step(sizes: Spans, height: float) -> Room:
    gap = sizes["side_gap"]
    area = Span(low=gap.low * height, high=gap.high * height) if height > 0 else None
    return Room(area_mm2=area, gap_mm=gap, spread_mm=sizes.get("joint_width"))


def _in_groove(sizes: Spans, height: float) -> Room:
    width, tongue = sizes["groove_width"], sizes["tongue_width"]
    gaps = _not_negative(Span(low=width.low - tongue.high, high=width.high - tongue.low))
    under = _times(width, sizes["groove_depth"])
    area = Span(low=under.low + gaps.low * height, high=under.high + gaps.high * height)
    return Room(area_mm2=area, spread_mm=width)


def _no_room(_sizes: Spans, _height: float) -> Room:
    return Room()


@dataclass(frozen=True, slots=True)
class MeltingWay:
    """The sizes it rests on beside the length, what melts across the seam, and the room for it."""

    needed: tuple[str, ...]
    section: Callable[[Spans], Span]
    room: Callable[[Spans, float], Room]


_RIDGE = ("ridge_height", "ridge_angle_deg")
_GROOVE = (*_RIDGE, "tongue_width", "groove_width", "groove_depth")
MELTS: Mapping[SeamKind, MeltingWay] = MappingProxyType(
    {
        SeamKind.RIDGE: MeltingWay(_RIDGE, ridge_section, _flat),
        SeamKind.STEP: MeltingWay((*_RIDGE, "side_gap"), ridge_section, _beside_step),
        SeamKind.GROOVE: MeltingWay(_GROOVE, ridge_section, _in_groove),
        SeamKind.SHEAR: MeltingWay(("interference", "weld_depth"), _overlap, _no_room),
    }
)
"""How each kind melts."""


def _flash(filled: Span | None) -> Flash:
    if filled is None:
        return Flash.UNSURE
    if filled.low > 1:
        return Flash.EXPECTED
    return Flash.NOT_EXPECTED if filled.high <= 1 else Flash.UNSURE


def _words(section: Span, filled: Span | None, rise: Span | None, flash: Flash) -> str:
    if section.high == 0:
        return "nothing is there to melt: no weld"
    if section.low == 0:
        return "some pieces may have nothing to melt: no weld in those"
    if filled is not None:
        return f"melt fills {_ends(filled, 100)} % of its room: flash {flash}"
    if rise is not None:
        return f"melt rises {_ends(rise)} mm in the gap: flash where the step is lower"
    return "no room is made for the melt: what is squeezed out is seen"


def _ends(span: Span, factor: float = 1.0) -> str:
    low, high = f"{span.low * factor:.3g}", f"{span.high * factor:.3g}"
    return low if low == high else f"{low} to {high}"


def _times(one: Span, other: Span) -> Span:
    return Span(low=one.low * other.low, high=one.high * other.high)


def _not_negative(span: Span) -> Span:
    return Span(low=max(span.low, 0.0), high=max(span.high, 0.0))

"""The rules that a seam is drawn by, as a table: what is looked at, between which ends, what to do.

Sources disagree: where they do the wider range is kept, and the source says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf
from types import MappingProxyType

from offtool.core.joints.evidence import Span
from offtool.core.welding.melt import MELTS
from offtool.core.welding.seam import Spans, over, ridge_base
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import SeamKind

GUIDE = "a public guide to joints for ultrasonic assembly (least heights and widths)"
FROM_MEMORY = "a horn maker's table, from memory"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamRule:
    """One rule. `wanted` is given the sizes and whether the resin wants a sharp ridge (None: not known)."""

    what: str
    unit: str
    needs: tuple[str, ...]
    found: Callable[[Spans], Span]
    wanted: Callable[[Spans, bool | None], Span]
    too_low: str
    too_high: str
    source: str
    applies: Callable[[Spans], bool] = lambda _: True


RIDGE_HEIGHTS: Mapping[bool | None, Span] = MappingProxyType(
    {False: Span(low=0.2, high=0.6), True: Span(low=0.4, high=0.8), None: Span(low=0.2, high=0.8)}
)
"""mm, by whether the resin wants a sharp ridge. The guide has 0.2 to 0.6, or 0.4 to 0.5 at 60
degrees, and calls them least heights, the wider the joint the higher; practice goes to 0.7 at 90 and 0.8 at
60."""

RIDGE_ANGLES: Mapping[bool | None, Span] = MappingProxyType(
    dict.fromkeys((True, False, None), Span(low=60, high=90))
)
LEAST_HEIGHT_SHARE, LEAST_BASE_SHARE = 0.10, 0.20
"""Of the joint width, for a ridge of 90 degrees; one and the same rule, as its base is twice its height."""
NEAR_90 = (85.0, 95.0)
SIDE_GAP = Span(low=0.05, high=0.10)
SHADOW_GAP = Span(low=0.25, high=0.50)
WELD_DEPTH_OVER_WALL = Span(low=1.25, high=1.5)
LEAD = Span(low=30, high=45)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShearSize:
    """Overlap per side, and how far the parts may scatter, for parts below a size, all mm."""

    below_mm: float
    overlap: Span
    plus_minus: float


SHEAR_SIZES = (
    ShearSize(below_mm=18, overlap=Span(low=0.2, high=0.3), plus_minus=0.025),
    ShearSize(below_mm=35, overlap=Span(low=0.3, high=0.4), plus_minus=0.05),
    ShearSize(below_mm=inf, overlap=Span(low=0.4, high=0.5), plus_minus=0.075),
)


def shear_size(largest_dimension_mm: float) -> ShearSize:
    """The row for a part of this size."""
    return next(one for one in SHEAR_SIZES if largest_dimension_mm < one.below_mm)


def _fixed(span: Span) -> Callable[[Spans, bool | None], Span]:
    return lambda _sizes, _sharp: span


def _by_resin(table: Mapping[bool | None, Span]) -> Callable[[Spans, bool | None], Span]:
    return lambda _sizes, sharp: table[sharp]


def _size(role: str) -> Callable[[Spans], Span]:
    return lambda sizes: sizes[role]


def _share(role: str, whole: str) -> Callable[[Spans], Span]:
    return lambda sizes: over(sizes[role], sizes[whole])


def _base_share(whole: str) -> Callable[[Spans], Span]:
    return lambda sizes: over(ridge_base(sizes), sizes[whole])


def _is_near_90(sizes: Spans) -> bool:
    angle = sizes["ridge_angle_deg"]
    return NEAR_90[0] <= angle.low and angle.high <= NEAR_90[1]


def _base_wanted(sizes: Spans, _: bool | None) -> Span:
    return Span(low=LEAST_BASE_SHARE if _is_near_90(sizes) else 0.0, high=1.0)


def _minus(one: Span, other: Span, factor: float = 1.0) -> Span:
    return Span(low=(one.low - other.high) * factor, high=(one.high - other.low) * factor)


def _filled(sizes: Spans) -> Span:
    way = MELTS[SeamKind.GROOVE]
    area = way.room(sizes, 0.0).area_mm2
    return over(way.section(sizes), area or Span(low=0, high=0))


def _half_spread(role: str) -> Callable[[Spans], Span]:
    def spread(sizes: Spans) -> Span:
        half = (sizes[role].high - sizes[role].low) / 2
        return Span(low=half, high=half)

    return spread


_HIGHER = "make the ridge higher: its groove in the steel is cut deeper, which is steel-safe"
_LOWER = "make the ridge lower: its groove in the steel is too deep, steel must be added or the face lowered"
_MORE_GAP = "open the gap: the outer wall or the inner one must give way"
_LESS_GAP = "close the gap: the halves are not guided, and melt runs out on one side"

RIDGE_RULES = (
    SeamRule(
        what="height of the ridge",
        unit="mm",
        needs=("ridge_height",),
        found=_size("ridge_height"),
        wanted=_by_resin(RIDGE_HEIGHTS),
        too_low=_HIGHER,
        too_high=_LOWER,
        source=f"{GUIDE}; wider for hard resins, {PRACTICE}",
    ),
    SeamRule(
        what="height of the ridge over the joint width",
        unit="1",
        needs=("ridge_height", "joint_width"),
        found=_share("ridge_height", "joint_width"),
        wanted=_fixed(Span(low=LEAST_HEIGHT_SHARE, high=inf)),
        too_low=f"too little melts to wet the width: {_HIGHER}, or make the faces narrower",
        too_high="",
        source=f"{GUIDE}, for 90 degrees",
    ),
    SeamRule(
        what="base of the ridge over the joint width",
        unit="1",
        needs=("ridge_height", "ridge_angle_deg", "joint_width"),
        found=_base_share("joint_width"),
        wanted=_base_wanted,
        too_low=f"the ridge is narrow for these faces: {_HIGHER}",
        too_high="the foot of the ridge is wider than the face: a lower or a sharper ridge",
        source=f"least share: {GUIDE}, for 90 degrees only; most: geometry",
    ),
    SeamRule(
        what="angle at the tip of the ridge",
        unit="deg",
        needs=("ridge_angle_deg",),
        found=_size("ridge_angle_deg"),
        wanted=_by_resin(RIDGE_ANGLES),
        too_low="a tip so sharp breaks or melts away before the faces meet: open it to 60 degrees",
        too_high="a tip so blunt does not gather the sound: 90 degrees, or 60 for resins that melt late",
        source=f"{GUIDE}; 60 for semi-crystalline resins and polycarbonate",
    ),
)

STEP_RULES = (
    SeamRule(
        what="gap at the side of the step",
        unit="mm",
        needs=("side_gap",),
        found=_size("side_gap"),
        wanted=_fixed(SIDE_GAP),
        too_low=f"the walls rub and take the sound away from the ridge: {_MORE_GAP}",
        too_high=_LESS_GAP,
        source=PRACTICE,
    ),
    SeamRule(
        what="shadow gap",
        unit="mm",
        needs=("shadow_gap",),
        found=_size("shadow_gap"),
        wanted=_fixed(SHADOW_GAP),
        too_low="so small a gap is seen as a bad fit: 0.25 to 0.5 mm, or none",
        too_high="so wide a gap is seen as an open seam: 0.25 to 0.5 mm",
        source=PRACTICE,
        applies=lambda sizes: sizes["shadow_gap"].high > 0,
    ),
)

GROOVE_RULES = (
    SeamRule(
        what="gap beside the tongue, each side",
        unit="mm",
        needs=("tongue_width", "groove_width"),
        found=lambda sizes: _minus(sizes["groove_width"], sizes["tongue_width"], 0.5),
        wanted=_fixed(SIDE_GAP),
        too_low="the tongue binds in the groove and melts at its sides: a narrower tongue or a wider groove",
        too_high="the tongue is not guided: a wider tongue or a narrower groove",
        source=f"{FROM_MEMORY}; {PRACTICE}",
    ),
    SeamRule(
        what="foot of the ridge over the tongue",
        unit="1",
        needs=("ridge_height", "ridge_angle_deg", "tongue_width"),
        found=_base_share("tongue_width"),
        wanted=_fixed(Span(low=0, high=1)),
        too_low="",
        too_high="the ridge does not fit on the tongue: a lower or a sharper ridge",
        source="geometry",
    ),
    SeamRule(
        what="ridge beyond the room under the tongue",
        unit="mm",
        needs=("ridge_height", "groove_depth"),
        found=lambda sizes: _minus(sizes["ridge_height"], sizes["groove_depth"]),
        wanted=_fixed(Span(low=1e-3, high=inf)),
        too_low="the halves close before the ridge reaches the floor: a higher ridge or a shallower groove",
        too_high="",
        source="geometry",
    ),
    SeamRule(
        what="melt over the room under the tongue",
        unit="1",
        needs=MELTS[SeamKind.GROOVE].needed,
        found=_filled,
        wanted=_fixed(Span(low=0, high=1)),
        too_low="",
        too_high="melt fills the room and goes on as flash: more room under the tongue or a lower ridge",
        source="geometry; melt keeps its volume",
    ),
)

SHEAR_RULES = (
    SeamRule(
        what="overlap, each side",
        unit="mm",
        needs=("interference", "largest_dimension"),
        found=_size("interference"),
        wanted=lambda sizes, _: shear_size(sizes["largest_dimension"].middle).overlap,
        too_low="too little melts, or nothing where there is clearance: more overlap",
        too_high="more melts than the welder can drive: less overlap, or steps in the height",
        source=FROM_MEMORY,
    ),
    SeamRule(
        what="spread of the overlap, either way",
        unit="mm",
        needs=("interference", "largest_dimension"),
        found=_half_spread("interference"),
        wanted=lambda sizes, _: Span(low=0, high=shear_size(sizes["largest_dimension"].middle).plus_minus),
        too_low="",
        too_high="the parts scatter too much for a shear joint: settle the press first, or weld a ridge",
        source=FROM_MEMORY,
        applies=lambda sizes: sizes["interference"].high > sizes["interference"].low,
    ),
    SeamRule(
        what="depth of the weld over the wall",
        unit="1",
        needs=("weld_depth", "wall"),
        found=_share("weld_depth", "wall"),
        wanted=_fixed(WELD_DEPTH_OVER_WALL),
        too_low="drive it deeper: the weld should be stronger than the wall",
        too_high="less depth: the rest costs time and flash and adds no strength",
        source=f"{PRACTICE}; others say 1 to 2 mm, and 0.8 to 1.4 mm for hard resins",
    ),
    SeamRule(
        what="angle of the lead-in",
        unit="deg",
        needs=("lead_deg",),
        found=_size("lead_deg"),
        wanted=_fixed(LEAD),
        too_low="a lead-in so flat to the wall wedges before it melts: 30 to 45 degrees",
        too_high="a lead-in so steep does not centre the parts: 30 to 45 degrees",
        source=PRACTICE,
    ),
)

RULES: Mapping[SeamKind, tuple[SeamRule, ...]] = MappingProxyType(
    {
        SeamKind.RIDGE: RIDGE_RULES,
        SeamKind.STEP: (*RIDGE_RULES, *STEP_RULES),
        SeamKind.GROOVE: (*RIDGE_RULES, *GROOVE_RULES),
        SeamKind.SHEAR: SHEAR_RULES,
    }
)
"""Every kind of seam with its rules; the checks, the pages and the docs read this table."""

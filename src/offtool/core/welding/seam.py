"""A seam's sizes, each with its spread: what the checks of its design and of its melt rest on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians, tan
from types import MappingProxyType
from typing import Any, TypeAlias

from offtool.core.joints.evidence import SizeGiven, Span
from offtool.core.values import Caution, ImpossibleInput, Range, nearest
from offtool.handbook.defects import PRACTICE
from offtool.handbook.joint_kinds import Role
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind
from offtool.handbook.weld_resins import WELD_RESINS, Ease, Pairing, pairing, weld_resin

Spans: TypeAlias = Mapping[str, Span]
"""Least and most of each size, by role."""

IN_MM = "give it in mm, not in µm or inches"
ROLES: Mapping[str, Role] = MappingProxyType(
    {role.name: role for roles in SEAM_KINDS.values() for role in roles}
)
ALONG = frozenset({"seam_length", "largest_dimension", "open_height"})
"""Sizes along the seam or of the whole part; the others lie across the seam."""


def _size(name: str, **ends: Any) -> Range:
    unit = ROLES[name].unit
    return Range(
        meaning=ROLES[name].meaning,
        unit=unit,
        source=PRACTICE,
        remedy=IN_MM if unit == "mm" else "give it in degrees",
        **ends,
    )


LIMITS: Mapping[str, Range] = MappingProxyType(
    {
        "joint_width": _size("joint_width", above=0, at_most=50, usual=(0.5, 10)),
        "seam_length": _size("seam_length", above=0, at_most=10_000, usual=(5, 1_500)),
        "ridge_height": _size("ridge_height", at_least=0, at_most=5, usual=(0, 1.5)),
        "ridge_angle_deg": _size("ridge_angle_deg", above=0, below=170, usual=(40, 120)),
        "open_height": _size("open_height", at_least=0, at_most=10_000),
        "side_gap": _size("side_gap", at_least=0, at_most=5, usual=(0, 0.5)),
        "shadow_gap": _size("shadow_gap", at_least=0, at_most=5, usual=(0, 1)),
        "tongue_width": _size("tongue_width", above=0, at_most=50, usual=(0.3, 10)),
        "groove_width": _size("groove_width", above=0, at_most=50, usual=(0.3, 10)),
        "groove_depth": _size("groove_depth", at_least=0, at_most=20, usual=(0, 3)),
        "interference": _size("interference", at_least=-5, at_most=5, usual=(-0.5, 1)),
        "weld_depth": _size("weld_depth", above=0, at_most=50, usual=(0.3, 10)),
        "wall": _size("wall", above=0, at_most=50, usual=(0.4, 8)),
        "largest_dimension": _size("largest_dimension", above=0, at_most=5_000, usual=(3, 500)),
        "lead_deg": _size("lead_deg", above=0, below=90, usual=(15, 75)),
    }
)
"""What each size may be; a ridge of 500 mm is one given in µm."""

PLUS_MINUS = Range(
    meaning="how far each size across the seam may be off, either way",
    unit="mm",
    at_least=0,
    at_most=5,
    usual=(0, 0.2),
    source=PRACTICE,
    remedy=IN_MM,
)
RESIN = Range(meaning="resin code, such as ABS; blank where it is not known")
OTHER_RESIN = Range(meaning="resin code of the other part; blank for the same")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamSizes:
    """One seam: its kind, its sizes by role (see `offtool.handbook.seam_kinds`), and what it is made of."""

    kind: SeamKind
    sizes: tuple[SizeGiven, ...] = ()
    resin: str = ""
    other_resin: str = ""

    @property
    def resins(self) -> tuple[str, str]:
        """Both codes; the other part is of the same resin where it is not said."""
        return self.resin, self.other_resin or self.resin


def seam_of(
    kind: SeamKind, plus_minus_mm: float = 0.0, resin: str = "", other_resin: str = "", **sizes: float
) -> SeamSizes:
    """A seam from plain sizes by role; those across the seam are all off by as much."""
    given = (
        SizeGiven(
            role=role,
            value=value,
            plus_minus=plus_minus_mm if ROLES[role].unit == "mm" and role not in ALONG else 0.0,
        )
        for role, value in sizes.items()
    )
    return SeamSizes(kind=kind, sizes=tuple(given), resin=resin, other_resin=other_resin)


def spans_of(seam: SeamSizes) -> dict[str, Span]:
    """Least and most of each size that is given or has a usual value.

    A gap or a height does not go below nothing, however wide its spread. Raises: ImpossibleInput for a size
    that this kind of seam has not, one given twice, or one that cannot be.
    """
    roles = {role.name: role for role in SEAM_KINDS[seam.kind]}
    found: dict[str, Span] = {}
    for size in seam.sizes:
        if size.role not in roles:
            limit = f"is no size of a seam of the kind {seam.kind}"
            raise ImpossibleInput("role", size.role, "", limit, nearest(size.role, roles))
        if size.role in found:
            raise ImpossibleInput("role", size.role, "", "is given twice", "keep one of the two")
        found[size.role] = _span(size)
    usual = {name: role.usual for name, role in roles.items() if role.usual is not None}
    return {**{name: Span(low=value, high=value) for name, value in usual.items()}, **found}


def _span(size: SizeGiven) -> Span:
    limits = LIMITS[size.role]
    PLUS_MINUS.refuse_impossible("plus_minus", size.plus_minus)
    limits.refuse_impossible(size.role, size.value)
    low, high = size.value - size.plus_minus, size.value + size.plus_minus
    if limits.at_least is not None:
        low = max(low, limits.at_least)
    for end in (low, high):
        limits.refuse_impossible(size.role, end)
    return Span(low=low, high=high)


def unusual(seam: SeamSizes) -> tuple[Caution, ...]:
    """A caution for each size outside what seams usually have."""
    found = (LIMITS[size.role].caution(size.role, size.value) for size in seam.sizes)
    return tuple(caution for caution in found if caution)


def about_resins(seam: SeamSizes) -> tuple[Caution, ...]:
    """What must be known of the two resins before they are welded."""
    known = {code: weld_resin(code) for code in dict.fromkeys(seam.resins) if code}
    found = [
        Caution(f"resin {code!r} is not on the list ({nearest(code.upper(), WELD_RESINS)}): widest range")
        for code, resin in known.items()
        if resin is None
    ]
    if not known:
        found.append(Caution("no resin is given: the widest range of each rule holds"))
    for code, resin in known.items():
        if resin and resin.ease is Ease.NOT:
            found.append(Caution(f"{resin.name} ({code}) is not welded by ultrasound in practice", PRACTICE))
        if resin and resin.takes_up_water:
            found.append(Caution(f"{code} takes up water: weld it dry, soon after moulding", PRACTICE))
    pair = pairing(*seam.resins)
    if pair is Pairing.NO or pair is Pairing.SOME:
        found.append(Caution(f"{' and '.join(seam.resins)}: {pair}; try it before steel is cut", PRACTICE))
    return tuple(found)


def ridge_section(sizes: Spans) -> Span:
    """Area of the ridge across the seam: h^2 tan(angle / 2), mm²."""
    height, angle = sizes["ridge_height"], sizes["ridge_angle_deg"]
    return Span(
        low=height.low**2 * tan(radians(angle.low / 2)), high=height.high**2 * tan(radians(angle.high / 2))
    )


def ridge_base(sizes: Spans) -> Span:
    """Width of the ridge at its foot: 2 h tan(angle / 2), mm."""
    height, angle = sizes["ridge_height"], sizes["ridge_angle_deg"]
    return Span(
        low=2 * height.low * tan(radians(angle.low / 2)), high=2 * height.high * tan(radians(angle.high / 2))
    )


def over(one: Span, other: Span) -> Span:
    """Least and most of a ratio of two sizes that are not negative; infinite over nothing, 0 where both are
    nothing."""
    return Span(low=_ratio(one.low, other.high), high=_ratio(one.high, other.low))


def _ratio(one: float, other: float) -> float:
    if other > 0:
        return one / other
    return float("inf") if one > 0 else 0.0

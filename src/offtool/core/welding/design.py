"""Whether a seam is drawn as seams are drawn that weld: each rule with what was found, and what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, Range, Verdict
from offtool.core.welding.cautions import LIMITS_DIFFER, NOISE, RULES_OF_THUMB
from offtool.core.welding.rules import FROM_MEMORY, GUIDE, RULES, SeamRule
from offtool.core.welding.seam import (
    LIMITS,
    OTHER_RESIN,
    PLUS_MINUS,
    RESIN,
    SeamSizes,
    Spans,
    about_resins,
    seam_of,
    spans_of,
    unusual,
)
from offtool.handbook.defects import PRACTICE
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind
from offtool.handbook.weld_resins import Ease, Pairing, pairing, weld_resin

ROUNDING = 1e-9
"""0.5 less 0.3 lies a hair beside 0.2."""
SOURCE = f"{GUIDE}; {FROM_MEMORY}; {PRACTICE}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamRow:
    """One rule: least and most of what was found, between which ends it should lie, and what to do."""

    what: str
    unit: str
    found: Span
    wanted: Span
    verdict: Verdict
    advice: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamDesign:
    """Every rule of the seam's kind; it holds when all do and no size is missing."""

    kind: SeamKind
    verdict: Verdict
    rows: tuple[SeamRow, ...]
    missing: tuple[str, ...]
    pairing: Pairing | None
    seam: SeamSizes
    cautions: tuple[Caution, ...] = ()

    @property
    def to_do(self) -> tuple[str, ...]:
        """What to do, rule by rule."""
        return tuple(row.advice for row in self.rows if row.advice)


@formula(
    limits={
        "joint_width_mm": LIMITS["joint_width"],
        "ridge_height_mm": LIMITS["ridge_height"],
        "ridge_angle_deg": LIMITS["ridge_angle_deg"],
        "resin": RESIN,
        "other_resin": OTHER_RESIN,
        "plus_minus_mm": PLUS_MINUS,
    },
    example={"joint_width_mm": 2.0, "ridge_height_mm": 0.4, "resin": "ABS"},
    source=SOURCE,
)
def check_ridge(
    joint_width_mm: float,
    ridge_height_mm: float,
    *,
    ridge_angle_deg: float = 90.0,
    resin: str = "",
    other_resin: str = "",
    plus_minus_mm: float = 0.0,
) -> SeamDesign:
    """Whether a ridge between two flat faces has the height, width and angle that usually weld.

    Each size, or share of the joint width, against the range of its rule: holds when all of its spread lies
    inside, does not when all lies outside, else not shown.

    Returns: SeamDesign. Raises: ImpossibleInput for sizes that cannot be.

    Example: 0.4 mm at 90 degrees on 2 mm of ABS: 20 % of the width high and 40 % wide: it holds.
    """
    return _check(
        seam_of(
            *(SeamKind.RIDGE, plus_minus_mm, resin, other_resin),
            joint_width=joint_width_mm,
            ridge_height=ridge_height_mm,
            ridge_angle_deg=ridge_angle_deg,
        )
    )


@formula(
    limits={
        "joint_width_mm": LIMITS["joint_width"],
        "ridge_height_mm": LIMITS["ridge_height"],
        "side_gap_mm": LIMITS["side_gap"],
        "shadow_gap_mm": LIMITS["shadow_gap"],
        "ridge_angle_deg": LIMITS["ridge_angle_deg"],
        "resin": RESIN,
        "other_resin": OTHER_RESIN,
        "plus_minus_mm": PLUS_MINUS,
    },
    example={"joint_width_mm": 1.2, "ridge_height_mm": 0.4, "side_gap_mm": 0.08, "resin": "ABS"},
    source=SOURCE,
)
def check_step(
    joint_width_mm: float,
    ridge_height_mm: float,
    *,
    side_gap_mm: float,
    shadow_gap_mm: float = 0.0,
    ridge_angle_deg: float = 90.0,
    resin: str = "",
    other_resin: str = "",
    plus_minus_mm: float = 0.0,
) -> SeamDesign:
    """Whether a step with a ridge has the sizes and gaps that usually weld and look clean.

    The rules of `check_ridge`, the gap that the step slides in, and the shadow gap where one is wanted.

    Returns: SeamDesign. Raises: ImpossibleInput for sizes that cannot be, such as a negative gap.

    Example: a side gap of 0.08 mm lies in 0.05 to 0.10 and holds.
    """
    return _check(
        seam_of(
            *(SeamKind.STEP, plus_minus_mm, resin, other_resin),
            joint_width=joint_width_mm,
            ridge_height=ridge_height_mm,
            ridge_angle_deg=ridge_angle_deg,
            side_gap=side_gap_mm,
            shadow_gap=shadow_gap_mm,
        )
    )


@formula(
    limits={
        "joint_width_mm": LIMITS["joint_width"],
        "ridge_height_mm": LIMITS["ridge_height"],
        "tongue_width_mm": LIMITS["tongue_width"],
        "groove_width_mm": LIMITS["groove_width"],
        "groove_depth_mm": LIMITS["groove_depth"],
        "ridge_angle_deg": LIMITS["ridge_angle_deg"],
        "resin": RESIN,
        "other_resin": OTHER_RESIN,
        "plus_minus_mm": PLUS_MINUS,
    },
    example={
        "joint_width_mm": 1.85,
        "ridge_height_mm": 0.4,
        "tongue_width_mm": 1.85,
        "groove_width_mm": 2.0,
        "groove_depth_mm": 0.2,
        "resin": "ABS",
    },
    source=SOURCE,
)
def check_groove(
    joint_width_mm: float,
    ridge_height_mm: float,
    *,
    tongue_width_mm: float,
    groove_width_mm: float,
    groove_depth_mm: float,
    ridge_angle_deg: float = 90.0,
    resin: str = "",
    other_resin: str = "",
    plus_minus_mm: float = 0.0,
) -> SeamDesign:
    """Whether tongue, groove and ridge have the sizes that usually weld, and room for the melt.

    The rules of `check_ridge`, the gap beside the tongue, the ridge against the room under the tongue, and
    the melt against that room (`groove_melt`).

    Returns: SeamDesign. Raises: ImpossibleInput for sizes that cannot be. A tongue wider than its groove is
    an answer: it does not hold.

    Holds when: the room under the tongue is what is left when the halves are closed.

    Example: a tongue of 1.85 in a groove of 2.00 leaves 0.075 mm each side and holds.
    """
    return _check(
        seam_of(
            *(SeamKind.GROOVE, plus_minus_mm, resin, other_resin),
            joint_width=joint_width_mm,
            ridge_height=ridge_height_mm,
            ridge_angle_deg=ridge_angle_deg,
            tongue_width=tongue_width_mm,
            groove_width=groove_width_mm,
            groove_depth=groove_depth_mm,
        )
    )


@formula(
    limits={
        "interference_mm": LIMITS["interference"],
        "weld_depth_mm": LIMITS["weld_depth"],
        "wall_mm": LIMITS["wall"],
        "largest_dimension_mm": LIMITS["largest_dimension"],
        "lead_deg": LIMITS["lead_deg"],
        "resin": RESIN,
        "other_resin": OTHER_RESIN,
        "plus_minus_mm": PLUS_MINUS,
    },
    example={
        "interference_mm": 0.3,
        "weld_depth_mm": 2.0,
        "wall_mm": 1.5,
        "largest_dimension_mm": 30.0,
        "resin": "PA6",
    },
    source=SOURCE,
)
def check_shear(
    interference_mm: float,
    weld_depth_mm: float,
    *,
    wall_mm: float,
    largest_dimension_mm: float,
    lead_deg: float = 45.0,
    resin: str = "",
    other_resin: str = "",
    plus_minus_mm: float = 0.0,
) -> SeamDesign:
    """Whether a shear joint has the overlap, depth and lead-in that usually weld, for a part of its size.

    Overlap by the largest dimension of the part; depth over wall; lead-in.

    Returns: SeamDesign; clearance is an answer. Raises: ImpossibleInput for sizes that cannot be.

    Example: a part of 30 mm wants 0.3 to 0.4 mm each side; 2.0 mm deep on a wall of 1.5 is 1.33 walls.
    """
    return _check(
        seam_of(
            *(SeamKind.SHEAR, plus_minus_mm, resin, other_resin),
            interference=interference_mm,
            weld_depth=weld_depth_mm,
            wall=wall_mm,
            largest_dimension=largest_dimension_mm,
            lead_deg=lead_deg,
        )
    )


@formula(
    limits={"seam": Range(meaning="a seam: kind, sizes by role each with its plus or minus, resins")},
    example={
        "seam": {
            "kind": "ridge",
            "sizes": [
                {"role": "joint_width", "value": 2.0, "plus_minus": 0.05},
                {"role": "ridge_height", "value": 0.4, "plus_minus": 0.03},
            ],
            "resin": "ABS",
        }
    },
    source=SOURCE,
)
def check_seam(seam: SeamSizes) -> SeamDesign:
    """Whether a seam of any kind is drawn as seams that weld, with the spread of its sizes.

    As `check_ridge`, `check_step`, `check_groove` and `check_shear`. A rule whose sizes are not all given is
    left out and named: the seam is then not shown to hold.

    Returns: SeamDesign. Raises: ImpossibleInput for sizes that cannot be, or that are none of the kind's.
    """
    return _check(seam, unsaid=unusual(seam))


def _check(seam: SeamSizes, unsaid: tuple[Caution, ...] = ()) -> SeamDesign:
    sizes, rules = spans_of(seam), RULES[seam.kind]
    missing = {role: None for rule in rules for role in rule.needs if role not in sizes}
    rows = tuple(_rows(sizes, rules, _wants_sharp_ridge(seam)))
    cautions = [*unsaid, *about_resins(seam)]
    if missing:
        cautions.append(Caution(f"not given: {', '.join(_meaning(seam.kind, role) for role in missing)}"))
    return SeamDesign(
        kind=seam.kind,
        verdict=_together([row.verdict for row in rows], complete=not missing, seam=seam),
        rows=rows,
        missing=tuple(missing),
        pairing=pairing(*seam.resins),
        seam=seam,
        cautions=(*cautions, RULES_OF_THUMB, NOISE, LIMITS_DIFFER),
    )


def _rows(sizes: Spans, rules: tuple[SeamRule, ...], sharp: bool | None) -> Iterator[SeamRow]:
    for rule in rules:
        if all(role in sizes for role in rule.needs) and rule.applies(sizes):
            found, wanted = rule.found(sizes), rule.wanted(sizes, sharp)
            yield SeamRow(
                what=rule.what,
                unit=rule.unit,
                found=found,
                wanted=wanted,
                verdict=judge(found, wanted),
                advice=_advice(rule, found, wanted),
                source=rule.source,
            )


def judge(found: Span, wanted: Span) -> Verdict:
    """Holds when all of it lies inside, fails when all lies outside."""
    low, high = wanted.low - ROUNDING, wanted.high + ROUNDING
    if low <= found.low and found.high <= high:
        return Verdict.HOLDS
    return Verdict.FAILS if found.high < low or found.low > high else Verdict.NOT_SHOWN


def _advice(rule: SeamRule, found: Span, wanted: Span) -> str:
    below, above = found.low < wanted.low - ROUNDING, found.high > wanted.high + ROUNDING
    if below and above:
        return "it may lie past both ends: settle the press, or ask for less spread, before steel is touched"
    return rule.too_low if below else rule.too_high if above else ""


def _wants_sharp_ridge(seam: SeamSizes) -> bool | None:
    """Whether either resin does; None where one is not known."""
    found = [weld_resin(code) for code in seam.resins]
    if any(one is not None and one.wants_sharp_ridge for one in found):
        return True
    return None if None in found else False


def _together(verdicts: list[Verdict], *, complete: bool, seam: SeamSizes) -> Verdict:
    resins = [one for code in seam.resins if (one := weld_resin(code))]
    if Verdict.FAILS in verdicts or any(one.ease is Ease.NOT for one in resins):
        return Verdict.FAILS
    if not complete or Verdict.NOT_SHOWN in verdicts or pairing(*seam.resins) is Pairing.NO:
        return Verdict.NOT_SHOWN
    return Verdict.HOLDS


def _meaning(kind: SeamKind, role: str) -> str:
    return next(one.meaning for one in SEAM_KINDS[kind] if one.name == role)

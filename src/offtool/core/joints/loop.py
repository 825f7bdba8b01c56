"""Sizes with directions that close on themselves in a plane; the gap, and one more unknown, close them.

The links are travelled one after the other, the gap among them: their vectors add up to nothing. Of a gap
without a direction the length and the direction are unknown, so that it always closes. A gap with a direction
needs a second unknown: the length of one other link, or the angle of one, which then swings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress, product
from math import cos, hypot, inf, radians, sin, sqrt

import numpy as np

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.joints.chain import (
    GAP_LOWER,
    GAP_UPPER,
    LENGTH,
    LINK_NAMES,
    PLUS_MINUS,
    GapFinding,
    gap_finding,
    named,
    require_equal,
)
from offtool.core.joints.response import Values
from offtool.core.values import Caution, ImpossibleInput, OfftoolError, Range

CLOSES_WITHIN_MM = 0.01
"""Drawings are rounded to this; common practice, no source."""
PARALLEL_BELOW = 1e-9
MOST_CORNERED = 12
"""Sizes of which all corners are tried: 4096."""
ANGLE = "deg"
SWING = "the swinging link"

NOT_CLOSED = "the chain does not close"
FREE_A_LINK = "correct sizes or angles, or leave the length or the angle of one link free"


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """How a loop closes: the gap's direction or None, and the second unknown where there is one.

    `free_deg` is the direction of a link whose length is free; a swinging link has a length (it comes with
    the sizes) and lies with (`swing` +1) or against (−1) the gap.
    """

    gap_deg: float | Values | None = None
    free_deg: float | Values | None = None
    swing: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """The gap, and how far the loop stays open across it; NaN where it cannot close."""

    gap: Values
    open_across: Values


def close(closing: Closing, x: Values, y: Values, swing_length: Values | float = 0.0) -> Closed:
    """Close a loop whose known links add up to x and y; elementwise."""
    nothing = np.zeros(np.shape(x))
    if closing.gap_deg is None:
        return Closed(gap=np.hypot(x, y), open_across=nothing)
    gamma = np.radians(closing.gap_deg)
    along, across = x * np.cos(gamma) + y * np.sin(gamma), y * np.cos(gamma) - x * np.sin(gamma)
    if closing.free_deg is not None:
        apart = np.radians(closing.free_deg) - gamma
        with np.errstate(all="ignore"):
            return Closed(gap=across * np.cos(apart) / np.sin(apart) - along, open_across=nothing)
    if closing.swing:
        with np.errstate(invalid="ignore"):
            reach = np.sqrt(np.square(swing_length) - across**2)
        return Closed(gap=-along - closing.swing * reach, open_across=nothing)
    return Closed(gap=-along, open_across=across)


@formula(
    limits={
        "lengths": Range(meaning="sizes of the links, in the order of travel", unit="mm"),
        "angles_deg": Range(meaning="direction of travel of each, against the clock from x", unit="deg"),
        "plus_minus": PLUS_MINUS,
        "angle_plus_minus": Range(
            meaning="give or take of each angle; none where left out", unit="deg", at_least=0
        ),
        "gap_deg": Range(meaning="direction of travel of the gap; blank where it is free", unit="deg"),
        "free_deg": Range(meaning="direction of a link whose length is free; blank for none", unit="deg"),
        "swing_mm": Range(meaning="length of a link whose angle is free; blank for none", unit="mm", above=0),
        "swing_plus_minus": Range(meaning="give or take of that length", unit="mm", at_least=0),
        "swing_against": Range(meaning="whether that link lies against the gap's direction, not with it"),
        "names": LINK_NAMES,
        "lower": GAP_LOWER,
        "upper": GAP_UPPER,
    },
    example={
        "lengths": [12.0, 40.0],
        "angles_deg": [90.0, 0.0],
        "plus_minus": [0.05, 0.08],
        "angle_plus_minus": [0.0, 0.2],
        "gap_deg": 180.0,
        "free_deg": 240.0,
        "names": ["wall", "floor"],
    },
    source="closed vector loop in a plane, solved in closed form; its derivatives exact",
)
def loop_of_sizes(
    lengths: Numbers,
    angles_deg: Numbers,
    plus_minus: Numbers,
    *,
    angle_plus_minus: Numbers = (),
    gap_deg: float | None = None,
    free_deg: float | None = None,
    swing_mm: float | None = None,
    swing_plus_minus: float = 0.0,
    swing_against: bool = False,
    names: Texts = (),
    lower: float | None = None,
    upper: float | None = None,
) -> GapFinding:
    """The gap that closes sizes lying at angles in a plane, at worst and as pieces come.

    sum x_i (cos a_i, sin a_i) + gap + second unknown = 0. The gap without a direction is the distance between
    the open ends. With one, the second unknown is the length of a link at `free_deg`, or the angle of a link
    of length `swing_mm`; without either the loop must close across the gap by itself.

    Returns: GapFinding; slopes of angles are mm a degree. Raises: ImpossibleInput for unequal lists, two
    second unknowns, a free link parallel to the gap; OfftoolError for a loop that does not close.

    Holds when: the gap moves one way with each size within its ±: the worst case is then at a corner. Up to
    4096 corners are all tried, of more the one that the slopes point to.

    Example: 3 mm along x and 4 mm along y leave a gap of 5 mm (Pythagoras).
    """
    r, angles, reach = (np.asarray(one, dtype=float) for one in (lengths, angles_deg, plus_minus))
    turn = np.asarray(angle_plus_minus if len(angle_plus_minus) else np.zeros(r.size), dtype=float)
    require_equal(r, angles_deg=angles, plus_minus=reach, angle_plus_minus=turn)
    closing = _closing(gap_deg, free_deg, swing_mm, swing_against)
    loop = _Loop(closing, r.size, swing_mm is not None)
    swing = [] if swing_mm is None else [swing_mm]
    middle = np.concatenate([r, angles, swing])
    spans = np.concatenate([reach, turn, [swing_plus_minus] * len(swing)])
    require_closed(closing, *loop.ends(middle))
    slopes, at_dead_point = loop.slopes(middle)
    worst, unsure = loop.worst(middle, spans, slopes)
    # Angles that are given exactly are no sizes of the chain.
    shown = np.concatenate([np.ones(r.size), turn, np.ones(len(swing))]) > 0
    labels, units = _headings(named(names, r.size), bool(swing))
    return gap_finding(
        float(loop.gap(middle[None])[0]),
        worst,
        labels=list(compress(labels, shown)),
        values=middle[shown],
        reach=spans[shown],
        slopes=slopes[shown],
        units=list(compress(units, shown)),
        lower=lower,
        upper=upper,
        cautions=(*at_dead_point, *unsure),
    )


def require_closed(closing: Closing, x: float, y: float, swing_length: float = 0.0) -> None:
    """Refuse a loop that does not close, saying how far it stays open and which way."""
    if closing.gap_deg is None:
        return
    gamma = radians(float(np.mean(closing.gap_deg)))
    across = y * cos(gamma) - x * sin(gamma)
    if closing.free_deg is not None:
        if abs(sin(radians(float(np.mean(closing.free_deg))) - gamma)) < PARALLEL_BELOW:
            raise OfftoolError(
                f"{NOT_CLOSED}: the link of free length is parallel to the gap",
                remedy="leave another link free, one that lies across the gap",
            )
        return
    short = abs(across) - swing_length if closing.swing else abs(across)
    if short > (0 if closing.swing else CLOSES_WITHIN_MM):
        # What is missing points the other way than what the known links add up to.
        towards = (np.degrees(gamma) + (90 if across < 0 else -90)) % 360
        raise OfftoolError(
            f"{NOT_CLOSED}: it stays open by {short:.3g} mm across the gap, towards {towards:.0f} deg",
            remedy=FREE_A_LINK,
        )


def _closing(gap_deg: float | None, free_deg: float | None, swing_mm: float | None, against: bool) -> Closing:
    if free_deg is not None and swing_mm is not None:
        raise ImpossibleInput("swing_mm", swing_mm, "mm", "two unknowns beside the gap", "leave one blank")
    if gap_deg is None and (free_deg is not None or swing_mm is not None):
        raise ImpossibleInput(
            "gap_deg", None, "", "must be given where another link is free", "a gap without direction closes"
        )
    swing = 0.0 if swing_mm is None else -1.0 if against else 1.0
    return Closing(gap_deg=gap_deg, free_deg=free_deg, swing=swing)


def _headings(names: Sequence[str], swings: bool) -> tuple[list[str], list[str]]:
    """Name and unit of every size: lengths, angles, the swinging link."""
    labels = [*names, *(f"angle of {name}" for name in names), *([SWING] if swings else [])]
    return labels, [LENGTH] * len(names) + [ANGLE] * len(names) + [LENGTH] * swings


@dataclass(frozen=True, slots=True)
class _Loop:
    """A loop as a function of one row: its lengths, its angles, and the swinging length if any."""

    closing: Closing
    links: int
    swings: bool

    def gap(self, rows: Values) -> Values:
        n = self.links
        a = np.radians(rows[:, n : 2 * n])
        r = rows[:, :n]
        swing = rows[:, 2 * n] if self.swings else 0.0
        return close(self.closing, (r * np.cos(a)).sum(axis=1), (r * np.sin(a)).sum(axis=1), swing).gap

    def ends(self, row: Values) -> tuple[float, float, float]:
        n = self.links
        a, r = np.radians(row[n : 2 * n]), row[:n]
        return float(r @ np.cos(a)), float(r @ np.sin(a)), float(row[2 * n]) if self.swings else 0.0

    def slopes(self, row: Values) -> tuple[Values, tuple[Caution, ...]]:
        """d gap / d each; the gap is linear in x and y to first order, with these weights."""
        n = self.links
        a, r = np.radians(row[n : 2 * n]), row[:n]
        x, y, swing = self.ends(row)
        u, v, own = _weights(self.closing, x, y, swing)
        by_length = u * np.cos(a) + v * np.sin(a)
        by_angle = np.radians(r * (v * np.cos(a) - u * np.sin(a)))
        cautions = () if np.isfinite([u, v, own]).all() else (Caution("the gap stands at a dead point"),)
        slopes = np.concatenate([by_length, by_angle, [own] if self.swings else []])
        return np.where(np.isfinite(slopes), slopes, 0.0), cautions

    def worst(
        self, middle: Values, spans: Values, slopes: Values
    ) -> tuple[tuple[float, float], tuple[Caution, ...]]:
        moving = np.flatnonzero(spans > 0)
        if moving.size <= MOST_CORNERED:
            signs = np.array(list(product((-1.0, 1.0), repeat=moving.size))).reshape(
                2**moving.size, moving.size
            )
            cautions: tuple[Caution, ...] = ()
        else:
            signs = np.sign(slopes[moving]) * np.array([[-1.0], [1.0]])
            cautions = (Caution(f"worst case of {moving.size} sizes taken where the slopes point"),)
        signs = np.vstack([signs, np.zeros(moving.size)])
        rows = np.repeat(middle[None], len(signs), axis=0)
        rows[:, moving] += signs * spans[moving]
        gaps = self.gap(rows)
        if np.isnan(gaps).any():
            cautions += (Caution("at worst the loop does not close: the swinging link is too short"),)
        return (float(np.nanmin(gaps)), float(np.nanmax(gaps))), cautions


def _weights(closing: Closing, x: float, y: float, swing: float) -> tuple[float, float, float]:
    """d gap / d x, d gap / d y, and d gap / d the swinging length."""
    if closing.gap_deg is None:
        length = hypot(x, y)
        return (x / length, y / length, 0.0) if length > 0 else (inf, inf, 0.0)
    gamma = radians(float(np.mean(closing.gap_deg)))
    c, s = cos(gamma), sin(gamma)
    if closing.free_deg is not None:
        apart = radians(float(np.mean(closing.free_deg))) - gamma
        steep = cos(apart) / sin(apart)
        return -c - s * steep, -s + c * steep, 0.0
    if closing.swing:
        across = y * c - x * s
        reach = sqrt(max(swing**2 - across**2, 0.0))
        if reach == 0:
            return inf, inf, inf
        steep = closing.swing * across / reach
        return -c - s * steep, -s + c * steep, -closing.swing * swing / reach
    return -c, -s, 0.0

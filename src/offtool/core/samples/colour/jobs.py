"""Jobs that ran on presses, the colours of a piece's parts, and what the two together say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from offtool.core.colour.spaces import USUAL_LIGHT, Lab, Light
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData

LARGEST_LAB = 500.0
"""No colour lies so far from grey."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Production of one product in one colour on one press, from its first day to its last.

    `spread_de` is how far its pieces scatter, a standard deviation along each axis of CIEDE2000.
    """

    code: str
    press: str
    product: str
    lightness: float
    a: float
    b: float
    spread_de: float
    begins: date
    ends: date
    light: Light = USUAL_LIGHT

    @property
    def lab(self) -> Lab:
        return self.lightness, self.a, self.b


@dataclass(frozen=True, slots=True, kw_only=True)
class PartColour:
    """The measured colour of one part of a piece, and the tool it came from.

    `uncertainty_de` is a standard uncertainty along each axis of CIEDE2000.
    """

    part: str
    tool: str
    lightness: float
    a: float
    b: float
    uncertainty_de: float
    light: Light = USUAL_LIGHT

    @property
    def lab(self) -> Lab:
        return self.lightness, self.a, self.b


@dataclass(frozen=True, slots=True, kw_only=True)
class JobChance:
    """How probable it is that a part is in the colour of a job, and how far the two colours lie apart."""

    code: str
    press: str
    product: str
    probability: float
    difference: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartInJobs:
    """What the colour of one part says: together with the other parts, and alone.

    `jobs` holds the likeliest first, `alone` what it would say without the others; `nearest` the jobs whose
    colours lie nearest, whenever and wherever they ran.
    """

    part: str
    tool: str
    jobs: tuple[JobChance, ...]
    none_probability: float
    alone: tuple[JobChance, ...]
    nearest: tuple[JobChance, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysBetweenChanges:
    """Days through which the same jobs ran, first and last, and how probably the piece is of them."""

    begins: date
    ends: date
    days: int
    running: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsInterrupted:
    """Jobs whose colours the parts are in, all shot on one day; and from when to when that can have been."""

    jobs: tuple[str, ...]
    products: tuple[str, ...]
    begins: date
    ends: date
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductChance:
    """How probable it is that every part with a known colour is in one of a product's."""

    product: str
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InterruptedRun:
    """Which run a trial may have interrupted; everything sorted by probability, the likeliest first.

    The probabilities of `spans`, like those of `sets` with `rest_probability`, add up to one with
    `none_probability`: that of no part being in the colour of any job.
    """

    best: JobsInterrupted | None
    next: JobsInterrupted | None
    none_probability: float
    sets: tuple[JobsInterrupted, ...]
    rest_probability: float
    """Of all sets too improbable to be listed."""
    spans: tuple[DaysBetweenChanges, ...]
    products: tuple[ProductChance, ...]
    parts: tuple[PartInJobs, ...]
    days: int
    """Days on which anything ran."""
    prior_none: float
    words: str
    cautions: tuple[Caution, ...] = ()


def refuse_impossible_jobs(jobs: Sequence[Job]) -> None:
    """Refuse no jobs, two of one code, and jobs that end before they begin or scatter below zero."""
    if not jobs:
        raise NotEnoughData(
            "no jobs are known", remedy="enter what ran on the presses, with colours and dates"
        )
    codes = [job.code for job in jobs]
    for job in jobs:
        if job.ends < job.begins:
            limit = f"must not be before it begins, {job.begins}"
            raise ImpossibleInput(f"end of {job.code}", job.ends, "", limit, "swap the dates")
        _refuse_impossible_colour(job.code, job.lab, job.spread_de, "spread")
    if len(set(codes)) < len(codes):
        twice = next(code for code in codes if codes.count(code) > 1)
        raise ImpossibleInput("code", twice, "", "names two jobs", "give each job a code of its own")


def refuse_impossible_parts(parts: Sequence[PartColour]) -> None:
    """Refuse no parts, and uncertainties below zero."""
    if not parts:
        raise NotEnoughData("no part has a colour", remedy="measure the colour of at least one part")
    for one in parts:
        _refuse_impossible_colour(one.part, one.lab, one.uncertainty_de, "uncertainty")


def _refuse_impossible_colour(name: str, lab: Lab, spread: float, called: str) -> None:
    for value in lab:
        if not abs(value) <= LARGEST_LAB:
            limit = f"must lie between -{LARGEST_LAB:g} and {LARGEST_LAB:g}"
            raise ImpossibleInput(f"colour of {name}", value, "", limit, "give L*, a* and b*")
    if not 0 <= spread <= LARGEST_LAB:
        raise ImpossibleInput(f"{called} of {name}", spread, "ΔE", f"must be 0 to {LARGEST_LAB:g}")

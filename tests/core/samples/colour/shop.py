"""A shop with presses and jobs, pieces shot in it on known days, and every possibility counted one by one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from itertools import product
from math import exp, hypot, log, pi, prod

import numpy as np

from offtool.core.colour.difference import axis_scales
from offtool.core.colour.spaces import lab_from_linear
from offtool.core.samples.colour import (
    NO_COLOUR_LOG_DENSITY,
    Job,
    PartColour,
    colour_log_likelihood,
)

NEW_YEAR = date(2026, 1, 1)
Density = Callable[[PartColour, Job], float]


def a_colour(rng: np.random.Generator) -> tuple[float, float, float]:
    """Any that a screen shows."""
    l, a, b = lab_from_linear(rng.uniform(0.01, 0.9, 3) ** 2)
    return float(l), float(a), float(b)


def moved(lab: tuple[float, float, float], sd: float, rng: np.random.Generator) -> tuple[float, float, float]:
    """A colour near another: normal along lightness, chroma and hue, in units of the formula."""
    step = rng.normal(0, sd, 3) * axis_scales(lab)
    size = max(float(np.hypot(lab[1], lab[2])), 1e-9)
    a, b = lab[1] / size, lab[2] / size
    return (
        lab[0] + step[0],
        lab[1] + a * step[1] - b * step[2],
        lab[2] + b * step[1] + a * step[2],
    )


@cache
def _scales(lab: tuple[float, float, float]) -> list[float]:
    return axis_scales(lab).tolist()


def exact_density(part: PartColour, job: Job) -> float:
    """The density that `moved` draws from, per cubic unit of the formula: the world's own."""
    variance = part.uncertainty_de**2 + job.spread_de**2
    l, a, b = (mine - its for mine, its in zip(part.lab, job.lab, strict=True))
    size = max(hypot(job.a, job.b), 1e-9)
    scales = _scales(job.lab)
    along = (
        l / scales[0],
        (job.a * a + job.b * b) / size / scales[1],
        (job.a * b - job.b * a) / size / scales[2],
    )
    return -1.5 * log(2 * pi * variance) - hypot(*along) ** 2 / (2 * variance)


def by_formula(part: PartColour, job: Job) -> float:
    """The density of the product."""
    return float(colour_log_likelihood(part.lab, part.uncertainty_de, [job.lab], [job.spread_de])[0])


@dataclass
class Counted:
    """Probabilities by enumeration: of sets of jobs shown, of jobs for each part, of days, of products."""

    sets: Counter[frozenset[str]] = field(default_factory=Counter)
    parts: Counter[tuple[str, str]] = field(default_factory=Counter)
    days: Counter[date] = field(default_factory=Counter)
    products: Counter[str] = field(default_factory=Counter)

    @property
    def best(self) -> frozenset[str]:
        return max(self.sets, key=lambda one: self.sets[one])


def count_every_way(
    parts: Sequence[PartColour],
    jobs: Sequence[Job],
    presses: Mapping[str, frozenset[str]],
    prior_none: float,
    *,
    earliest: date = date.min,
    latest: date = date.max,
    density: Density = by_formula,
) -> Counted:
    """Each day, each press of each tool, each part in its colour or in none, one after the other."""
    code = {job.code: job for job in jobs}
    times = {
        (part.part, job.code): exp(density(part, job) - NO_COLOUR_LOG_DENSITY)
        for part in parts
        for job in jobs
    }
    tools = list(dict.fromkeys(part.tool for part in parts))
    first, last = min(job.begins for job in jobs), max(job.ends for job in jobs)
    alike: dict[frozenset[str], list[date]] = {}
    for day in (first + timedelta(one) for one in range((last - first).days + 1)):
        running = frozenset(job.code for job in jobs if job.begins <= day <= job.ends)
        if running and earliest <= day <= latest:
            alike.setdefault(running, []).append(day)
    found, total = Counted(), 0.0
    for running, days in alike.items():
        here = [code[one] for one in sorted(running)]
        of_days = 0.0
        ways = [_ways_of(tool, parts, here, presses, times, prior_none) for tool in tools]
        for chosen in product(*(of_tool.items() for of_tool in ways)):
            weight = len(days) * prod(one for _, one in chosen)
            shown = [pair for pairs, _ in chosen for pair in pairs]
            jobs_shown = frozenset(job for _, job in shown)
            total += weight
            found.sets[jobs_shown] += weight
            for pair in shown:
                found.parts[pair] += weight
            of_one = {code[job].product for job in jobs_shown}
            if len(of_one) == 1:
                found.products[of_one.pop()] += weight
            of_days += weight if shown else 0.0
        for day in days:
            found.days[day] += of_days / len(days)
    for counter in (found.sets, found.parts, found.days, found.products):
        for key in counter:
            counter[key] /= total
    return found


def _ways_of(
    tool: str,
    parts: Sequence[PartColour],
    running: Sequence[Job],
    presses: Mapping[str, frozenset[str]],
    times: Mapping[tuple[str, str], float],
    prior_none: float,
) -> Counter[tuple[tuple[str, str], ...]]:
    """Which parts of a tool show which job, in every way, with what each way weighs."""
    mine = [part.part for part in parts if part.tool == tool]
    found = Counter[tuple[tuple[str, str], ...]]()
    for job, share in _places(tool, running, presses):
        for shown in product((True, False) if job else (False,), repeat=len(mine)):
            weights = [
                (1 - prior_none) * times[name, job] if is_shown else prior_none
                for name, is_shown in zip(mine, shown, strict=True)
            ]
            pairs = tuple((name, job) for name, is_shown in zip(mine, shown, strict=True) if is_shown)
            found[pairs] += share * prod(weights)
    return found


def _places(
    tool: str, running: Sequence[Job], presses: Mapping[str, frozenset[str]]
) -> list[tuple[str, float]]:
    """The jobs that a tool's trial may interrupt, each with its share; no job where none runs there."""
    able = presses.get(tool, frozenset())
    here = [job for job in running if not able or job.press in able]
    if not here:
        return [("", 1.0)]
    on_press = Counter(job.press for job in here)
    return [(job.code, 1 / len(on_press) / on_press[job.press]) for job in here]


@dataclass(frozen=True)
class Shop:
    """Jobs, one after the other on each press, and which press holds which tool."""

    jobs: list[Job]
    presses: dict[str, frozenset[str]]


def a_shop(
    rng: np.random.Generator,
    *,
    presses: int = 5,
    days: int = 180,
    colours: int = 12,
    tools: int = 3,
) -> Shop:
    """Half a year: each press runs job after job, from a dozen colours of four products; some come again."""
    palette = [a_colour(rng) for _ in range(colours)]
    jobs = list[Job]()
    for press in range(presses):
        day = int(rng.integers(0, 10))
        while day < days:
            last = min(day + int(rng.integers(4, 40)), days)
            tint = int(rng.integers(colours))
            l, a, b = palette[tint]
            jobs.append(
                Job(
                    code=f"J{len(jobs) + 1}", press=f"P{press + 1}", product=f"product {tint % 4}",
                    lightness=l, a=a, b=b, spread_de=0.6,
                    begins=NEW_YEAR + timedelta(day), ends=NEW_YEAR + timedelta(last),
                )
            )  # fmt: skip
            day = last + int(rng.integers(0, 6))
    names = [f"P{press + 1}" for press in range(presses)]
    able = {
        f"M{tool + 1}": frozenset(
            rng.choice(names, size=int(rng.integers(1, min(3, presses) + 1)), replace=False)
        )
        for tool in range(tools)
    }
    return Shop(jobs, able)


@dataclass(frozen=True)
class Piece:
    """A piece shot on one day, and the truth about it."""

    parts: list[PartColour]
    day: date
    shown: dict[str, str]


def a_piece(
    shop: Shop,
    rng: np.random.Generator,
    *,
    uncertainty: float,
    prior_none: float,
    parts_a_tool: int = 1,
) -> Piece:
    """Drawn as the product supposes: day, then a press for each tool, then a colour for each part."""
    first, last = (
        min(job.begins for job in shop.jobs),
        max(job.ends for job in shop.jobs),
    )
    while True:
        day = first + timedelta(int(rng.integers(0, (last - first).days + 1)))
        running = [job for job in shop.jobs if job.begins <= day <= job.ends]
        parts, shown, is_possible = list[PartColour](), dict[str, str](), bool(running)
        for tool in shop.presses:
            places = _places(tool, running, shop.presses)
            code = places[int(rng.choice(len(places), p=[share for _, share in places]))][0]
            for place in range(parts_a_tool):
                name = f"part {place + 1} of {tool}"
                if rng.random() < prior_none:
                    lab = a_colour(rng)
                elif code:
                    job = next(one for one in running if one.code == code)
                    lab = moved(job.lab, float(np.hypot(uncertainty, job.spread_de)), rng)
                    shown[name] = code
                else:
                    is_possible = False
                    break
                l, a, b = lab
                parts.append(
                    PartColour(
                        part=name,
                        tool=tool,
                        lightness=l,
                        a=a,
                        b=b,
                        uncertainty_de=uncertainty,
                    )
                )
        if is_possible:
            return Piece(parts, day, shown)

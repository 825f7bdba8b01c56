"""The exact probabilities behind an interrupted run: days, jobs and parts at once, linear in their numbers.

Densities are held as times that of a colour of none of the jobs, so that products of many parts stay finite.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.spaces import USUAL_LIGHT, lab_in_light
from offtool.core.samples.colour.jobs import Job, PartColour
from offtool.core.samples.colour.likelihood import NO_COLOUR_LOG_DENSITY, colour_log_likelihood
from offtool.core.samples.colour.shop_days import ShopDays

Matrix = NDArray[np.float64]
UNLISTED = 1e-3
"""Sets of jobs below this probability are not followed further; what they come to is kept as the rest."""


@dataclass(frozen=True, slots=True)
class _Tool:
    """The parts of one tool: they come from one shot, so in one job's colour, each part known or not."""

    parts: tuple[int, ...]
    shares: Matrix
    """How the trial falls on the jobs, span by span."""
    known: Matrix
    """Of each job: all parts, each in its colour or in none."""
    none: float
    """No part in a job's colour."""

    @property
    def by_span(self) -> Matrix:
        """What the parts come to in each span; where no press was running, only as of no job's colour."""
        found = self.shares @ self.known
        return np.asarray(np.where(self.shares.any(axis=1), found, self.none))


class ColourMatch:
    """Parts of a piece against jobs, on the days on which anything ran."""

    def __init__(
        self,
        parts: Sequence[PartColour],
        jobs: Sequence[Job],
        days: ShopDays,
        presses: Mapping[str, frozenset[str]],
        prior_none: float,
    ) -> None:
        self._days, self._prior = days, prior_none
        self._products = np.array([job.product for job in jobs])
        self.times = np.exp(log_densities(parts, jobs) - NO_COLOUR_LOG_DENSITY)
        by_tool: dict[str, list[int]] = {}
        for place, one in enumerate(parts):
            by_tool.setdefault(one.tool, []).append(place)
        self._tools = [
            self._tool(tuple(places), days.shares(presses.get(tool, frozenset())))
            for tool, places in by_tool.items()
        ]
        self._by_span = np.array([tool.by_span for tool in self._tools])
        self._joint = days.days * self._by_span.prod(axis=0)
        self.total = float(self._joint.sum())
        self._all_none = float(np.prod([tool.none for tool in self._tools]))

    def _tool(self, places: tuple[int, ...], shares: Matrix) -> _Tool:
        return _Tool(places, shares, self._mixed(self.times[list(places)]), float(self._prior ** len(places)))

    def _mixed(self, times: Matrix) -> Matrix:
        """Parts of a tool, each in the colour or in none, over the jobs."""
        return np.asarray((self._prior + (1 - self._prior) * times).prod(axis=0))

    @property
    def none_probability(self) -> float:
        return self._all_none * float(self._days.days.sum()) / self.total

    def spans(self) -> Matrix:
        """Of each span: the piece is of it, at least one part in a job's colour."""
        return np.asarray(np.maximum(self._joint - self._days.days * self._all_none, 0) / self.total)

    def part_in_jobs(self) -> Matrix:
        """A row a part, a column a job: the part is in its colour."""
        found = np.zeros_like(self.times)
        for place, tool in enumerate(self._tools):
            on_jobs = (self._joint / self._by_span[place]) @ tool.shares * tool.known / self.total
            times = (1 - self._prior) * self.times[list(tool.parts)]
            found[list(tool.parts)] = on_jobs * times / (self._prior + times)
        return found

    def products(self) -> dict[str, float]:
        """Of each product: every part is in one of its colours or in none, and not all in none."""
        found = {}
        for product in dict.fromkeys(self._products):
            is_its = (self._products == product).astype(float)
            joint = self._days.days.copy()
            for tool in self._tools:
                known = self._mixed(self.times[list(tool.parts)] * is_its)
                joint *= np.where(tool.shares.any(axis=1), tool.shares @ known, tool.none)
            weight = joint.sum() - self._all_none * self._days.days.sum()
            found[str(product)] = max(float(weight), 0.0) / self.total
        return found

    def sets(self) -> dict[frozenset[int], Matrix]:
        """Each set of jobs whose colours the parts are in, with its probability span by span.

        Tool by tool; a set is followed while its probability, which is exact at every step, can be listed.
        So the sets stay few, and what is not listed is known.
        """
        found: dict[frozenset[int], Matrix] = {frozenset(): self._days.days / self.total}
        for place, tool in enumerate(self._tools):
            ahead = self._by_span[place + 1 :].prod(axis=0)
            following: dict[frozenset[int], Matrix] = {}
            for jobs, weight in self._followed(found, tool, ahead):
                following[jobs] = following.get(jobs, 0.0) + weight
            found = following
        found.pop(frozenset(), None)
        return {jobs: weight for jobs, weight in found.items() if weight.sum() > UNLISTED}

    @staticmethod
    def _followed(
        found: Mapping[frozenset[int], Matrix], tool: _Tool, ahead: Matrix
    ) -> Iterator[tuple[frozenset[int], Matrix]]:
        shown = tool.known - tool.none
        for jobs, weight in found.items():
            yield jobs, weight * tool.none
            chance = (weight * ahead) @ tool.shares * shown
            for job in np.flatnonzero(chance > UNLISTED):
                yield jobs | {int(job)}, weight * tool.shares[:, job] * shown[job]


def log_densities(parts: Sequence[PartColour], jobs: Sequence[Job]) -> Matrix:
    """A row a part, a column a job, in one light."""
    colours = job_colours(jobs)
    spreads = np.array([job.spread_de for job in jobs])
    return np.array(
        [colour_log_likelihood(part_colour(one), one.uncertainty_de, colours, spreads) for one in parts]
    )


def job_colours(jobs: Sequence[Job]) -> Matrix:
    """The colours of all jobs in the usual light."""
    return np.array([lab_in_light(job.lab, job.light, USUAL_LIGHT) for job in jobs])


def part_colour(part: PartColour) -> Matrix:
    """The colour of a part in the usual light."""
    return lab_in_light(part.lab, part.light, USUAL_LIGHT)

"""Which jobs ran on which days: the days are cut where a job begins or ends, and counted in between."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.colour.jobs import Job
from offtool.core.values import ImpossibleInput, NotEnoughData

Matrix = NDArray[np.float64]
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ShopDays:
    """Spans of days through which nothing changed, and the jobs that ran in each.

    `running` and `beside` have a row a span and a column a job: whether it ran; how many ran on its press.
    """

    begins: tuple[date, ...]
    ends: tuple[date, ...]
    days: Matrix
    running: Matrix
    beside: Matrix
    of_press: Matrix
    presses: tuple[str, ...]

    def shares(self, able: Collection[str]) -> Matrix:
        """How a tool's trial falls on the jobs of each span: presses able to hold it alike, the jobs of one
        press alike. A row of a span in which none of them ran is zero. Without names any press is able."""
        holds = np.array([not able or press in able for press in self.presses], dtype=float)
        presses_running = (self.running @ self.of_press > 0) @ holds
        share = self.running * (self.of_press @ holds)
        return np.asarray(share / np.maximum(self.beside, 1) / np.maximum(presses_running, 1)[:, None])


def shop_days(jobs: Sequence[Job], earliest: date | None, latest: date | None) -> ShopDays:
    """The spans on which anything ran, between two dates or from the first job to the last.

    Raises ImpossibleInput for dates the wrong way round, NotEnoughData where nothing ran between them.
    """
    if earliest is not None and latest is not None and latest < earliest:
        limit = f"must not be before the earliest, {earliest}"
        raise ImpossibleInput("latest", latest, "", limit, "swap the dates")
    first = np.array([max(job.begins, earliest or job.begins).toordinal() for job in jobs])
    last = np.array([min(job.ends, latest or job.ends).toordinal() for job in jobs])
    inside = first <= last
    cuts = np.unique(np.concatenate([first[inside], last[inside] + 1]))
    running = (first <= cuts[:-1, None]) & (last >= cuts[:-1, None]) & inside
    kept = running.any(axis=1)
    if not kept.any():
        raise NotEnoughData("no job ran between these dates", remedy="widen them, or enter the jobs of then")
    presses = tuple(dict.fromkeys(job.press for job in jobs))
    of_press = np.array([[job.press == press for press in presses] for job in jobs], dtype=float)
    runs = running[kept].astype(float)
    return ShopDays(
        begins=tuple(date.fromordinal(int(day)) for day in cuts[:-1][kept]),
        ends=tuple(date.fromordinal(int(day)) - ONE_DAY for day in cuts[1:][kept]),
        days=np.diff(cuts)[kept].astype(float),
        running=runs,
        beside=runs @ of_press @ of_press.T,
        of_press=of_press,
        presses=presses,
    )

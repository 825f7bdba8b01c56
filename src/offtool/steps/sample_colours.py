"""The colours of the record beside those of a sample: of each run, and of jobs it may have interrupted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property
from itertools import combinations
from math import sqrt

import numpy as np

from offtool.core.colour import USUAL_LIGHT, Light, ciede2000, lab_in_light
from offtool.core.colour.spaces import LIGHTS, Lab, as_lab
from offtool.core.samples.colour import InterruptedRun, Job, PartColour, interrupted_run
from offtool.core.samples.identify import Finding
from offtool.core.samples.identify.colours import ColourRecord, colour_finding
from offtool.core.values import NotEnoughData
from offtool.handbook.measured_colour import USUAL_SPREAD_DE
from offtool.handbook.terms import ColourBy, Stage
from offtool.records.models import Job as JobKept
from offtool.records.models import SampleColour, SamplePart, Trial
from offtool.records.queries import SampleGround
from offtool.steps.sample_origins import RunMade

OTHER_THAN_JOBS = 0.15
"""How often a trial is shot in a colour of none of the recorded jobs; common practice, no source."""
ONE_COLOUR = 3.0
"""Parts nearer than this, as ΔE00, are of one colour. Our own."""
APART = 6.0
"""Places of one part that lie so many of their uncertainties apart are of two colours. Our own."""
_OF_TRIALS = (Stage.FIRST, Stage.EARLY, Stage.LATE, Stage.ENGINEERING)

Colours = Sequence[SampleColour]


class ColoursRecorded:
    """Colours of runs and jobs, brought to one light so that they can be compared."""

    def __init__(self, ground: SampleGround, *, found_on: date | None = None) -> None:
        self.ground, self.found_on = ground, found_on

    @cached_property
    def jobs(self) -> tuple[Job, ...]:
        """The jobs whose colour was measured, as core takes them; not those that began after the piece was
        found: it cannot have their colour."""
        jobs = _jobs(self.ground.jobs, self._until)
        return tuple(one for one in jobs if self.found_on is None or one.begins <= self.found_on)

    @cached_property
    def _until(self) -> date:
        """A job without a last day runs until the last day that the record knows of."""
        runs = [run.ended_on or run.shot_on for run in self.ground.runs]
        jobs = [job.ends or job.begins for job in self.ground.jobs]
        return max((day for day in (*runs, *jobs) if day is not None), default=date.min)

    @cached_property
    def presses(self) -> Mapping[str, frozenset[str]]:
        """Codes of the presses that can hold a tool, by the tool's code; a tool that is not there: any."""
        codes = {press.pk: press.code for press in self.ground.presses}
        tools = {tool.pk: tool.code for tool in self.ground.tools}
        return {
            tools[tool]: frozenset(codes[key] for key in keys) for tool, keys in self.ground.holds.items()
        }

    def finding(
        self, part: SamplePart, makes: Sequence[RunMade], colours: Mapping[int, Colours]
    ) -> Finding | None:
        """What the colour of a part says of its makes; None where none was measured, or none is recorded."""
        if not colours.get(part.pk):
            return None
        can_be = [self._of_make(one) for one in makes]
        if not any(can_be):
            return None
        return colour_finding(*_together(part.pk, colours), can_be)

    def interrupted(
        self, parts: Sequence[SamplePart], colours: Mapping[int, Colours], *, found_on: date | None = None
    ) -> InterruptedRun | None:
        """Which jobs ran when the parts were shot; None without measured colours or jobs."""
        measured = [part for part in parts if colours.get(part.pk)]
        jobs = [one for one in self.jobs if found_on is None or one.begins <= found_on]
        if not measured or not jobs:
            return None
        seen = []
        for part in measured:
            lab, uncertainty = _together(part.pk, colours)
            seen.append(
                PartColour(
                    part=part.label,
                    tool=self._tool(part),
                    lightness=lab[0],
                    a=lab[1],
                    b=lab[2],
                    uncertainty_de=uncertainty,
                )
            )
        try:
            return interrupted_run(seen, jobs, presses=self.presses, latest=found_on)
        except NotEnoughData:
            return None

    def _tool(self, part: SamplePart) -> str:
        if part.tool is not None:
            return part.tool.code
        making = {one.tool.code for one in self.ground.cavities if one.part_id == part.part_id}
        return min(making) if len(making) == 1 else part.part.code

    def _of_make(self, one: RunMade) -> ColourRecord | None:
        """As measured on the run; else of the job it interrupted; else of any job that ran then."""
        run = one.trial
        if run is not None and run.lightness is not None:
            spread = run.colour_spread_de if run.colour_spread_de is not None else USUAL_SPREAD_DE
            return ColourRecord.of(lab_of(run.lightness, run.a, run.b, "D65", 10), spread)
        if run is not None and run.interrupted is not None and run.interrupted.lightness is not None:
            job = _job(run.interrupted, self._until)
            return ColourRecord.of(job.lab, job.spread_de)
        if one.make.stage not in _OF_TRIALS:
            return None
        tool = run.tool.code if run is not None else one.make.tool
        found = [job for job in self.jobs if self._can_be(job, tool, run)]
        if not found:
            return None
        share = (1 - OTHER_THAN_JOBS) / len(found)
        return ColourRecord(
            candidates=tuple((job.lab, share) for job in found), spread_de=max(job.spread_de for job in found)
        )

    def _can_be(self, job: Job, tool: str, run: Trial | None) -> bool:
        if tool in self.presses and job.press not in self.presses[tool]:
            return False
        known = {one.code for one in self.ground.presses}
        if run is not None and run.press in known and job.press != run.press:
            return False
        day = run.shot_on if run is not None else None
        return day is None or job.begins <= day <= job.ends


def _together(part: int, colours: Mapping[int, Colours]) -> tuple[Lab, float]:
    """The colour of a part. Photographs share the error of their card: parts of one colour count as one."""
    lab, uncertainty = mean_colour(colours[part])
    if any(one.by != ColourBy.PHOTOGRAPH.value for one in colours[part]):
        return lab, uncertainty
    alike = sum(
        all(one.by == ColourBy.PHOTOGRAPH.value for one in seen)
        and float(ciede2000(mean_colour(seen)[0], lab)[()]) < ONE_COLOUR
        for seen in colours.values()
        if seen
    )
    return lab, uncertainty * sqrt(max(alike, 1))


def mean_colour(colours: Colours) -> tuple[Lab, float]:
    """The mean of several places, in the usual light, and its standard uncertainty as ΔE00.

    The uncertainty is that of one reading: of a photograph it is mostly that of the card, which all share.
    Places that lie apart are that unsure.
    """
    labs = [lab_of(one.lightness, one.a, one.b, one.illuminant, one.observer) for one in colours]
    own = max(one.uncertainty_de for one in colours)
    return as_lab(np.mean(labs, axis=0)), max(own, places_apart(colours))


def places_apart(colours: Colours) -> float:
    """How far the places of one part lie apart as ΔE00; 0 where their uncertainty explains it."""
    if len(colours) < 2:
        return 0.0
    labs = [lab_of(one.lightness, one.a, one.b, one.illuminant, one.observer) for one in colours]
    apart = max(float(ciede2000(one, other)[()]) for one, other in combinations(labs, 2))
    return apart if apart > APART * max(one.uncertainty_de for one in colours) else 0.0


def lab_of(lightness: float, a: float | None, b: float | None, illuminant: str, observer: int) -> Lab:
    """A colour of the record in the light that all are compared in."""
    light: Light = next(one for one in LIGHTS if one == f"{illuminant}/{observer}")
    return as_lab(lab_in_light((lightness, a or 0.0, b or 0.0), light, USUAL_LIGHT))


def _jobs(kept: Sequence[JobKept], until: date) -> Iterator[Job]:
    for one in kept:
        if one.lightness is not None:
            yield _job(one, until)


def job_code(one: JobKept) -> str:
    """Press and job together: two presses may count their jobs alike."""
    return f"{one.press.code} {one.code}"


def _job(one: JobKept, until: date) -> Job:
    lab = lab_of(one.lightness or 0.0, one.a, one.b, one.illuminant, one.observer)
    return Job(
        code=job_code(one),
        press=one.press.code,
        product=one.product,
        lightness=lab[0],
        a=lab[1],
        b=lab[2],
        spread_de=one.spread_de,
        begins=one.begins,
        ends=one.ends or max(one.begins, until),
    )

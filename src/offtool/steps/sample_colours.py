"""The colours of the record beside those of a sample: of each run, and of jobs it may have interrupted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from functools import cached_property

import numpy as np

from offtool.core.samples.colour import (
    USUAL_LIGHT,
    InterruptedRun,
    Job,
    Light,
    PartColour,
    interrupted_run,
    lab_in_light,
)
from offtool.core.samples.colour.spaces import LIGHTS, Lab, as_lab
from offtool.core.samples.identify import Finding
from offtool.core.samples.identify.colours import ColourRecord, colour_finding
from offtool.core.values import NotEnoughData
from offtool.handbook.measured_colour import USUAL_SPREAD_DE
from offtool.handbook.terms import Stage
from offtool.records.models import Job as JobKept
from offtool.records.models import SampleColour, SamplePart, Trial
from offtool.records.queries import SampleGround
from offtool.steps.sample_origins import RunMade

OTHER_THAN_JOBS = 0.15
"""How often a trial is shot in a colour of none of the recorded jobs; common practice, no source."""
RUNS_ON = timedelta(days=3650)
"""A job without a last day still runs."""
_OF_TRIALS = (Stage.FIRST, Stage.EARLY, Stage.LATE, Stage.ENGINEERING)

Colours = Sequence[SampleColour]


class ColoursRecorded:
    """Colours of runs and jobs, brought to one light so that they can be compared."""

    def __init__(self, ground: SampleGround) -> None:
        self.ground = ground

    @cached_property
    def jobs(self) -> tuple[Job, ...]:
        """The jobs whose colour was measured, as core takes them."""
        return tuple(_jobs(self.ground.jobs))

    @cached_property
    def presses(self) -> Mapping[str, frozenset[str]]:
        """Codes of the presses that can hold a tool, by the tool's code; a tool that is not there: any."""
        codes = {press.pk: press.code for press in self.ground.presses}
        tools = {tool.pk: tool.code for tool in self.ground.tools}
        return {
            tools[tool]: frozenset(codes[key] for key in keys) for tool, keys in self.ground.holds.items()
        }

    def finding(self, part: SamplePart, makes: Sequence[RunMade], colours: Colours) -> Finding | None:
        """What the colour of a part says of its makes; None where none was measured, or none is recorded."""
        if not colours:
            return None
        can_be = [self._of_make(one) for one in makes]
        if not any(can_be):
            return None
        lab, uncertainty = mean_colour(colours)
        return colour_finding(lab, uncertainty, can_be)

    def interrupted(
        self, parts: Sequence[SamplePart], colours: Mapping[int, Colours]
    ) -> InterruptedRun | None:
        """Which jobs ran when the parts were shot; None without measured colours or jobs."""
        measured = [part for part in parts if colours.get(part.pk)]
        if not measured or not self.jobs:
            return None
        seen = []
        for part in measured:
            lab, uncertainty = mean_colour(colours[part.pk])
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
            return interrupted_run(seen, self.jobs, presses=self.presses)
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
            job = _job(run.interrupted)
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


def mean_colour(colours: Colours) -> tuple[Lab, float]:
    """The mean of several places, in the usual light, and its standard uncertainty as ΔE00.

    The uncertainty is that of one reading: of a photograph it is mostly that of the card, which all share.
    """
    labs = [lab_of(one.lightness, one.a, one.b, one.illuminant, one.observer) for one in colours]
    return as_lab(np.mean(labs, axis=0)), max(one.uncertainty_de for one in colours)


def lab_of(lightness: float, a: float | None, b: float | None, illuminant: str, observer: int) -> Lab:
    """A colour of the record in the light that all are compared in."""
    light: Light = next(one for one in LIGHTS if one == f"{illuminant}/{observer}")
    return as_lab(lab_in_light((lightness, a or 0.0, b or 0.0), light, USUAL_LIGHT))


def _jobs(kept: Sequence[JobKept]) -> Iterator[Job]:
    for one in kept:
        if one.lightness is not None:
            yield _job(one)


def job_code(one: JobKept) -> str:
    """Press and job together: two presses may count their jobs alike."""
    return f"{one.press.code} {one.code}"


def _job(one: JobKept) -> Job:
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
        ends=one.ends or one.begins + RUNS_ON,
    )

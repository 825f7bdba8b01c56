"""What stands in the register of one sample, in words: its parts with their tags, all that was seen of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from offtool.core.colour import LIGHTS, Light
from offtool.core.colour.spaces import linear_from_lab, srgb_from_linear
from offtool.core.samples.colour import InterruptedRun
from offtool.records.models import Job, SampleColour, SamplePart
from offtool.records.queries import SampleWhole
from offtool.steps.sample_colours import job_code
from offtool.steps.sample_found import ColourSeen, JobSeen, ObservationSeen, PartSeen, PhotographSeen
from offtool.steps.sentences import decimals_for


def tag_of(part: SamplePart) -> str:
    """What the tag of a part says: T2 of M1, state b, cavity 3, shot 41."""
    said = []
    if part.trial is not None:
        said.append(f"{part.trial.name} of {part.trial.tool.code}" if part.tool else part.trial.name)
    elif part.tool is not None:
        said.append(part.tool.code)
    if part.state is not None:
        said.append(f"state {part.state.label}")
    if part.cavity is not None:
        said.append(f"cavity {part.cavity.label}")
    if part.shot is not None:
        said.append(f"shot {part.shot}")
    return ", ".join(said)


def parts_seen(whole: SampleWhole) -> tuple[PartSeen, ...]:
    """The parts of a sample, with their tags."""
    return tuple(
        PartSeen(
            label=part.label,
            part=part.part.code,
            part_name=part.part.name,
            tag=tag_of(part),
            colour=part.colour,
            note=part.note,
        )
        for part in whole.parts
    )


def observations_seen(whole: SampleWhole) -> tuple[ObservationSeen, ...]:
    """All that was seen and measured, in the order of time; what is set aside too."""
    return tuple(sorted(_observations(whole), key=lambda one: (one.seen_at, one.kind, one.key)))


def _observations(whole: SampleWhole) -> Iterator[ObservationSeen]:
    for detail in whole.details:
        found = "there" if detail.is_there else "missing"
        yield _seen(detail, "detail", detail.sample_part.label, str(detail.detail), found, detail.is_sure)
    for sign in whole.signs:
        part = sign.sample_part.label if sign.sample_part is not None else ""
        yield _seen(sign, "sign", part, sign.sign, sign.outcome, sign.is_sure)
    for size in whole.sizes:
        one = size.characteristic
        decimals = decimals_for(one.lower, one.upper, one.nominal)
        about = f"{one.part.code} {one.number} {one.name}".rstrip()
        plus = f" ± {size.uncertainty:g}" if size.uncertainty is not None else ""
        written = max(f"{size.value:.{decimals}f}", f"{size.value:.10g}", key=len)  # as it was measured
        said = f"{written}{plus} {one.unit}"
        yield _seen(size, "size", size.sample_part.label, about, said, True)
    for colour in whole.colours:
        said = f"L* {colour.lightness:.1f}, a* {colour.a:.1f}, b* {colour.b:.1f}"
        about = f"colour, {colour.place}" if colour.place else "colour"
        yield _seen(colour, "colour", colour.sample_part.label, about, said, True)


def _seen(row: object, kind: str, part: str, about: str, found: str, is_sure: bool) -> ObservationSeen:
    return ObservationSeen(
        kind=kind,
        key=row.pk,  # type: ignore[attr-defined]
        part=part,
        about=about,
        found=found,
        is_sure=is_sure,
        seen_at=row.seen_at,  # type: ignore[attr-defined]
        seen_by=row.seen_by,  # type: ignore[attr-defined]
        note=row.note,  # type: ignore[attr-defined]
        set_aside=row.set_aside,  # type: ignore[attr-defined]
    )


def colours_seen(whole: SampleWhole) -> tuple[ColourSeen, ...]:
    """The colours that count."""
    return tuple(
        ColourSeen(
            part=one.sample_part.label,
            place=one.place,
            lightness=one.lightness,
            a=one.a,
            b=one.b,
            uncertainty_de=one.uncertainty_de,
            by=one.by,
            stated_for=f"{one.illuminant}, {one.observer}°",
            on_screen=on_screen(one.lightness, one.a, one.b, light_of(one)),
        )
        for one in whole.colours
        if not one.set_aside
    )


def jobs_seen(found: InterruptedRun | None, jobs: Sequence[Job]) -> tuple[JobSeen, ...]:
    """The jobs that an interrupted run names, with their colours."""
    if found is None:
        return ()
    named = {code for one in found.sets for code in one.jobs}
    named |= {job.code for part in found.parts for job in (*part.jobs, *part.nearest)}
    return tuple(
        JobSeen(
            code=code,
            press=job.press.code,
            product=job.product,
            colour=job.colour,
            begins=job.begins,
            ends=job.ends,
            on_screen=on_screen(job.lightness, job.a, job.b, light_of(job)),
        )
        for job, code in zip(jobs, map(job_code, jobs), strict=True)
        if code in named and job.lightness is not None and job.a is not None and job.b is not None
    )


def photographs_seen(whole: SampleWhole) -> tuple[PhotographSeen, ...]:
    """The photographs, first to last."""
    return tuple(
        PhotographSeen(
            key=one.pk,
            name=one.name,
            part=one.sample_part.label if one.sample_part is not None else "",
            note=one.note,
            width=one.width,
            height=one.height,
        )
        for one in whole.photographs
    )


def light_of(colour: SampleColour | Job) -> Light:
    """The light and the eye that a colour is stated for, as core calls them."""
    wanted = f"{colour.illuminant}/{colour.observer}"
    return next(light for light in LIGHTS if light == wanted)


def on_screen(lightness: float, a: float, b: float, light: Light) -> str:
    """A colour as a screen shows it, near enough to recognise: what a screen cannot show is cut off."""
    shown = srgb_from_linear(np.clip(linear_from_lab((lightness, a, b), light), 0, 1))
    red, green, blue = (round(float(channel)) for channel in np.ravel(shown))
    return f"#{red:02x}{green:02x}{blue:02x}"

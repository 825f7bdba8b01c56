"""Why a sample is thought to be what it is: the evidence of one origin, its parts, the run it interrupted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from offtool.core.samples.colour import InterruptedRun, JobChance, PartInJobs
from offtool.core.samples.identify.answers import Answer, Counts, PartAnswer
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.odds_bar import draw_odds_bar, odds_in_words
from offtool.reports.sample_words import WEIGHTS
from offtool.steps.sample_found import ColourSeen, JobSeen, PartSeen, SampleFound
from offtool.steps.sample_sentences import part_in_words
from offtool.steps.sentences import sentence
from offtool.web.pages.sample_words import about_in_words, called, compared, draw_swatch, with_minus
from offtool.web.pages.samples import SamplesPlace
from offtool.web.pages.seam_words import with_capital

MOST_STATES, MOST_JOBS, MOST_SETS = 3, 3, 5
WORTH_LISTING = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow:
    """One finding, and what it says of the origin that is asked about."""

    about: str
    found: str
    says: str
    odds: str
    weight: str
    bar: SafeString


@dataclass(frozen=True, slots=True, kw_only=True)
class OriginChoice:
    """One origin whose evidence can be seen."""

    code: str
    words: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyShown:
    """The evidence of one origin."""

    origin: str
    headline: str
    before: str
    """How probable it was before anything was looked at."""
    rows: tuple[EvidenceRow, ...]
    choices: tuple[OriginChoice, ...]
    elsewhere: str
    """Parts that would then rather be from elsewhere; empty where none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwatchRow:
    """A colour and its words."""

    swatch: SafeString
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplePartRow:
    """One part of the piece, whatever the others are."""

    label: str
    part: str
    tag: str
    note: str
    says: str
    states: str
    bounds: tuple[str, ...]
    clashes: tuple[str, ...]
    colours: tuple[SwatchRow, ...]
    weights: tuple[str, ...]
    cautions: tuple[Caution, ...]
    """What to mind of its weight."""
    change_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsRow:
    """One part beside the jobs whose colour it can be."""

    part: str
    colour: SwatchRow | None
    jobs: tuple[SwatchRow, ...]
    none: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRow:
    """Jobs that the run may have interrupted, all of one day."""

    jobs: str
    when: str
    probability: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InterruptedShown:
    """Whose run was interrupted, by the colours of all parts at once."""

    says: str
    sets: tuple[SetRow, ...]
    parts: tuple[JobsRow, ...]
    cautions: tuple[Caution, ...]


def why_shown(found: SampleFound, origin: str) -> WhyShown:
    """The evidence of the origin that is asked about; of the most probable where none or another is."""
    answers = [one for one in found.identified.answers if one.evidence] or [found.identified.top]
    asked = next((one for one in answers if one.code == origin), answers[0])
    stage = f" ({asked.stage.value})" if asked.stage and asked.stage.value not in asked.code else ""
    return WhyShown(
        origin=called(asked.code),
        headline=f"For and against {called(asked.code)}{stage}, {words.chance(asked.probability)}",
        before=f"{words.chance(asked.prior)} before anything was looked at",
        rows=tuple(_evidence(one, answers) for one in asked.evidence),
        choices=tuple(
            OriginChoice(
                code=one.code,
                words=f"{called(one.code)}, {words.chance(one.probability)}",
                is_chosen=one is asked,
            )
            for one in answers
        ),
        elsewhere=_elsewhere(asked),
    )


def _elsewhere(asked: Answer) -> str:
    if not asked.elsewhere:
        return ""
    parts = words.listed(asked.elsewhere)
    return f"If it is {called(asked.code)}, {parts} would rather be from another piece."


def _evidence(one: Counts, answers: list[Answer]) -> EvidenceRow:
    most = ", the most it may count" if one.capped else ""
    return EvidenceRow(
        about=about_in_words(one.part, one.about),
        found=with_minus(one.found),
        says=sentence(compared(one, answers)),
        odds=odds_in_words(one.log_odds),
        weight=f"{WEIGHTS[one.weight]}{most}",
        bar=mark_safe(draw_odds_bar(one.log_odds)),  # noqa: S308 our own drawing
    )


def part_rows(found: SampleFound, place: SamplesPlace) -> Iterator[SamplePartRow]:
    """Each part with its own answer."""
    answers = {one.label: one for one in found.identified.parts}
    for part in found.parts:
        yield _part(part, answers.get(part.label), found, place)


def _part(
    part: PartSeen, answer: PartAnswer | None, found: SampleFound, place: SamplesPlace
) -> SamplePartRow:
    weights = [one for one in found.weights if one.part == part.label]
    return SamplePartRow(
        label=part.label,
        part=f"{part.part} {part.part_name}".rstrip() if part.label != part.part else part.part_name,
        tag=f"tag: {part.tag}" if part.tag else "no tag",
        note=part.note,
        says=sentence(part_in_words(answer)) if answer else "No tool of the record makes it.",
        states=_states(answer) if answer else "",
        bounds=tuple(_bounds(answer)) if answer else (),
        clashes=tuple(_clashes(answer)) if answer else (),
        colours=tuple(_colour(one) for one in found.colours if one.part == part.label),
        weights=tuple(sentence(f"its weight {one.found.words}") for one in weights),
        cautions=tuple(with_capital(caution) for one in weights for caution in one.found.cautions),
        change_href=place.address("change_sample_part", part.label),
    )


def _states(answer: PartAnswer) -> str:
    """Steel: state b of M2 83 %, state a 11 %."""
    said = [
        f"state {state} of {tool} {words.chance(share)}" if state else f"{tool or 'no tool'} {share:.0%}"
        for tool, state, share in answer.states[:MOST_STATES]
        if share >= WORTH_LISTING and tool
    ]
    return ", ".join(said)


def _bounds(answer: PartAnswer) -> Iterator[str]:
    for one in answer.bounds:
        states = words.listed(one.states)
        yield sentence(f"{one.about} {one.found}: only state{'s' * (len(one.states) > 1)} {states}")


def _clashes(answer: PartAnswer) -> Iterator[str]:
    for one in answer.clashes:
        others = f" contradicts {words.listed(one.for_)}" if one.for_ else " fits no single run"
        yield sentence(
            f"{words.listed(one.against)}{others}: read wrong, damaged, repaired, or put together from two"
        )


def _colour(one: ColourSeen) -> SwatchRow:
    numbers = f"L* {one.lightness:.1f}, a* {one.a:.1f}, b* {one.b:.1f} ± {one.uncertainty_de:g}"
    numbers = with_minus(numbers)
    where = f"{one.place}: " if one.place else ""
    return SwatchRow(
        swatch=draw_swatch(one.on_screen, f"{where}{numbers}"),
        words=f"{where}{numbers}, by {one.by}, {one.stated_for}",
    )


def interrupted_shown(found: SampleFound) -> InterruptedShown | None:
    """Colours beside jobs; None where no colour was measured or no job is recorded."""
    run = found.interrupted
    if run is None:
        return None
    jobs = {one.code: one for one in found.jobs}
    return InterruptedShown(
        says=sentence(run.words),
        sets=tuple(_sets(run, jobs)),
        parts=tuple(_jobs_row(one, found, jobs) for one in run.parts),
        cautions=tuple(map(with_capital, run.cautions)),
    )


def _sets(run: InterruptedRun, jobs: Mapping[str, JobSeen]) -> Iterator[SetRow]:
    for one in run.sets[:MOST_SETS]:
        if one.probability >= WORTH_LISTING:
            yield SetRow(
                jobs=words.listed([_job(code, jobs) for code in one.jobs]),
                when=f"{words.day(one.begins)} to {words.day(one.ends)}",
                probability=words.chance(one.probability),
            )


def _job(code: str, jobs: Mapping[str, JobSeen]) -> str:
    """orange wheelbarrow, job 114 on P3."""
    job = jobs.get(code)
    if job is None:
        return code
    what = " ".join(filter(None, (job.colour, job.product)))
    number = code.removeprefix(f"{job.press} ")
    return f"{what}, job {number} on {job.press}" if what else f"job {number} on {job.press}"


def _jobs_row(part: PartInJobs, found: SampleFound, jobs: Mapping[str, JobSeen]) -> JobsRow:
    measured = next((_colour(one) for one in found.colours if one.part == part.part), None)
    likely = [one for one in part.jobs if one.probability >= WORTH_LISTING][:MOST_JOBS]
    return JobsRow(
        part=part.part,
        colour=measured,
        jobs=tuple(_swatch(one, jobs) for one in likely if one.code in jobs),
        none=words.chance(part.none_probability),
    )


def _swatch(one: JobChance, jobs: Mapping[str, JobSeen]) -> SwatchRow:
    said = f"{_job(one.code, jobs)}: {words.chance(one.probability)}, ΔE00 {one.difference:.1f}"
    return SwatchRow(swatch=draw_swatch(jobs[one.code].on_screen, said), words=said)

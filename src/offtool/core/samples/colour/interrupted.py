"""Which run a trial may have interrupted, from the colours of all parts of a piece at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.difference import ciede2000
from offtool.core.samples.colour.colour_match import ColourMatch, job_colours, part_colour
from offtool.core.samples.colour.jobs import (
    DaysBetweenChanges,
    InterruptedRun,
    Job,
    JobChance,
    JobsInterrupted,
    PartColour,
    PartInJobs,
    ProductChance,
    refuse_impossible_jobs,
    refuse_impossible_parts,
)
from offtool.core.samples.colour.shop_days import ShopDays, shop_days
from offtool.core.values import Caution, ImpossibleInput
from offtool.handbook.defects import PRACTICE

Matrix = NDArray[np.float64]

SURE = 0.8
"""From here on one run is called; below it the candidates are named. Our own."""
LISTED = 10
"""So many jobs of each part are listed."""
NEAREST = 2
HARDLY = 0.01
"""A span with less than this share of a set's probability is not counted to its days."""
TOLD_APART = 2.0
"""Colours nearer than so many standard deviations are not told apart."""
PARTS_SURE = 0.5


def interrupted_run(
    parts: Sequence[PartColour],
    jobs: Sequence[Job],
    *,
    presses: Mapping[str, frozenset[str]],
    earliest: date | None = None,
    latest: date | None = None,
    prior_none: float = 0.1,
) -> InterruptedRun:
    """Which jobs ran when the parts of a piece were shot, by their colours, all parts at once.

    One day, each day alike on which anything ran between the dates. On it each tool went to one of the
    presses able to hold it on which a job ran, each alike, and its parts are in that job's colour; or, with
    probability `prior_none` each, in a colour of none of the jobs. Parts of one tool come from one shot.
    `presses` names those able to hold each tool; none named means any.

    Returns: InterruptedRun. Raises: NotEnoughData without parts, jobs, or days on which anything ran;
    ImpossibleInput for dates the wrong way round, a code given twice, or a prior that is no probability.

    Holds when: all parts were shot on one day. Where no press able to hold a tool was running, its parts can
    only be in a colour of none of the jobs.
    """
    refuse_impossible_parts(parts)
    refuse_impossible_jobs(jobs)
    if not 0 < prior_none < 1:
        raise ImpossibleInput("prior_none", prior_none, "", "must be above 0 and below 1", "0.1 is usual")
    days = shop_days(jobs, earliest, latest)
    match = ColourMatch(parts, jobs, days, presses, prior_none)
    sets = tuple(_sets(match, jobs, days))
    products = _products(match)
    found = tuple(_parts(match, parts, jobs, days, presses, prior_none))
    none = match.none_probability
    return InterruptedRun(
        best=sets[0] if sets else None,
        next=sets[1] if len(sets) > 1 else None,
        none_probability=none,
        sets=sets,
        rest_probability=max(1 - none - sum(one.probability for one in sets), 0.0),
        spans=_spans(match, jobs, days),
        products=products,
        parts=found,
        days=int(days.days.sum()),
        prior_none=prior_none,
        words=_words(sets, products, none),
        cautions=tuple(_cautions(parts, jobs, days, presses, found, sets)),
    )


def _sets(match: ColourMatch, jobs: Sequence[Job], days: ShopDays) -> list[JobsInterrupted]:
    found = []
    for places, weight in match.sets().items():
        counted = np.flatnonzero(weight > HARDLY * weight.sum())
        mine = [jobs[place] for place in sorted(places)]
        found.append(
            JobsInterrupted(
                jobs=tuple(job.code for job in mine),
                products=tuple(dict.fromkeys(job.product for job in mine)),
                begins=days.begins[counted[0]],
                ends=days.ends[counted[-1]],
                probability=float(weight.sum()),
            )
        )
    return sorted(found, key=lambda one: -one.probability)


def _spans(match: ColourMatch, jobs: Sequence[Job], days: ShopDays) -> tuple[DaysBetweenChanges, ...]:
    chances = match.spans()
    return tuple(
        DaysBetweenChanges(
            begins=days.begins[place],
            ends=days.ends[place],
            days=int(days.days[place]),
            running=tuple(job.code for job, ran in zip(jobs, days.running[place], strict=True) if ran),
            probability=float(chances[place]),
        )
        for place in np.argsort(-chances, kind="stable")
    )


def _products(match: ColourMatch) -> tuple[ProductChance, ...]:
    found = [ProductChance(product=name, probability=chance) for name, chance in match.products().items()]
    return tuple(sorted(found, key=lambda one: -one.probability))


def _parts(
    match: ColourMatch,
    parts: Sequence[PartColour],
    jobs: Sequence[Job],
    days: ShopDays,
    presses: Mapping[str, frozenset[str]],
    prior_none: float,
) -> Iterator[PartInJobs]:
    colours, together = job_colours(jobs), match.part_in_jobs()
    for place, one in enumerate(parts):
        apart = ciede2000(part_colour(one), colours)
        alone = ColourMatch([one], jobs, days, presses, prior_none).part_in_jobs()[0]
        ranked = _ranked(jobs, together[place], apart)
        near = np.argsort(apart, kind="stable")[:NEAREST]
        yield PartInJobs(
            part=one.part,
            tool=one.tool,
            jobs=ranked,
            none_probability=max(1 - float(together[place].sum()), 0.0),
            alone=_ranked(jobs, alone, apart),
            nearest=tuple(_chance(jobs[job], together[place][job], apart[job]) for job in near),
            words=_part_words(ranked),
        )


def _ranked(jobs: Sequence[Job], chances: Matrix, apart: Matrix) -> tuple[JobChance, ...]:
    first = np.argsort(-chances, kind="stable")[:LISTED]
    return tuple(_chance(jobs[place], chances[place], apart[place]) for place in first if chances[place] > 0)


def _chance(job: Job, probability: float, apart: float) -> JobChance:
    return JobChance(
        code=job.code,
        press=job.press,
        product=job.product,
        probability=float(probability),
        difference=float(apart),
    )


def _part_words(ranked: Sequence[JobChance]) -> str:
    if not ranked or ranked[0].probability < PARTS_SURE:
        return "in no job's colour that can be named"
    said = [f"{one.code} {_percent(one.probability)}, ΔE00 {one.difference:.1f}" for one in ranked[:2]]
    return f"{said[0]}; next {said[1]}" if len(said) > 1 else said[0]


def _percent(probability: float) -> str:
    """Never 0 or 100 %."""
    if not 0.001 <= probability <= 0.999:
        return "over 99.9 %" if probability > 0.5 else "under 0.1 %"
    return f"{100 * probability:.3g} %"


def _words(sets: Sequence[JobsInterrupted], products: Sequence[ProductChance], none: float) -> str:
    if not sets or none >= SURE:
        return f"in a colour of none of the jobs: {_percent(none)}"
    best = sets[0]
    if best.probability >= SURE:
        when = f"between {best.begins} and {best.ends}"
        named = " and ".join(one for one in best.products if one)
        made = f" ({named})" if named else ""
        return f"shot while {' and '.join(best.jobs)}{made} ran, {when}: {_percent(best.probability)}"
    said = "; or ".join(f"{' and '.join(one.jobs)}, {_percent(one.probability)}" for one in sets[:2])
    of = products[0]
    but = (
        f"; a run of {of.product} all the same, {_percent(of.probability)}" if of.probability >= SURE else ""
    )
    return f"cannot tell which run: {said}; none of them {_percent(none)}{but}"


def _cautions(
    parts: Sequence[PartColour],
    jobs: Sequence[Job],
    days: ShopDays,
    presses: Mapping[str, frozenset[str]],
    found: Sequence[PartInJobs],
    sets: Sequence[JobsInterrupted],
) -> Iterator[Caution]:
    for tool in dict.fromkeys(one.tool for one in parts):
        if not days.shares(presses.get(tool, frozenset())).any():
            yield Caution(f"no job ran on a press able to hold {tool}: its colours say nothing")
    if len({part.light for part in parts} | {job.light for job in jobs}) > 1:
        yield Caution("the colours were measured under different lights: brought to D65 and 2°, roughly")
    yield from _disagreeing(found, sets)
    if sets:
        yield from _alike(parts, jobs, found)
    yield Caution(
        "a colour-change shot of production, regrind and a later run in the same colour look the same",
        PRACTICE,
    )


def _disagreeing(found: Sequence[PartInJobs], sets: Sequence[JobsInterrupted]) -> Iterator[Caution]:
    """Parts that alone would name another job than with the others."""
    best = sets[0].jobs if sets else ()
    for one in found:
        if one.alone and one.alone[0].probability >= SURE and one.alone[0].code not in best:
            yield Caution(
                f"{one.part} alone would be of {one.alone[0].code}, the other parts say otherwise: it may be "
                "of another day"
            )


def _alike(
    parts: Sequence[PartColour], jobs: Sequence[Job], found: Sequence[PartInJobs]
) -> Iterator[Caution]:
    """Jobs that a part's colour cannot tell apart."""
    by_code = {job.code: place for place, job in enumerate(jobs)}
    colours = job_colours(jobs)
    said = set[frozenset[str]]()
    for part, one in zip(parts, found, strict=True):
        pair = frozenset(chance.code for chance in one.jobs[:2])
        if len(pair) < 2 or one.jobs[1].probability < HARDLY or pair in said:
            continue
        first, second = (by_code[chance.code] for chance in one.jobs[:2])
        apart = float(ciede2000(colours[first], colours[second]))
        if apart < TOLD_APART * np.hypot(part.uncertainty_de, jobs[first].spread_de):
            said.add(pair)
            yield Caution(
                f"{jobs[first].code} and {jobs[second].code} lie {apart:.1f} apart: {part.part} cannot "
                "tell them"
            )


__all__ = ["InterruptedRun", "interrupted_run"]

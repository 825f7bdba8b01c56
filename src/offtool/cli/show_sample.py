"""Samples on the terminal: the register, and of one piece the verdict, what to do, why, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.samples.identify import Answer
from offtool.core.values import OfftoolError, nearest
from offtool.reports.sample_words import (
    counts_in_words,
    finding_in_words,
    moved_in_words,
    origins_listed,
    part_lines,
)
from offtool.reports.state_strip import bound_in_words
from offtool.reports.words import day
from offtool.steps.sample_found import ObservationSeen, SampleFound, SampleLine, SamplesFound
from offtool.steps.sample_sentences import share
from offtool.steps.sentences import count
from offtool.steps.sentences import sentence as as_sentence

BAR = 20
"""Signs of the bar of a certainty."""


def samples_lines(found: SamplesFound) -> list[str]:
    """The register: a line a sample."""
    lines = sentence(found.headline)
    if not found.samples:
        by = f"offtool register {found.programme} --what WORDS enters one."
        return lines if found.searched else [*lines, *sentence(by)]
    rows = [[one.number, one.tag or "no tag", _more(one)] for one in found.samples]
    said = [", ".join(filter(None, row)) for row in rows]
    return [*lines, "", *table_or_bullets(rows, said)]


def _more(one: SampleLine) -> str:
    seen = f"{count(one.observations, 'thing')} seen" if one.observations else "not looked at"
    pictures = count(one.photographs, "photograph") if one.photographs else ""
    return "; ".join(filter(None, (one.name, one.place, seen, pictures)))


def sample_lines(found: SampleFound, *, origin: str | None = None, seen: bool = False) -> list[str]:
    """All lines of one sample; `origin` is the one whose evidence is listed. Raises OfftoolError."""
    why = _asked(found, origin)
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [
            *heading("What would settle it"),
            *steps([(one.do, one.because) for one in found.actions]),
        ]
    lines += [*heading("In words"), *table(list(_in_words(found)), width=width(), indent=2)]
    lines += [*heading("When it can have been made"), *_origins(found)]
    lines += bullets([bound_in_words(one, found) for one in found.bounds])
    lines += _why(why)
    lines += _parts(found)
    if found.interrupted is not None:
        said = as_sentence(found.interrupted.words)
        lines += [*heading("Which run it may have interrupted"), *bullets([said])]
    lines += _seen(found) if seen else []
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    of_colour = found.interrupted.cautions if found.interrupted is not None else ()
    return [*lines, *cautions(tuple(dict.fromkeys((*found.cautions, *of_colour))))]


def _which(found: SampleFound) -> str:
    named = f"{found.number}, {found.name}" if found.name else found.number
    place = f"; {found.place}" if found.place else ""
    holder = f"; {found.holder} has it" if found.holder else ""
    return f"{found.programme_title}, sample {named}{place}{holder}."


def _in_words(found: SampleFound) -> Iterator[list[str]]:
    yield ["For the engineer", found.in_words.engineer]
    yield ["For the archive", found.in_words.archive]
    if found.in_words.sense:
        yield ["As a first shot", found.in_words.sense]


def _asked(found: SampleFound, origin: str | None) -> Answer:
    if origin is None:
        return found.identified.top
    answers = found.identified.answers
    for one in answers:
        if one.code.casefold() == origin.strip().casefold():
            return one
    known = nearest(origin, [one.code for one in answers])
    raise OfftoolError(f"no origin {origin!r} that this piece can have", remedy=known)


def _origins(found: SampleFound) -> list[str]:
    """The origins from early to late, those worth a line, each with a bar."""
    worth = {one.code for one in origins_listed(found)}
    order = {one.code: place for place, one in enumerate(found.strip)}
    answers = sorted(found.identified.answers, key=lambda one: order.get(one.code, len(order)))
    listed = [one for one in answers if one.code in worth]
    rows = [["", "", "now", "before it was looked at"]]
    rows += [[one.code, _bar(one.probability), share(one.probability), share(one.prior)] for one in listed]
    said = [f"{one.code}: {moved_in_words(one)}" for one in listed]
    return table_or_bullets(rows, said, sides="<<>")


def _bar(probability: float) -> str:
    return "━" * max(round(BAR * probability), 1)


def _why(one: Answer) -> list[str]:
    if not one.evidence:
        return []
    rows = [[counts_in_words(each), finding_in_words(each)] for each in one.evidence]
    lines = [*heading(f"Why {one.code}"), *table(rows, width=width(), indent=2)]
    if one.elsewhere:
        lines += bullets([f"{part} would then rather be from elsewhere" for part in one.elsewhere])
    return lines


def _parts(found: SampleFound) -> list[str]:
    parts = found.identified.parts
    if len(parts) < 2:
        return []
    rows = [[part.label if not i else "", line] for part in parts for i, line in enumerate(part_lines(part))]
    return [*heading("Each part by itself"), *table(rows, width=width(), indent=2)]


def _seen(found: SampleFound) -> list[str]:
    if not found.observations:
        return [*heading("All that was seen"), *bullets(["nothing yet"])]
    rows = [[f"{one.kind} {one.key}", _observation(one)] for one in found.observations]
    return [*heading("All that was seen"), *table(rows, width=width(), indent=2)]


def _observation(one: ObservationSeen) -> str:
    about = f"{one.part}, {one.about}" if one.part else one.about
    unsure = "" if one.is_sure else ", not sure"
    aside = f"set aside: {one.set_aside}" if one.set_aside else ""
    by = f"{one.seen_by}, {day(one.seen_at.date())}"
    return "; ".join(filter(None, (f"{about}: {one.found}{unsure}", by, aside, one.note)))

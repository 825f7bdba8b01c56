"""Start from a first-article report alone: programme, part, tool, cavities and sizes are made from the
file, or from several files that are its parts. A further report adds its part and tool to the programme."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np
from django.db import transaction
from django.utils.text import slugify

from offtool.exchange.readings import (
    FoundCharacteristic,
    Layout,
    ReadingTable,
    SentFile,
    merge,
    read_files,
    read_table,
)
from offtool.handbook.resins import RESINS, resin_default
from offtool.handbook.terms import UNITS, SizeKind
from offtool.records.models import Cavity, Characteristic, Part, Programme, Resin, Tool, ToolState, Trial
from offtool.records.queries import find_programme
from offtool.records.refusals import refusals_in_words
from offtool.steps.matching import Match
from offtool.steps.read_bundle import Bundle, preview_of_bundle, refuse_problems_of, store_bundle
from offtool.steps.read_readings import CannotKeep, preview_of, refuse_problems, store_table
from offtool.steps.reading_preview import MatchedCharacteristic, ReadingPreview, ReadingsKept

ONLY_CAVITY = "1"


def preview_start(
    content: bytes, name: str, *, layout: Layout | None = None, sheet: str | None = None
) -> ReadingPreview:
    """How a report would be read when nothing is on record yet. Raises FileRefused."""
    table = read_table(content, name, layout=layout, sheet=sheet)
    return preview_of(content, table, _new(table))


def start_from_report(
    content: bytes,
    name: str,
    *,
    title: str,
    read_at: datetime,
    read_by: str,
    add: bool = False,
    tool: str = "M1",
    part: str = "P1",
    trial: str = "T1",
    resin: str = "ABS",
    required_index: float | None = None,
    layout: Layout | None = None,
    sheet: str | None = None,
    leave_out: bool = False,
) -> ReadingsKept:
    """Make a programme from a report, with its first trial; `required_index` None leaves it to the usual
    1.00. With `add`, the programme of that title or short name is there, and gets one more part on a tool of
    its own.

    Raises FileRefused, CannotKeep for a title in use, an unknown resin, or a report without limits; with
    `add`, what `programme_to_add_to` raises, and AlreadyRead. Nothing is kept then.
    """
    table = read_table(content, name, layout=layout, sheet=sheet)
    match = _new(table)
    refuse_problems(name, match.problems, table.refused, leave_out=leave_out)
    with transaction.atomic(), refusals_in_words():
        programme = _programme(title, tool, part, add=add)
        made, filled = _made(table, match, programme, tool, part, trial, resin, required_index)
        return store_table(content, table, made, filled, read_at=read_at, read_by=read_by)


def preview_start_of_files(
    files: Sequence[SentFile], name: str, *, layout: Layout | None = None, sheet: str | None = None
) -> ReadingPreview:
    """How several files would be read as one report when nothing is on record yet. Raises FileRefused."""
    return preview_of_bundle(_bundle(files, name, layout, sheet))


def start_from_files(
    files: Sequence[SentFile],
    name: str,
    *,
    title: str,
    read_at: datetime,
    read_by: str,
    add: bool = False,
    tool: str = "M1",
    part: str = "P1",
    trial: str = "T1",
    resin: str = "ABS",
    required_index: float | None = None,
    layout: Layout | None = None,
    sheet: str | None = None,
    leave_out: bool = False,
) -> ReadingsKept:
    """Make or extend a programme from several files, each with limits or with sizes another file limits.

    Raises what `start_from_report` raises, also for files that contradict each other. Nothing is kept then.
    """
    bundle = _bundle(files, name, layout, sheet)
    refuse_problems_of(bundle, leave_out=leave_out)
    with transaction.atomic(), refusals_in_words():
        programme = _programme(title, tool, part, add=add)
        made, filled = _made(bundle.table, bundle.match, programme, tool, part, trial, resin, required_index)
        return store_bundle(replace(bundle, match=filled), made, read_at=read_at, read_by=read_by)


def programme_to_add_to(named: str, *, tool: str, part: str) -> Programme:
    """The programme of this short name or title, which has neither the tool nor the part yet.

    Raises NotInRecord for an unknown programme, CannotKeep for a title that several have, and for a tool or
    part that is there: what is added never changes what is on record.
    """
    programme = _programme_named(named)
    if programme.tools.filter(code=tool).exists():
        _refuse_there("tool", tool, programme, tool)
    if programme.parts.filter(code=part).exists():
        made_by = programme.tools.filter(cavities__part__code=part).first()
        _refuse_there("part", part, programme, made_by.code if made_by else "TOOL")
    return programme


def _programme_named(named: str) -> Programme:
    titled = list(Programme.objects.filter(title=named.strip()).order_by("slug"))
    if not titled or Programme.objects.filter(slug=named).exists():
        return find_programme(named)
    if len(titled) > 1:
        slugs = ", ".join(one.slug for one in titled)
        raise CannotKeep(f"{len(titled)} programmes are called {named!r}", remedy=f"name one of {slugs}")
    return titled[0]


def _refuse_there(thing: str, code: str, programme: Programme, tool: str) -> None:
    read = shlex.join(["offtool", "read", programme.slug, tool, "TRIAL", "FILE"])
    raise CannotKeep(
        f"there is a {thing} {code!r} in {programme.slug} already",
        remedy=f"a further trial of it is read with {read}; a new {thing} needs another name",
    )


def _bundle(files: Sequence[SentFile], name: str, layout: Layout | None, sheet: str | None) -> Bundle:
    read = read_files(files, name, layout=layout, sheet=sheet)
    merged = merge(read, name)
    match = _new(merged.table)
    return Bundle(name, read, merged, replace(match, problems=(*match.problems, *merged.contradictions)))


def _programme(title: str, tool: str, part: str, *, add: bool) -> Programme:
    if add:
        return programme_to_add_to(title, tool=tool, part=part)
    return Programme.objects.create(slug=free_slug(title), title=title.strip())


def _made(
    table: ReadingTable,
    match: Match,
    programme: Programme,
    tool: str,
    part: str,
    trial: str,
    resin: str,
    required_index: float | None,
) -> tuple[Trial, Match]:
    """The first trial of a report's part and tool in a programme, and the sizes its headings are now."""
    made_part = Part.objects.create(
        programme=programme, code=part, resin=resin_of_programme(programme, resin)
    )
    made_tool = Tool.objects.create(programme=programme, code=tool)
    state = ToolState.objects.create(tool=made_tool, label="a", ordinal=1, note="as first read")
    for label in table.cavities or (ONLY_CAVITY,):
        Cavity.objects.create(tool=made_tool, part=made_part, label=label)
    made_trial = Trial.objects.create(tool=made_tool, name=trial, state=state)
    sizes = tuple(
        _characteristic(made_part, found, heading, required_index)
        for found, heading in zip(table.characteristics, match.headings, strict=True)
    )
    return made_trial, Match(headings=match.headings, sizes=sizes, problems=(), notes=match.notes)


def _new(table: ReadingTable) -> Match:
    """Every heading becomes a size; one without a limit cannot be judged and stands in the way."""
    readings = np.bincount(table.characteristic, minlength=len(table.characteristics)).tolist()
    headings = tuple(
        _heading(found, place, count)
        for place, (found, count) in enumerate(zip(table.characteristics, readings, strict=True), 1)
    )
    problems = [f"{one.label!r} {one.problem}" for one in headings if one.problem]
    if len(problems) == len(headings) and headings:
        problems = ["the file states no limits: take a report with nominal and limits, or load a programme"]
    numbers = [one.number for one in headings]
    problems += [
        f"number {one!r} stands twice" for one in sorted({n for n in numbers if numbers.count(n) > 1})
    ]
    return Match(headings=headings, sizes=(), problems=tuple(problems), notes=())


def _heading(found: FoundCharacteristic, place: int, readings: int) -> MatchedCharacteristic:
    problem = (
        ""
        if found.lower is not None or found.upper is not None
        else "has no limits: add them, or take it out"
    )
    if found.lower is not None and found.upper is not None and not found.lower < found.upper:
        problem = f"has its lower limit {found.lower:g} not below its upper {found.upper:g}: correct the file"
    if found.unit is not None and found.unit not in UNITS:
        problem = f"is in {found.unit}: known are {', '.join(UNITS)}"
    return MatchedCharacteristic(
        label=found.label,
        number=found.number or str(place),
        name=found.name,
        part="",
        unit=found.unit or "mm",
        nominal=_nominal(found),
        lower=found.lower,
        upper=found.upper,
        readings=readings,
        problem=problem,
    )


def _nominal(found: FoundCharacteristic) -> float | None:
    if found.nominal is not None:
        return found.nominal
    ends = [end for end in (found.lower, found.upper) if end is not None]
    return sum(ends) / len(ends) if ends else None


def _characteristic(
    part: Part, found: FoundCharacteristic, heading: MatchedCharacteristic, required_index: float | None
) -> Characteristic:
    if heading.nominal is None:
        raise CannotKeep(f"{heading.label!r} has no limits", remedy="add them, or take it out")
    return Characteristic.objects.create(
        part=part,
        number=heading.number,
        name=heading.name,
        unit=heading.unit,
        nominal=heading.nominal,
        kind=_kind(found, heading.unit),
        lower=found.lower,
        upper=found.upper,
        required_index=required_index,
    )


def _kind(found: FoundCharacteristic, unit: str) -> SizeKind:
    by_unit = {"deg": SizeKind.ANGLE, "g": SizeKind.WEIGHT, "N": SizeKind.FORCE, "N·m": SizeKind.TORQUE}
    if unit in by_unit:
        return by_unit[unit]
    words = f"{found.label} {found.name}".casefold()
    if any(sign in words for sign in ("⌀", "ø", "dia", "durchmesser", "直径")):
        return SizeKind.DIAMETER
    return SizeKind.WALL if any(sign in words for sign in ("wall", "wand", "壁厚")) else SizeKind.LENGTH


def resin_of_programme(programme: Programme, code: str) -> Resin:
    """The programme's own resin of that code, else a new one of the handbook's."""
    found = resin_default(code)
    own = {one.code: one for one in programme.resins.all()}
    there = own.get(code) or (own.get(found.code) if found else None)
    if there is not None:
        return there
    if found is None:
        known = dict.fromkeys([*own, *(one.code for one in RESINS)])
        raise CannotKeep(f"no resin {code!r} in the handbook", remedy="known are " + ", ".join(known))
    return Resin.objects.create(
        programme=programme,
        code=found.code,
        name=found.name,
        flow_pct=found.shrinkage_pct,
        cross_pct=found.shrinkage_pct,
        thickness_pct=found.shrinkage_pct,
        semi_crystalline=found.semi_crystalline,
        density_g_cm3=found.density_g_cm3,
    )


def free_slug(title: str) -> str:
    """A short name for addresses, made from the title. Raises CannotKeep for a title that is taken."""
    if not title.strip():
        raise CannotKeep("the programme has no title", remedy="give the product's name")
    wanted = slugify(title)[:40].strip("-") or "programme"
    taken = set(Programme.objects.filter(slug__startswith=wanted).values_list("slug", flat=True))
    if Programme.objects.filter(title=title.strip()).exists():
        raise CannotKeep(
            f"there is a programme {title.strip()!r} already",
            remedy="give another title; a further part is added with offtool start --add, or on its page",
        )
    return next(
        one for one in [wanted, *(f"{wanted}-{i}" for i in range(2, len(taken) + 3))] if one not in taken
    )

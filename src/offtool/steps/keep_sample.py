"""Keep samples: enter them, look at them, measure them, photograph them, set an observation aside.

Everything is named as people name it: a programme, a number, a part's label, a detail's code.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from offtool.core.values import NotEnoughData, OfftoolError, nearest
from offtool.exchange.pictures import check_picture, strip_metadata
from offtool.records.models import Part, Programme, Sample, SamplePart
from offtool.records.operations import (
    PART_COLUMNS,
    NewColour,
    NewSample,
    NewSamplePart,
    NewSamplePhotograph,
    add_part,
    change_part,
    change_sample,
    keep_sample_photograph,
    measure_colour,
    measure_size,
    register_samples,
    see_detail,
    see_sign,
    set_observation_aside,
)
from offtool.records.queries import (
    find_build,
    find_detail,
    find_programme,
    find_sample,
    find_sample_part,
    find_tool,
    find_trial,
)
from offtool.records.queries.finding import NotInRecord
from offtool.steps.sample_sizes import refuse_absurd
from offtool.steps.what_is_asked import size_named


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSaid:
    """A part of a sample, and what its tag says, by the names on the tag; blank where it says nothing."""

    part: str
    label: str = ""
    tool: str = ""
    trial: str = ""
    state: str = ""
    cavity: str = ""
    shot: int | None = None
    colour: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleSaid:
    """A piece for the register; without a number it is given the next one."""

    number: str = ""
    name: str = ""
    build: str = ""
    found_on: date | None = None
    place: str = ""
    holder: str = ""
    purpose: str = ""
    disposition: str = ""
    note: str = ""
    parts: tuple[PartSaid, ...] = ()


def register_sample(programme: str, said: SampleSaid, *, at: datetime, by: str) -> str:
    """Enter one piece. Returns its number. Raises OfftoolError for what the record does not know."""
    found = find_programme(programme)
    told = _new_sample(found, said)
    register_samples(found, [told], registered_at=at, registered_by=by)
    return told.number


def next_number(programme: Programme) -> str:
    """One more than the highest number in the register, written as wide: 0417 after 0416."""
    numbers = [one for one in programme.samples.values_list("number", flat=True) if one.isdecimal()]
    if not numbers:
        return "0001"
    highest = max(numbers, key=int)
    return str(int(highest) + 1).zfill(len(highest))


def add_sample_part(programme: str, number: str, said: PartSaid, *, by: str) -> None:
    """Add a part to a sample. Raises OfftoolError for a label that is taken or a name that is not known."""
    found = find_programme(programme)
    add_part(find_sample(found, number), _new_part(found, said), made_by=by)


def change_what_is_said(
    programme: str, number: str, columns: Mapping[str, Any], *, by: str, reason: str = ""
) -> None:
    """Change where a sample lies, who has it, what it is kept for; the history keeps what was said before.

    A build is named by its code; an empty code takes it off. Raises OfftoolError for what is not known.
    """
    found = find_programme(programme)
    told = dict(columns)
    if isinstance(told.get("build"), str):
        told["build"] = find_build(found, told["build"]) if told["build"] else None
    change_sample(find_sample(found, number), told, made_by=by, reason=reason)


def change_sample_part(
    programme: str, number: str, label: str, said: PartSaid, *, by: str, reason: str = ""
) -> None:
    """Change what is said of a part, such as its tag. Raises OfftoolError, for another part too once
    something was seen on it."""
    found = find_programme(programme)
    part = find_sample_part(find_sample(found, number), label)
    told = _new_part(found, said)
    columns = {name: getattr(told, name) for name in PART_COLUMNS}
    columns["label"] = told.label or told.part.code
    change_part(part, columns, made_by=by, reason=reason)


def part_as_said(programme: str, number: str, label: str) -> PartSaid:
    """A part of a sample as it is said now. Raises NotInRecord."""
    part = find_sample_part(_sample(programme, number), label)
    return PartSaid(
        part=part.part.code,
        label=part.label,
        tool=part.tool.code if part.tool is not None else "",
        trial=part.trial.name if part.trial is not None else "",
        state=part.state.label if part.state is not None else "",
        cavity=part.cavity.label if part.cavity is not None else "",
        shot=part.shot,
        colour=part.colour,
        note=part.note,
    )


def look_for_detail_on(
    programme: str,
    number: str,
    part: str,
    detail: str,
    *,
    is_there: bool,
    is_sure: bool = True,
    note: str = "",
    at: datetime,
    by: str,
) -> None:
    """Keep that a detail was looked for on a part. Raises OfftoolError for names the record does not know."""
    found = _part(programme, number, part)
    kept = find_detail(found.part, detail)
    see_detail(found, kept, is_there=is_there, is_sure=is_sure, note=note, seen_at=at, seen_by=by)


def look_for_sign_on(
    programme: str,
    number: str,
    sign: str,
    outcome: str,
    *,
    part: str = "",
    is_sure: bool = True,
    note: str = "",
    at: datetime,
    by: str,
) -> None:
    """Keep what a sign showed on the piece, or on one part of it."""
    sample = _sample(programme, number)
    on = find_sample_part(sample, part) if part else None
    see_sign(sample, sign, outcome, sample_part=on, is_sure=is_sure, note=note, seen_at=at, seen_by=by)


def measure_on(
    programme: str,
    number: str,
    part: str,
    size: str,
    value: float,
    *,
    uncertainty: float | None = None,
    note: str = "",
    at: datetime,
    by: str,
) -> None:
    """Keep a size or a weight of a part; `size` is its number on the drawing."""
    found = _part(programme, number, part)
    sizes = list(found.part.characteristics.select_related("part"))
    characteristic = size_named(sizes, size, not_there=f"is on the drawing of {found.part.code}")
    refuse_absurd(characteristic, value)
    measure_size(found, characteristic, value, uncertainty=uncertainty, note=note, seen_at=at, seen_by=by)


def measure_colour_on(
    programme: str, number: str, part: str, colour: NewColour, *, note: str = "", at: datetime, by: str
) -> None:
    """Keep the colour of a place on a part."""
    measure_colour(_part(programme, number, part), colour, note=note, seen_at=at, seen_by=by)


def photograph_sample(
    programme: str,
    number: str,
    content: bytes,
    name: str,
    *,
    part: str = "",
    note: str = "",
    at: datetime,
    by: str,
) -> int:
    """Keep a photograph, without where and when it was taken. Returns its key. Raises PictureRefused."""
    sample = _sample(programme, number)
    on = find_sample_part(sample, part) if part else None
    bare = strip_metadata(content, name)
    name = without_day(name)
    picture = check_picture(bare, name)
    kept = keep_sample_photograph(
        sample,
        NewSamplePhotograph(
            name=name,
            content=bare,
            media_type=picture.media_type.value,
            width=picture.width,
            height=picture.height,
            note=note,
        ),
        sample_part=on,
        added_at=at,
        added_by=by,
    )
    return kept.pk


def without_day(name: str) -> str:
    """A file's name without the day and time that phones put into it."""
    return re.sub(r"(19|20)\d{2}[-_.]?\d{2}[-_.]?\d{2}([-_ T.]*\d{4,9})?", "taken", name)


def set_aside(programme: str, number: str, kind: str, key: int, reason: str, *, by: str) -> None:
    """Say of an observation that it no longer counts, and why; it stays in the record."""
    set_observation_aside(kind, key, reason, sample=_sample(programme, number), made_by=by)


def _sample(programme: str, number: str) -> Sample:
    return find_sample(find_programme(programme), number)


def _part(programme: str, number: str, label: str) -> SamplePart:
    """The part with this label; the only one where no label is said."""
    sample = _sample(programme, number)
    if label:
        return find_sample_part(sample, label)
    parts = list(sample.parts.select_related("part"))
    if len(parts) == 1:
        return parts[0]
    if not parts:
        raise NotEnoughData(f"sample {number} has no part yet", remedy="say first which part it is")
    known = ", ".join(one.label for one in parts)
    raise OfftoolError(f"sample {number} has {len(parts)} parts", remedy=f"name one of: {known}")


def _new_sample(programme: Programme, said: SampleSaid) -> NewSample:
    return NewSample(
        number=said.number.strip() or next_number(programme),
        name=said.name,
        build=find_build(programme, said.build) if said.build else None,
        found_on=said.found_on,
        place=said.place,
        holder=said.holder,
        purpose=said.purpose,
        disposition=said.disposition,
        note=said.note,
        parts=[_new_part(programme, one) for one in said.parts],
    )


def _new_part(programme: Programme, said: PartSaid) -> NewSamplePart:
    part = part_named(programme, said.part)
    needed = said.trial or said.state or said.cavity
    tool = find_tool(programme, said.tool) if said.tool else _only_tool(part) if needed else None
    trial = find_trial(tool, said.trial) if tool is not None and said.trial else None
    state = tool.states.filter(label=said.state).first() if tool is not None and said.state else None
    if said.state and tool is not None and state is None:
        known = tool.states.values_list("label", flat=True)
        raise NotInRecord(f"no state {said.state!r} of {tool.code}", remedy=nearest(said.state, known))
    cavity = None
    if said.cavity and tool is not None:
        cavity = tool.cavities.filter(part=part, label=said.cavity).first()
        if cavity is None:
            known = tool.cavities.filter(part=part).values_list("label", flat=True)
            raise NotInRecord(f"no cavity {said.cavity!r} of {tool.code}", remedy=nearest(said.cavity, known))
    return NewSamplePart(
        part=part,
        label=said.label,
        tool=tool,
        state=state,
        cavity=cavity,
        trial=trial,
        shot=said.shot,
        colour=said.colour,
        note=said.note,
    )


def part_named(programme: Programme, name: str) -> Part:
    """A part by its code, or by its name where one only has it."""
    parts = list(programme.parts.all())
    asked = name.strip().casefold()
    by_code = [one for one in parts if one.code.casefold() == asked]
    by_name = [one for one in parts if one.name.casefold() == asked]
    for found in (by_code, by_name):
        if len(found) == 1:
            return found[0]
    known = [one.code for one in parts]
    raise NotInRecord(f"no part {name!r} in {programme.slug}", remedy=nearest(name, known))


def _only_tool(part: Part) -> Any:
    """The tool that makes a part, where it is one only."""
    tools = {one.tool_id: one.tool for one in part.cavities.select_related("tool")}
    if len(tools) == 1:
        return next(iter(tools.values()))
    known = ", ".join(sorted(one.code for one in tools.values()))
    raise NotInRecord(f"part {part.code} is made by {len(tools)} tools", remedy=f"name one of: {known}")

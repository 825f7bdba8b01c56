"""Look at a sample: all that can be seen and measured on it, what tells most first; and keep what was found.

What is not named was not looked at: that is no row in the record.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from offtool.core.samples.identify import identify
from offtool.core.samples.identify.answers import NextLook
from offtool.handbook.sample_signs import SIGNS
from offtool.records.models import SamplePart
from offtool.records.operations import NewColour
from offtool.records.queries import find_programme, find_sample, sample_ground, sample_whole
from offtool.steps.keep_sample import look_for_detail_on, look_for_sign_on, measure_colour_on, measure_on
from offtool.steps.overview import is_invented
from offtool.steps.sample_evidence import SampleEvidence
from offtool.steps.sample_origins import Origins
from offtool.steps.sample_seen import observations_seen
from offtool.steps.sample_sentences import WORTH_LOOKING, what_it_would_do
from offtool.steps.what_is_asked import size_key

FIRST = 5
"""So many looks are asked for before all others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookFor:
    """One thing to look at or measure on a part; on the whole piece where `part` is empty."""

    part: str
    kind: str
    """detail, sign or size."""
    code: str
    """The detail's or the sign's code; the number of a size."""
    named: str
    """As the answer calls it."""
    asks: str
    where: str
    outcomes: tuple[str, ...] = ()
    unit: str = ""
    mind: str = ""
    """What it is mixed up with."""
    before: str = ""
    """What was found last; empty where nobody looked."""
    tells: str = ""
    """What it would do to the answer, where that is worth saying."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartToLookAt:
    """A part of the sample and all that can be looked for on it; the whole piece has an empty label."""

    label: str
    part: str
    looks: tuple[LookFor, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleToLookAt:
    """A sample before it is looked at."""

    programme: str
    programme_title: str
    invented: bool
    number: str
    name: str
    first: tuple[LookFor, ...]
    """Those that tell most; they stand in `parts` no second time."""
    parts: tuple[PartToLookAt, ...]
    """The whole piece last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundOn:
    """What one look found: `outcome` is that of a detail ("there", "missing") or of a sign."""

    part: str
    kind: str
    code: str
    outcome: str = ""
    value: float | None = None
    uncertainty: float | None = None
    is_sure: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourOn:
    """The colour of a place on a part."""

    part: str
    colour: NewColour


THERE, MISSING = "there", "missing"
LOOK_FOR_IT = "look for it"
"""What the answer says of a detail that has no place of its own."""
Before = Mapping[tuple[str, str, str], str]


def sample_to_look_at(programme: str, number: str) -> SampleToLookAt:
    """All that can be looked at on a sample, what tells most first. Raises NotInRecord."""
    found = find_programme(programme)
    kept = find_sample(found, number)
    evidence = SampleEvidence(Origins(sample_ground(found), without=kept.pk), sample_whole(kept))
    looks = list(_looks(evidence))
    first = list(_first(evidence, looks))
    asked = {(one.part, one.kind, one.code) for one in first}
    rest = [one for one in looks if (one.part, one.kind, one.code) not in asked]
    sample = evidence.whole.sample
    return SampleToLookAt(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        number=sample.number,
        name=sample.name,
        first=tuple(first),
        parts=tuple(
            PartToLookAt(label=label, part=part, looks=tuple(one for one in rest if one.part == label))
            for label, part in _parts(evidence)
        ),
    )


def keep_what_was_found(
    programme: str,
    number: str,
    found: Sequence[FoundOn],
    colours: Sequence[ColourOn] = (),
    *,
    note: str = "",
    at: datetime,
    by: str,
) -> int:
    """Keep all of one look at a sample, or nothing. Returns how many things; raises OfftoolError."""
    told = {"note": note, "at": at, "by": by}
    with transaction.atomic():
        for one in found:
            KEEP[one.kind](programme, number, one, told)
        for each in colours:
            measure_colour_on(programme, number, each.part, each.colour, note=note, at=at, by=by)
    return len(found) + len(colours)


def _keep_detail(programme: str, number: str, one: FoundOn, told: Mapping[str, object]) -> None:
    is_there = one.outcome == THERE
    look_for_detail_on(
        programme, number, one.part, one.code, is_there=is_there, is_sure=one.is_sure, **told  # type: ignore[arg-type]
    )  # fmt: skip


def _keep_sign(programme: str, number: str, one: FoundOn, told: Mapping[str, object]) -> None:
    look_for_sign_on(
        programme, number, one.code, one.outcome, part=one.part, is_sure=one.is_sure, **told  # type: ignore[arg-type]
    )  # fmt: skip


def _keep_size(programme: str, number: str, one: FoundOn, told: Mapping[str, object]) -> None:
    if one.value is not None:
        measure_on(
            programme, number, one.part, one.code, one.value, uncertainty=one.uncertainty, **told  # type: ignore[arg-type]
        )  # fmt: skip


KEEP: Mapping[str, Callable[[str, str, FoundOn, Mapping[str, object]], None]] = {
    "detail": _keep_detail,
    "sign": _keep_sign,
    "size": _keep_size,
}
"""How each kind of look is kept."""


def _parts(evidence: SampleEvidence) -> Iterator[tuple[str, str]]:
    for one in evidence.whole.parts:
        yield one.label, f"{one.part.code} {one.part.name}".rstrip()
    yield "", ""


def _first(evidence: SampleEvidence, looks: Sequence[LookFor]) -> Iterator[LookFor]:
    """The looks that tell most, each with what it would do to the answer."""
    telling = [
        one
        for one in identify(evidence.case, evidence.looks).look_next
        if one.bits >= WORTH_LOOKING and not one.destroys
    ]
    for ahead in telling[:FIRST]:
        one = next((one for one in looks if _is_same(one, ahead)), None)
        if one is not None:
            yield replace(one, tells=what_it_would_do(ahead))


def _is_same(one: LookFor, ahead: NextLook) -> bool:
    if not ahead.code:
        return (one.part, one.kind, one.code) == (ahead.part, "sign", ahead.about)
    kind = "detail" if {told.outcome for told in ahead.outcomes} == {THERE, MISSING} else "size"
    return (one.part, one.kind, one.code) == (ahead.part, kind, ahead.code)


def _looks(evidence: SampleEvidence) -> Iterator[LookFor]:
    before = _before(evidence)
    for part in evidence.whole.parts:
        yield from _details_on(evidence, part, before)
        yield from (_sign(code, part.label, before) for code, one in SIGNS.items() if one.of_each_part)
        yield from _sizes_of(evidence, part, before)
    alone = not evidence.whole.parts
    yield from (_sign(code, "", before) for code, one in SIGNS.items() if alone or not one.of_each_part)


def _before(evidence: SampleEvidence) -> Before:
    """What was found last, by part, kind and what it is about; what is set aside is not told."""
    seen = [one for one in observations_seen(evidence.whole) if not one.set_aside]
    return {(one.part, one.kind, one.about): one.found for one in seen}


def _details_on(evidence: SampleEvidence, part: SamplePart, before: Before) -> Iterator[LookFor]:
    for kept in evidence.origins.ground.details:
        one = kept.detail
        if one.part_id == part.part_id:
            yield LookFor(
                part=part.label,
                kind="detail",
                code=one.code,
                named=str(one),
                asks=str(one),
                where=one.where,
                outcomes=(THERE, MISSING),
                before=before.get((part.label, "detail", str(one)), ""),
            )


def _sign(code: str, part: str, before: Before) -> LookFor:
    sign = SIGNS[code]
    return LookFor(
        part=part,
        kind="sign",
        code=code,
        named=code,
        asks=sign.asks,
        where=sign.where,
        outcomes=sign.outcomes,
        mind=sign.confounders,
        before=before.get((part, "sign", code), ""),
    )


def _sizes_of(evidence: SampleEvidence, part: SamplePart, before: Before) -> Iterator[LookFor]:
    for size in evidence.sizes[part.pk]:
        one = size.characteristic
        about = f"{size_key(one)} {one.name}".rstrip()
        yield LookFor(
            part=part.label,
            kind="size",
            code=one.number,
            named=size_key(one),
            asks=f"{one.number} {one.name}".rstrip(),
            where="",
            unit=one.unit,
            before=before.get((part.label, "size", about), ""),
        )

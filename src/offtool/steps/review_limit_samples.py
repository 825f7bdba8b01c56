"""The line that limit samples answer: what is accepted at the stations, for how long."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from offtool.core.pilot.release import StaleBecause, Standing, standing_of
from offtool.core.values import Verdict
from offtool.handbook.terms import LimitKind
from offtool.records.models import LimitSample
from offtool.records.queries import limit_samples_of
from offtool.steps.review_changes import of_part, of_shape
from offtool.steps.review_found import LimitSampleSeen, ReviewFact, ReviewTarget
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine


def limit_samples_seen(ground: ReviewGround, asked: AskedLine | None) -> tuple[LimitSampleSeen, ...]:
    """Every limit sample, also those that were withdrawn."""
    return tuple(_seen(ground, asked, one)[0] for one in limit_samples_of(ground.programme))


def limit_sample_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Each one that counts, and each sort of which there is none."""
    kinds = set()
    for one in limit_samples_of(ground.programme):
        if one.withdrawn:
            continue
        kinds.add(one.kind)
        seen, stale = _seen(ground, asked, one)
        yield ReviewFact(
            item=f"{seen.sample} {seen.kind}",
            words=seen.words,
            standing=seen.standing,
            verdict=_verdict(one),
            day=seen.signed_on,
            target=ReviewTarget(page="sample", names=(seen.sample,)),
            stale_because=stale,
            again="" if seen.standing.is_met else _again(seen),
        )
    for kind in LimitKind:
        if kind.value not in kinds:
            yield ground.fact(
                asked,
                kind.value,
                f"no {_piece(kind)} is there",
                None,
                target=ReviewTarget(page="samples"),
                again=f"Keep a {_piece(kind)} and have it signed, with the area and what is accepted there.",
            )


def _piece(kind: LimitKind) -> str:
    return kind.value if kind is LimitKind.SIGNED else f"{kind.value} piece"


def _seen(
    ground: ReviewGround, asked: AskedLine | None, one: LimitSample
) -> tuple[LimitSampleSeen, tuple[StaleBecause, ...]]:
    parts, steel = _parts_of(one), _steel_of(one)
    changed = (
        ground.made_stale(asked, one.signed_on, rests_on=parts, ordinals=steel, is_whole=True)
        if asked
        else ()
    )
    stale = (*_over(ground, one), *changed)
    standing = standing_of(_verdict(one), is_stale=bool(stale))
    seen = LimitSampleSeen(
        key=one.pk,
        sample=one.sample.number,
        sample_name=one.sample.name,
        station=(one.station.name or f"station {one.station.number}") if one.station is not None else "",
        kind=LimitKind(one.kind),
        area=one.area,
        accepts=one.accepts,
        signed_by=one.signed_by,
        signed_on=one.signed_on,
        valid_until=one.valid_until,
        standing=standing,
        words=_words(one),
        withdrawn=one.withdrawn,
    )
    return seen, stale


def _verdict(one: LimitSample) -> Verdict:
    """A signature alone says nothing to the station: the area and what is accepted there belong to it."""
    is_whole = one.kind == LimitKind.SIGNED or (one.area and one.accepts)
    return Verdict.HOLDS if is_whole else Verdict.NOT_SHOWN


def _over(ground: ReviewGround, one: LimitSample) -> Iterator[StaleBecause]:
    if one.valid_until is not None and one.valid_until < ground.on:
        yield StaleBecause(change="", on=one.valid_until, words=f"valid until {one.valid_until:%Y-%m-%d}")


def _parts_of(one: LimitSample) -> frozenset[str]:
    """The parts that the piece is made of; all of the product where they are not told."""
    codes = {part.part.code for part in one.sample.parts.all()}
    return frozenset(key for code in codes for key in (of_part(code), of_shape(code)))


def _steel_of(one: LimitSample) -> Mapping[int, int]:
    """The steel that its tags name; none where it has no tag, and then the day it was signed counts."""
    tagged = [part.state for part in one.sample.parts.all() if part.state is not None]
    return {state.tool_id: state.ordinal for state in tagged}


def _words(one: LimitSample) -> str:
    where = f" at {one.station.name or f'station {one.station.number}'}" if one.station is not None else ""
    what = f"{one.area}: {one.accepts}" if one.area and one.accepts else one.area or one.accepts
    lacks = "" if what else "which area and what is accepted there is not said"
    if one.kind == LimitKind.SIGNED and not what:
        lacks = "the whole piece"
    until = f", valid until {one.valid_until:%Y-%m-%d}" if one.valid_until is not None else ""
    signed = f"{one.signed_by}, {one.signed_on:%Y-%m-%d}{until}"
    return f"{one.sample.number}, {one.kind}{where}: {what or lacks} ({signed})"


def _again(seen: LimitSampleSeen) -> str:
    if seen.standing is Standing.STALE:
        return f"Sign a new {_piece(seen.kind)} in place of {seen.sample}, from what is made now."
    return f"Write on {seen.sample} the area it is for and the condition that is accepted there."

"""What is this piece: one sample of the register against everything that the record knows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log

from offtool import __version__
from offtool.core.samples.identify import Identified, identify
from offtool.core.samples.identify.hypotheses import Occasion, Weight
from offtool.core.samples.identify.stage_only import LIKE_FIRST_SHOT, SHARES
from offtool.core.values import Caution
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import Stage
from offtool.records.models import Programme
from offtool.records.queries import (
    SampleListed,
    find_programme,
    find_sample,
    sample_ground,
    sample_whole,
    samples_of,
)
from offtool.steps.overview import is_invented
from offtool.steps.sample_evidence import SampleEvidence
from offtool.steps.sample_found import (
    BoundSeen,
    OriginSeen,
    PartSeen,
    SampleFound,
    SampleLine,
    SamplesFound,
    WeightSeen,
)
from offtool.steps.sample_origins import NOT_RECORDED, Origins
from offtool.steps.sample_seen import (
    colours_seen,
    jobs_seen,
    observations_seen,
    parts_seen,
    photographs_seen,
    tag_of,
)
from offtool.steps.sample_sentences import (
    actions,
    contradictions,
    facts,
    headline,
    in_words,
    is_mixed,
    register_headline,
)
from offtool.steps.sentences import count, sentence

METHOD = f"offtool {__version__}"
STILL_ALLOWED = 10.0
"""A detail that stays makes an origin so many times less likely before it is said to be excluded."""


def identify_sample(programme: str, number: str) -> SampleFound:
    """Where a sample can come from, how sure, why, and what would change the answer. Raises NotInRecord."""
    found = find_programme(programme)
    sample = find_sample(found, number)
    origins = Origins(sample_ground(found), without=sample.pk)
    evidence = SampleEvidence(origins, sample_whole(sample))
    return _found(found, origins, evidence)


def list_samples(programme: str, *, words: str = "") -> SamplesFound:
    """The register of a programme, or what a search leaves of it. Raises NotInRecord."""
    found = find_programme(programme)
    listed = samples_of(found, words=words)
    lines = tuple(_line(one) for one in listed)
    untagged = sum(not one.tag for one in lines)
    return SamplesFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        searched=words,
        headline=register_headline(len(lines), untagged, words),
        samples=lines,
        untagged=untagged,
    )


def _found(programme: Programme, origins: Origins, evidence: SampleEvidence) -> SampleFound:
    whole = evidence.whole
    sample = whole.sample
    identified = identify(evidence.case, evidence.looks)
    observations = observations_seen(whole)
    counting = sum(not one.set_aside for one in observations)
    parts = parts_seen(whole)
    stages = dict(origins.stages)
    known = _known(counting, parts, sample.build is not None)
    interrupted = evidence.colours_recorded.interrupted(
        whole.parts, evidence.colours, found_on=sample.found_on
    )
    weights = tuple(WeightSeen(part=part, found=found) for part, found in evidence.resins())
    return SampleFound(
        programme=programme.slug,
        programme_title=programme.title,
        invented=is_invented(programme),
        number=sample.number,
        name=sample.name,
        place=sample.place,
        holder=sample.holder,
        purpose=sample.purpose,
        disposition=sample.disposition,
        note=sample.note,
        found_on=sample.found_on,
        registered_by=sample.registered_by,
        headline=headline(identified, known),
        actions=tuple(actions(identified, len(parts), counting, evidence.disagreements)),
        in_words=in_words(identified, stages, known),
        rests_on=tuple(facts(identified, parts, observations, _record_in_words(origins))),
        strip=tuple(_strip(origins, evidence, {one.code: one.probability for one in identified.answers})),
        bounds=tuple(_bounds(evidence)),
        identified=identified,
        parts=parts,
        observations=observations,
        colours=colours_seen(whole),
        photographs=photographs_seen(whole),
        is_mixed=is_mixed(identified),
        interrupted=interrupted,
        method=METHOD,
        cautions=(
            *identified.cautions,
            *_cautions(origins, evidence, identified),
            *(
                Caution(f"{one.part}: its weight {one.found.words}")
                for one in weights
                if not one.found.fits_usual
            ),
        ),
        weights=weights,
        jobs=jobs_seen(interrupted, origins.ground.jobs),
        build=sample.build.code if sample.build is not None else "",
    )


def _strip(origins: Origins, evidence: SampleEvidence, chances: dict[str, float]) -> Iterator[OriginSeen]:
    for one in evidence.occasions:
        said = origins.stages[one.stage]
        yield OriginSeen(
            code=one.code,
            stage=one.stage,
            engineer=said.engineer,
            archive=said.archive,
            probability=chances.get(one.code, 0.0),
            steel=_steel(evidence, one),
        )


def _steel(evidence: SampleEvidence, occasion: Occasion) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for label, made in occasion.made.items():
        for place in made:
            make = evidence.makes[label][place].make
            if make.tool:
                found[f"{make.tool} {make.state}"] = None
    return tuple(found)


def _bounds(evidence: SampleEvidence) -> Iterator[BoundSeen]:
    """Which origins each detail that stays still allows: those with a make of the part that fits."""
    for part in evidence.case.parts:
        for one in part.findings:
            if one.weight is not Weight.STAYS:
                continue
            logs = one.log_likelihood[:-1]
            fits = {i for i, value in enumerate(logs) if value > logs.max() - log(STILL_ALLOWED)}
            allows = tuple(
                not occasion.made.get(part.label) or bool(fits & set(occasion.made[part.label]))
                for occasion in evidence.occasions
            )
            if not all(allows):
                yield BoundSeen(part=part.label, about=one.about, found=one.found, allows=allows)


def _known(observations: int, parts: Sequence[PartSeen], is_built: bool) -> int:
    """How much there is to go by: a tag counts like an observation."""
    return observations + sum(bool(one.tag) for one in parts) + is_built


def _record_in_words(origins: Origins) -> str:
    ground = origins.ground
    if not ground.runs and not ground.builds:
        return "the handbook's stages: no run is recorded"
    said = [count(len(ground.runs), "run"), count(len(ground.states), "state of steel", "states of steel")]
    if ground.builds:
        said.append(count(len(ground.builds), "build"))
    if ground.details:
        said.append(count(len(ground.details), "detail"))
    if origins.tagged:
        said.append(
            count(round(sum(origins.tagged.values())), "sign on tagged samples", "signs on tagged samples")
        )
    return ", ".join(said)


def _cautions(origins: Origins, evidence: SampleEvidence, identified: Identified) -> Iterator[Caution]:
    top = identified.top
    for said in contradictions(identified):
        yield Caution(sentence(said))
    for one in () if is_mixed(identified) else identified.alike:
        tells = f"; {one.tells} would" if one.tells else ", and nothing that is recorded would"
        yield Caution(f"{one.first} and {one.second} cannot be told apart by what was found{tells}")
    if any(one.stage is Stage.CHANGE for one in evidence.occasions) and top.stage is Stage.FIRST:
        yield LIKE_FIRST_SHOT
    if NOT_RECORDED in top.code:
        yield Caution("its stage is not in the record: what the steel was then is not known")
    findings = [*evidence.case.findings, *(one for part in evidence.case.parts for one in part.findings)]
    if any(one.about in SIGNS for one in findings):
        yield SHARES
    for said in evidence.disagreements:
        yield Caution(f"{said}: it counts less, or not at all, until somebody looks again")


def _line(one: SampleListed) -> SampleLine:
    sample = one.sample
    tags = dict.fromkeys(tag_of(part) for part in one.parts if tag_of(part))
    if sample.build is not None:
        tags = {sample.build.code: None, **tags}
    return SampleLine(
        number=sample.number,
        name=sample.name,
        place=sample.place,
        holder=sample.holder,
        purpose=sample.purpose,
        parts=", ".join(part.label for part in one.parts),
        tag=", ".join(tags),
        observations=one.observations,
        photographs=one.photographs,
        first_photograph=one.first_photograph,
    )

"""What is said of a sample: the verdict first, what would settle it, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.samples.identify import NONE, Answer, Identified
from offtool.core.samples.identify.answers import Clash, NextLook, PartAnswer
from offtool.handbook.stages import BROAD, NARROW
from offtool.handbook.terms import Stage
from offtool.steps.findings import Action, Fact
from offtool.steps.sample_found import InWords, ObservationSeen, PartSeen
from offtool.steps.sample_origins import NOT_RECORDED, StageSaid
from offtool.steps.sentences import count, sentence

SURE, LIKELY = 0.95, 0.6
"""Above the first an origin is called, above the second it is called most likely; between two that are both
possible, both are named. Our own."""
NAMED = 0.1
"""Less probable origins are not named in the headline."""
OWN = 0.8
"""A part less sure of its run is named with the state of its steel, where the parts disagree."""
FROM_ELSEWHERE = 0.5
WORTH_LOOKING = 0.05
"""Bits below which a look is not asked for."""
MOST_LOOKS = 3

A_STAGE: dict[Stage, str] = {
    Stage.FIRST: "the first shots",
    Stage.EARLY: "an early trial",
    Stage.LATE: "a late trial",
    Stage.ENGINEERING: "an engineering build",
    Stage.FINAL: "the final engineering build",
    Stage.PILOT: "the line pilot",
    Stage.PRODUCTION: "production",
    Stage.CHANGE: "a colour change of production",
}

FIRST_SHOT = "a first shot"

LOOK, REGISTER, EVIDENCE = "look", "register", "evidence"


def share(probability: float) -> str:
    """A probability in words: never 0 and never 100 %."""
    if probability >= 0.995:
        return "over 99 %"
    return "under 1 %" if probability < 0.005 else f"{100 * probability:.0f} %"


def headline(found: Identified, observations: int) -> str:
    """What the piece is, in one sentence or two."""
    top = found.top
    if not observations:
        return "Nothing was looked at yet: what usually turns up is all that can be said."
    if mixed := _of_different_runs(found):
        return f"Its parts are of different runs: {mixed}."
    if top.probability >= SURE:
        said = f"{'None of what is recorded' if top.is_none else 'From ' + _from(top)}"
        return f"{said}, {share(top.probability)}.{_steel(found)}"
    if top.probability >= LIKELY:
        said = f"Most likely {'none of what is recorded' if top.is_none else 'from ' + _from(top)}"
        return f"{said}, {share(top.probability)}.{_steel(found)}"
    named = [f"{one.code} {share(one.probability)}" for one in found.answers[:3] if one.probability >= NAMED]
    if len(named) > 1:
        return f"{_before_or_after(found)}: {', '.join(named[:-1])} or {named[-1]}."
    return f"It cannot be told yet: {top.code} is most probable, with {share(top.probability)}."


def _before_or_after(found: Identified) -> str:
    """What can be said all the same: made before the line pilot, or from it on."""
    early = _chance_before_pilot(found)
    late = sum(chance for stage, chance in found.stages if stage and stage.rank >= Stage.PILOT.rank)
    if early >= SURE:
        return f"Made before the line pilot, {share(early)}; where exactly cannot be told yet"
    if late >= SURE:
        return f"Made in the line pilot or later, {share(late)}; where exactly cannot be told yet"
    return "It cannot be told yet"


def _chance_before_pilot(found: Identified) -> float:
    return sum(chance for stage, chance in found.stages if stage and stage.rank < Stage.PILOT.rank)


def is_mixed(found: Identified) -> bool:
    """Whether parts that are sure of their own run contradict each other."""
    return bool(_of_different_runs(found))


def _of_different_runs(found: Identified) -> str:
    """What each part is, where no origin that is at all probable explains all of them."""
    probable = [one for one in found.answers if one.probability >= NAMED]
    if len(found.parts) < 2 or not probable or not all(one.elsewhere for one in probable):
        return ""
    return "; ".join(f"{part.label} {_own(part)}" for part in found.parts if part.makes)


def _own(part: PartAnswer) -> str:
    """The run of a part where it is sure of it, else the state of its steel."""
    if part.makes[0].probability >= OWN or not part.states or not part.states[0][1]:
        return _make_in_words(part)
    tool, state, probability = part.states[0]
    return f"of steel in state {state} of {tool} ({share(probability)})"


def _from(one: Answer) -> str:
    """T1, an early trial; production, of which no run is recorded."""
    if one.stage is None:
        return NONE
    called = A_STAGE[one.stage]
    if NOT_RECORDED in one.code:
        return f"{called}, of which no run is recorded"
    return called if one.code.casefold() in (one.stage.value, called) else f"{one.code}, {called}"


def _steel(found: Identified) -> str:
    """Which steel made it, where every part is sure of it."""
    states = [part.states[0] for part in found.parts if part.states]
    if not states or found.top.is_none or any(share < SURE or not state for _, state, share in states):
        return ""
    said = dict.fromkeys(f"{tool} in state {state}" for tool, state, _ in states)
    return f" Its steel was that of {' and '.join(said)}."


def in_words(found: Identified, stages: dict[Stage, StageSaid], known: int) -> InWords:
    """The answer for the engineer and for the archive, and in which sense it would be a first shot."""
    top = found.top
    if not known:
        return InWords(engineer="not known yet", archive="not known yet", sense="")
    if is_mixed(found):
        return InWords(
            engineer="put together from parts of different runs",
            archive="a composite piece, put together from parts of different stages",
            sense="each part is judged on its own",
        )
    if top.stage is None:
        return InWords(engineer=NONE, archive=NONE, sense="")
    if top.probability < LIKELY:
        early = _chance_before_pilot(found)
        sense = f"{FIRST_SHOT} {BROAD}: {share(early)}"
        return InWords(engineer="not known yet", archive="not known yet", sense=sense)
    said = stages[top.stage]
    named = NOT_RECORDED in top.code or said.engineer.casefold().startswith(top.code.casefold())
    at = "" if named else f"{top.code}: "
    return InWords(engineer=f"{at}{said.engineer}", archive=said.archive, sense=first_shot(top.stage))


def first_shot(stage: Stage) -> str:
    """Whether a piece of this stage is a first shot, and which is meant by it."""
    if stage is Stage.FIRST:
        return f"a first shot {NARROW}"
    if stage.rank < Stage.PILOT.rank:
        return f"a first shot only {BROAD}"
    if stage is Stage.CHANGE:
        return "not a first shot in any sense, though it looks like one"
    return "not a first shot in any sense"


def actions(
    found: Identified, parts: int, observations: int, disagreements: Sequence[str] = ()
) -> Iterator[Action]:
    """What would settle it, in order of effect."""
    for said in disagreements:
        yield Action(do="Look again, with another pair of eyes.", because=sentence(said), leads_to=EVIDENCE)
    if not parts:
        yield Action(
            do="Say which parts the piece has.",
            because="Sizes, details and colours are those of a part.",
            leads_to=REGISTER,
        )
    for clash in found.clashes:
        of = f" of {clash.part}" if clash.part else ""
        yield Action(
            do=f"Look again at {', '.join(one.split(':')[0] for one in clash.against)}{of}.",
            because=f"It contradicts {_the_others(clash)}: read wrong, damaged, repaired, or another part.",
            leads_to=EVIDENCE,
        )
    looks = [one for one in found.look_next if one.bits >= WORTH_LOOKING and not one.destroys]
    for one in looks[:MOST_LOOKS]:
        yield Action(do=_look(one), because=what_it_would_do(one), leads_to=LOOK)
    if observations and not looks and found.top.probability < SURE:
        yield Action(
            do="Look for more that tells its states apart, and enter it as a detail of the part.",
            because="Nothing that is recorded and not yet looked at would change the answer much.",
            leads_to=LOOK,
        )


def _look(one: NextLook) -> str:
    at = f" of {one.part}" if one.part else ""
    return sentence(f"{one.about}{at}: {one.where}")


def what_it_would_do(one: NextLook) -> str:
    """From what the answer would move, outcome by outcome."""
    ahead = sorted(one.outcomes, key=lambda ahead: -ahead.probability)[:3]
    said = [f"{ahead.outcome}: {ahead.top} {share(ahead.top_probability)}" for ahead in ahead]
    return sentence("; ".join(said))


def contradictions(found: Identified) -> Iterator[str]:
    """Parts that are rather from elsewhere, and findings that no origin explains."""
    for part in found.parts:
        if part.belongs < FROM_ELSEWHERE and part.makes:
            yield f"{part.label} is rather {_make_in_words(part)} than of the same origin as the rest"
        for clash in part.clashes:
            yield f"{part.label}: {', '.join(clash.against)} contradicts {_the_others(clash)}"


def _the_others(clash: Clash) -> str:
    return ", ".join(clash.for_) or "the other findings"


def _make_in_words(part: PartAnswer) -> str:
    best = part.makes[0]
    if best.make is None:
        return f"from nothing recorded ({share(best.probability)})"
    state = f", state {best.make.state}" if best.make.state else ""
    of = f" of {best.make.tool}" if best.make.tool else ""
    return f"from {best.make.run}{of}{state} ({share(best.probability)})"


def part_in_words(part: PartAnswer) -> str:
    """What one part is, whatever the others are."""
    if not part.makes:
        return "no tool of the record makes it"
    said = _make_in_words(part)
    state = part.states[0] if part.states else None
    if state is not None and state[1] and state[2] > part.makes[0].probability + 0.05:
        said += f"; steel in state {state[1]} of {state[0]}, {share(state[2])}"
    return said


def facts(
    found: Identified, parts: Sequence[PartSeen], observations: Sequence[ObservationSeen], record: str
) -> Iterator[Fact]:
    """What the answer rests on."""
    counting = [one for one in observations if not one.set_aside]
    kinds = {"detail": "detail", "sign": "sign", "size": "size", "colour": "colour"}
    said = [
        count(sum(one.kind == kind for one in counting), name)
        for kind, name in kinds.items()
        if any(one.kind == kind for one in counting)
    ]
    yield Fact(about="Looked at", says=", ".join(said) or "nothing yet")
    if tags := [f"{one.label}: {one.tag}" for one in parts if one.tag]:
        yield Fact(about="Its tag", says="; ".join(tags))
    yield Fact(about="Compared with", says=record)
    yield Fact(
        about="Taken for granted",
        says=f"{share(found.none_of_these)} of pieces are from nothing recorded, "
        f"{share(found.elsewhere)} of parts from another piece",
    )


def register_headline(samples: int, untagged: int, searched: str) -> str:
    """How many samples there are."""
    if searched:
        return f"{count(samples, 'sample')} with “{searched}”."
    if not samples:
        return "No sample is registered yet."
    if untagged == samples:
        return (
            f"{count(samples, 'sample')}; {'its tag names no' if samples == 1 else 'no tag names a'} trial."
        )
    if untagged:
        return f"{count(samples, 'sample')}, {untagged} of them without a trial or build on the tag."
    return f"{count(samples, 'sample')}, all with a trial or build on the tag."

"""What is done at the press, one thing after the other, and which bags are filled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.planning.shots import ShotGroup, ShotKind, TrialMaterial, TrialShots
from offtool.handbook.colour_changes import BETWEEN
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import FIRST_LOOK_SHOTS
from offtool.steps.barrel_first import NOTHING_TO_DO, BarrelSteps
from offtool.steps.plan_found import BagPlanned, ColourPlanned, Look, RunStep
from offtool.steps.sentences import count, listed

Cavities = Sequence[tuple[str, str, str]]
"""Part, its name and the label of a cavity, in the order of the steel."""
MOST_LOOKS = 3
"""Defects that are named in the step that looks for them: those that take most shots."""

_DO = {
    ShotKind.SHORT: "fill short without hold pressure, each a little fuller; lay them out in order",
    ShotKind.SETTLE: "throw away; weigh one shot in five until the weight stands still",
    ShotKind.WHOLE: "keep whole, all cavities of a shot and its runner together, in one bag",
    ShotKind.SPARE: "keep running until the bags are full; the rest is scrap",
}
_BECAUSE = {
    ShotKind.SHORT: "How the cavities fill, and where air is caught, is seen on these alone.",
    ShotKind.WHOLE: "They show years later what belongs together.",
    ShotKind.SPARE: "For parts that stick, drop or are mixed up.",
}


def run_steps(
    shots: TrialShots,
    *,
    colour: ColourPlanned | None,
    material: TrialMaterial | None,
    resin: str,
    job: str,
    barrel: BarrelSteps = NOTHING_TO_DO,
    looks: Sequence[Look] = (),
) -> Iterator[RunStep]:
    """The steps in order, the first and the last beside the press."""
    stands = f" of {job}" if job else " of the job that stands"
    yield RunStep(
        do=f"Keep the last good parts{stands} and write down its settings.",
        because="The way back is checked against them.",
    )
    yield RunStep(
        do=f"Have {_to_dry(colour, material, resin)} dried, tool and water ready beside the press.",
        because="The press stands for what is not ready.",
    )
    yield from barrel.before
    yield from _to_colour(colour)
    for group in shots.groups:
        if group.first == _first_settled(shots):
            yield from _looks(looks, shots)
        yield _step(group, shots, looks=bool(looks))
    yield RunStep(
        do="Write down what was set and what was measured; close and tag the bags before the tool comes out.",
        because="",
    )
    if colour is not None and colour.never:
        yield _empty(colour)
    yield from barrel.after
    back = ", colour back" if colour is not None and (colour.changes or colour.never) else ""
    yield RunStep(do=f"Way back: old tool in{back}, first parts against the last good ones.", because="")


def _to_dry(colour: ColourPlanned | None, material: TrialMaterial | None, resin: str) -> str:
    """The resin of the trial: its shots and the purge there; the way back is purged with that of the job."""
    if material is None:
        return resin or "the resin"
    purge = colour.there_kg if colour is not None else 0.0
    if colour is not None and colour.never:
        # as much of the one between as of the new
        half = f"{purge / 2:.2g} kg of {BETWEEN} for the purge and " if purge else ""
        return f"{half}{material.shots_kg + purge / 2:.2g} kg of {resin}"
    return f"{material.shots_kg + purge:.2g} kg of {resin}"


def _to_colour(colour: ColourPlanned | None) -> Iterator[RunStep]:
    """Into the colour of the trial; resins that must never meet stop it until the barrel is empty."""
    if colour is not None and colour.never:
        yield _empty(colour)
        yield RunStep(do="Hang the tool and start only when nothing of the old resin comes.", because="")
    elif colour is not None and colour.changes:
        yield RunStep(do=f"Hang the tool; purge to {colour.colour}.", because=colour.says)
    else:
        there = f" in the {colour.colour} that is in the barrel" if colour and colour.colour else ""
        yield RunStep(do=f"Hang the tool and start{there}.", because="")


def _empty(colour: ColourPlanned) -> RunStep:
    return RunStep(
        do=f"STOP: {colour.never_pair} must never meet; trained people empty and purge the barrel.",
        because=colour.never,
    )


def _first_settled(shots: TrialShots) -> int:
    return shots.short + shots.settle + 1


def _looks(looks: Sequence[Look], shots: TrialShots) -> Iterator[RunStep]:
    """Defects of earlier trials that so many pieces would show gone; spare shots are looked at too."""
    if not looks:
        return
    kinds = sorted(dict.fromkeys((one.what, one.pieces) for one in looks), key=lambda one: -one[1])
    said = [_look(what, pieces, looks) for what, pieces in kinds[:MOST_LOOKS]]
    said += [f"{len(kinds) - MOST_LOOKS} more, as the plan lists them"] if len(kinds) > MOST_LOOKS else []
    over = kinds[0][1] - shots.keep - shots.spare
    more = f"; {count(kinds[0][1], 'shot')} are {over:,} more than are planned" if over > 0 else ""
    yield RunStep(
        do=f"From shot {_first_settled(shots):,} on look, spare shots too: {'; '.join(said)}{more}.",
        because="So many without it show it gone.",
    )


def _look(what: str, pieces: int, looks: Sequence[Look]) -> str:
    """For short shot, ear, on 37 shots of cavities 1 and 2."""
    named = [one.cavity for one in looks if (one.what, one.pieces) == (what, pieces) and one.cavity]
    cavities = f" of {'cavity' if len(named) == 1 else 'cavities'} {listed(named)}" if named else ""
    return f"for {what} on {count(pieces, 'shot')}{cavities}"


def _step(group: ShotGroup, shots: TrialShots, *, looks: bool) -> RunStep:
    is_first_look = any(one.purpose is TrialPurpose.FIRST_LOOK for one in shots.purposes)
    return RunStep(
        do=_do(group, is_first_look=is_first_look, looks=looks),
        because=_because(group, shots, is_first_look=is_first_look),
        first=group.first,
        last=group.last,
    )


def _do(group: ShotGroup, *, is_first_look: bool, looks: bool) -> str:
    if group.kind is ShotKind.SPARE and is_first_look:
        return "run on and watch whether it opens, fills and ejects each time; fill up the bags from these"
    if group.kind is ShotKind.SPARE and looks:
        return "keep running until the bags are full and all that is to be looked at is; the rest is scrap"
    if group.kind in _DO:
        return _DO[group.kind]
    measured = "; all of them are measured" if group.measured else ""
    nothing_left = "; nothing of them is left" if group.kind is ShotKind.DESTROYED else ""
    return f"keep for {_listed(group.purposes)}, each cavity in its own bag{measured}{nothing_left}"


def _because(group: ShotGroup, shots: TrialShots, *, is_first_look: bool) -> str:
    if group.kind is ShotKind.SPARE and is_first_look:
        few, many = FIRST_LOOK_SHOTS
        return f"{few} to {many} shots in all suffice for a first look ({PRACTICE})."
    if group.kind is ShotKind.SETTLE:
        return f"{shots.settle_says[:1].upper()}{shots.settle_says[1:]}."
    return _BECAUSE.get(group.kind, "")


def _listed(purposes: Sequence[TrialPurpose]) -> str:
    return listed([one.value for one in purposes])


def bags_of(shots: TrialShots, cavities: Cavities) -> Iterator[BagPlanned]:
    """A bag for each cavity of each run of shots that is kept; one for those that stay whole."""
    for group in shots.groups:
        if group.kind in (ShotKind.SHORT, ShotKind.WHOLE):
            yield _bag(group, "", "", "")
        elif group.kind in (ShotKind.KEEP, ShotKind.DESTROYED):
            for part, name, cavity in cavities:
                yield _bag(group, part, name, cavity)


def _bag(group: ShotGroup, part: str, name: str, cavity: str) -> BagPlanned:
    return BagPlanned(
        part=part,
        part_name=name,
        cavity=cavity,
        purpose=_listed(group.purposes),
        first=group.first,
        last=group.last,
        pieces=group.shots,
    )


def what_to_bring(shots: TrialShots, bags: int, gauges: Sequence[str]) -> Iterator[str]:
    """What must lie ready for it."""
    groups = [one for one in shots.groups if one.kind in (ShotKind.KEEP, ShotKind.DESTROYED)]
    if bags:
        yield f"{count(bags, 'bag')} with {'its label' if bags == 1 else 'their labels'}"
    yield "scales that show a hundredth of a shot; a needle probe for the melt"
    if any(TrialPurpose.SIZES in one.purposes or TrialPurpose.CAPABILITY in one.purposes for one in groups):
        yield f"for measuring: {', '.join(gauges)}" if gauges else "what the sizes are measured with"
    if any(TrialPurpose.ASSEMBLY in one.purposes for one in groups):
        yield "the parts that these are put together with"
    yield "the limit samples and the parts of the last trial to hold beside"


MEASURE_LATER = f"Measured after 24 h, POM, PP and PA after 48 h at room temperature ({PRACTICE})."

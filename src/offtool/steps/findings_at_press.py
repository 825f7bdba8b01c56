"""What a trial showed at the press: every defect, cavity by cavity, along the trial, and over tool states."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from offtool.core.inspection.attributes import (
    CavityShares,
    ShareAlongTrial,
    ShareFinding,
    share_along_trial,
    share_interval,
    shares_by_cavity,
)
from offtool.core.values import Caution
from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.terms import WeightClass
from offtool.records.models import Trial
from offtool.records.queries import (
    LookFound,
    cavity_names,
    find_look,
    find_programme,
    find_tool,
    find_trial,
    place_in_time,
)
from offtool.steps.defect_list import list_of
from offtool.steps.press_counts import UNKNOWN, LookCounted, PressCounts
from offtool.steps.press_findings import (
    DefectOnList,
    DefectSeen,
    FindingFollowed,
    FlawShown,
    LookShown,
    PartCompared,
    PhotographShown,
    PressFindings,
    Standing,
)
from offtool.steps.press_sentences import along_sentence, cavities_sentence, press_headline
from offtool.steps.press_standing import SIGNIFICANCE, stand_of

CONFIDENCE = 0.95
SHOT_GROUPS = 20
"""A long trial is told along so many groups of neighbouring shots: a trend is the same, and comes at once."""

_STANDING = {one: place for place, one in enumerate(Standing)}
_ONE_IN_TWENTY = Caution(
    "each finding is judged by itself: of twenty that are still there, one may be called gone by chance",
    "significance 0.05, Fisher's exact test",
)
_EYES = Caution(
    "shares compare only where the same limit was held: look with the limit sample beside you",
    "common practice, no source",
)


def look_back(programme: str, tool: str, trial: str) -> PressFindings:
    """What was seen on a trial, by its names. Raises NotInRecord."""
    return findings_at_press(find_trial(find_tool(find_programme(programme), tool), trial))


def look_back_before(programme: str, tool: str) -> PressFindings | None:
    """What the last trial of a tool says, for one that is not there yet; None before the first.

    Raises NotInRecord for an unknown programme or tool.
    """
    run = find_tool(find_programme(programme), tool).trials.select_related("state")
    last = max(run, key=place_in_time, default=None)
    return findings_at_press(last) if last else None


def look_shown(programme: str, tool: str, trial: str, number: int) -> LookShown:
    """One look of a trial. Raises NotInRecord."""
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    return _shown(find_look(found, number), cavity_names(found.tool))


def cavities_of(programme: str, tool: str) -> tuple[str, ...]:
    """What the cavities of a tool are called, in the order of the steel. Raises NotInRecord."""
    return tuple(cavity_names(find_tool(find_programme(programme), tool)).values())


def findings_at_press(trial: Trial) -> PressFindings:
    """What was seen on a trial that is at hand, and where every finding of its tool stands."""
    counts = PressCounts(trial)
    rows = {one.code: one for one in list_of(trial.tool.programme)}
    defects = tuple(sorted((_defect(counts, rows[code]) for code in counts.defects()), key=_rank))
    here = [one for one in counts.looks if one.trial == counts.here]
    pieces = sum(one.pieces for one in here)
    return PressFindings(
        programme=trial.tool.programme.slug,
        programme_title=trial.tool.programme.title,
        tool=trial.tool.code,
        trial=trial.name,
        state=trial.state.label,
        pieces=pieces,
        next_shot=_next_shot([one for one in (*counts.unsettled, *here) if one.trial == counts.here]),
        headline=press_headline(trial.name, pieces, defects),
        defects=defects,
        looks=tuple(
            _shown(one, counts.names) for one in reversed(counts.kept) if one.look.trial_id == trial.pk
        ),
        significance=SIGNIFICANCE,
        confidence=CONFIDENCE,
        cautions=tuple(_cautions(here, defects, _unsettled(counts))),
    )


def _defect(counts: PressCounts, row: DefectOnList) -> DefectSeen:
    looks = counts.looked_for(row.code, counts.here)
    begun = [one for one in counts.unsettled if one.trial == counts.here]
    along = _along([*begun, *looks], row.code)
    return DefectSeen(
        code=row.code,
        name=row.name,
        weight_class=row.weight_class,
        process=row.process,
        steel=row.steel,
        source=row.source,
        here=_share(sum(one.seen(row.code) for one in looks), sum(one.pieces for one in looks)),
        followed=tuple(
            _followed(counts, row, cavity, place)
            for cavity in counts.cavities_with(row.code)
            for place in counts.places(row.code, cavity)
        ),
        compared=tuple(_compared(looks, row.code)),
        along=along,
        along_says=along_sentence(along),
    )


def _followed(counts: PressCounts, row: DefectOnList, cavity: str, place: str) -> FindingFollowed:
    trials = counts.history(row.code, cavity, place)
    stand = stand_of(trials, is_listed=row.is_listed)
    return FindingFollowed(
        defect=row.code,
        name=row.name,
        weight_class=row.weight_class,
        cavity=cavity,
        place=counts.place_as_written(row.code, place),
        standing=stand.standing,
        says=stand.says,
        since=stand.since,
        last_seen=stand.last_seen,
        last_looked_at=stand.last_looked_at,
        pieces_needed=stand.pieces_needed,
        here=_share(trials[-1].seen, trials[-1].looked_at),
        trials=trials,
    )


def _share(seen: int, looked_at: int) -> ShareFinding | None:
    return share_interval(seen, looked_at, confidence=CONFIDENCE) if looked_at else None


def _compared(looks: list[LookCounted], defect: str) -> Iterator[PartCompared]:
    """The cavities of each part that has two or more of them looked at."""
    for part in sorted({one.part for one in looks if one.cavity != UNKNOWN}):
        of_part = [one for one in looks if one.part == part and one.cavity != UNKNOWN]
        if len({one.cavity for one in of_part}) > 1 and any(one.seen(defect) for one in of_part):
            shares: CavityShares = shares_by_cavity(
                [float(one.seen(defect)) for one in of_part],
                [float(one.pieces) for one in of_part],
                [one.cavity for one in of_part],
                significance=SIGNIFICANCE,
                confidence=CONFIDENCE,
            )
            yield PartCompared(part=part, shares=shares, says=cavities_sentence(shares))


def _along(looks: list[LookCounted], defect: str) -> ShareAlongTrial | None:
    """Along the shots whose number is known; None where there are fewer than two, or none shows it."""
    shots = [one.shot for one in looks if one.shot is not None]
    if len(set(shots)) < 2 or not any(one.seen(defect) for one in looks if one.shot is not None):
        return None
    first, length = min(shots), max(shots) - min(shots) + 1
    seen, pieces, total = Counter[int](), Counter[int](), Counter[int]()
    for one in looks:
        if one.shot is not None:
            group = (one.shot - first) * SHOT_GROUPS // max(length, SHOT_GROUPS)
            seen[group] += one.seen(defect)
            pieces[group] += one.pieces
            total[group] += one.pieces * one.shot
    return share_along_trial(
        [float(seen[group]) for group in sorted(pieces)],
        [float(pieces[group]) for group in sorted(pieces)],
        [total[group] / pieces[group] for group in sorted(pieces)],
        significance=SIGNIFICANCE,
    )


def _rank(defect: DefectSeen) -> tuple[int, int, int, str]:
    """What is open first, then what hangs on it, then how often it was seen."""
    standing = min(_STANDING[one.standing] for one in defect.followed)
    seen = defect.here.seen if defect.here else 0
    return (
        standing > _STANDING[Standing.NOT_LOOKED_AT],
        WeightClass(defect.weight_class).rank,
        -seen,
        defect.code,
    )


def _next_shot(looks: list[LookCounted]) -> int:
    """The shot to look at next: as far on as the last two lie apart."""
    shots = sorted({one.shot for one in looks if one.shot is not None})
    if not shots:
        return 1
    return shots[-1] + (shots[-1] - shots[-2] if len(shots) > 1 else 1)


def _unsettled(counts: PressCounts) -> int:
    return sum(one.pieces for one in counts.unsettled if one.trial == counts.here)


def _cautions(here: list[LookCounted], defects: tuple[DefectSeen, ...], unsettled: int) -> Iterator[Caution]:
    yield AT_THE_PRESS
    if unsettled:
        yield Caution(f"{unsettled} pieces of shots before the press had settled are listed and do not count")
    unknown = sum(one.pieces for one in here if one.cavity == UNKNOWN)
    if unknown:
        yield Caution(f"the cavity of {unknown} pieces is not recorded: they count for no cavity")
    standings = {one.standing for defect in defects for one in defect.followed}
    if Standing.GONE in standings:
        yield _ONE_IN_TWENTY
    if standings & {Standing.GONE, Standing.NOT_SHOWN_GONE}:
        yield _EYES


def _shown(found: LookFound, names: Mapping[int, str]) -> LookShown:
    look = found.look
    return LookShown(
        number=look.pk,
        cavity=names[look.cavity_id] if look.cavity_id else UNKNOWN,
        shot=look.shot_number,
        pieces=look.pieces,
        flaws=tuple(
            FlawShown(
                defect=one.defect.code,
                name=one.defect.name,
                pieces=one.pieces,
                place=one.place,
                note=one.note,
            )
            for one in found.flaws
        ),
        photographs=tuple(_photograph(found)),
        note=look.note,
        looked_at=look.looked_at,
        looked_by=look.looked_by,
        set_aside=look.set_aside,
    )


def _photograph(found: LookFound) -> Iterator[PhotographShown]:
    flaws = {one.pk: one.defect.name for one in found.flaws}
    for one in found.photographs:
        yield PhotographShown(
            number=one.pk,
            name=one.name,
            shows=flaws.get(one.flaw_id or 0, ""),
            media_type=one.media_type,
            width=one.width,
            height=one.height,
            sha256=one.sha256,
            note=one.note,
        )

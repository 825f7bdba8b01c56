"""What findings at the press ask for: what to mend, and where to look again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from offtool.handbook.terms import WeightClass
from offtool.steps.findings import Action
from offtool.steps.press_findings import DefectSeen, FindingFollowed, PressFindings, Standing
from offtool.steps.press_sentences import SETTLING
from offtool.steps.sentences import sentence

LOOK = "look"
"""Where these actions lead: to the page on which pieces are looked at."""

_ORDER = {
    Standing.OPEN: 0,
    Standing.NOT_SHOWN_GONE: 1,
    Standing.NOT_LOOKED_AT: 2,
}

Key = tuple[Standing, str, str]


def press_actions(findings: PressFindings) -> Iterator[Action]:
    """One action for each defect, place and standing that is open: critical first, seen before unseen."""
    groups: dict[Key, list[FindingFollowed]] = defaultdict(list)
    defects = {one.code: one for one in findings.defects}
    for one in findings.open:
        groups[one.standing, one.defect, one.place].append(one)
    for key in sorted(
        groups, key=lambda key: (WeightClass(defects[key[1]].weight_class).rank, _ORDER[key[0]])
    ):
        yield _action(key[0], defects[key[1]], groups[key], findings.trial)


def _action(standing: Standing, defect: DefectSeen, found: list[FindingFollowed], trial: str) -> Action:
    first = found[0]
    where = cavities_named([one.cavity for one in found])
    place = f" ({first.place})" if first.place else ""
    if standing is Standing.OPEN:
        return Action(
            do=f"Mend {defect.name}{place} in {where}.", because=_mend(defect, found), leads_to=LOOK
        )
    open_ = f"{defect.name}{place} is open since {_earliest(found)}"
    if standing is Standing.NOT_LOOKED_AT:
        return Action(do=f"Look again at {where}: {open_}.", because=_enough(found), leads_to=LOOK)
    few = min(one.last_looked_at.looked_at for one in found)
    return Action(
        do=f"Look at {_more(found, trial)} of {where}: {open_}.",
        because=f"Not seen any more, but {few} {'piece shows' if few == 1 else 'pieces show'} too little. "
        + _enough(found),
        leads_to=LOOK,
    )


def _more(found: list[FindingFollowed], trial: str) -> str:
    """How many more, where this trial has begun to look."""
    missing = [
        one.pieces_needed - one.last_looked_at.looked_at
        for one in found
        if one.pieces_needed is not None and one.last_looked_at.trial == trial
    ]
    if len(missing) < len(found):
        return "more pieces"
    return "1 more piece" if max(missing) == 1 else f"{max(missing):,} more pieces"


def _mend(defect: DefectSeen, found: list[FindingFollowed]) -> str:
    """How often it was seen, then the process, then the steel."""
    worst = max((one for one in found if one.here), key=lambda one: one.here.share if one.here else 0.0)
    said = [f"Seen on {worst.last_seen.seen} of {worst.last_seen.looked_at} pieces"
            + (f" of cavity {worst.cavity}" if len(found) > 1 and worst.cavity else "") + "."]  # fmt: skip
    if defect.along is not None and defect.along_says and defect.along.change == "fades":
        said.append(f"It fades along the trial, {SETTLING}: say from which shot it had settled.")
    if defect.process and not defect.process.startswith("none"):
        said.append(sentence(f"process first: {defect.process}"))
    if defect.steel and not defect.steel.startswith("none"):
        said.append(sentence(f"then the steel: {defect.steel}"))
    return " ".join(said)


def _enough(found: list[FindingFollowed]) -> str:
    """How many pieces would show it gone."""
    needed = [one.pieces_needed for one in found if one.pieces_needed is not None]
    if not needed:
        return "No number of pieces would show it gone: it was seen on too few."
    a_cavity = " of each cavity" if len(found) > 1 else ""
    return f"{max(needed):,} pieces{a_cavity} without it, in one trial, would show it gone."


def _earliest(found: list[FindingFollowed]) -> str:
    """The trials since which it is open; several where the cavities differ."""
    return " and ".join(dict.fromkeys(one.since.trial for one in found))


def cavities_named(cavities: list[str]) -> str:
    """cavity 2; cavities 1, 2 and 4; an unknown cavity."""
    named = [one for one in cavities if one]
    said = []
    if named:
        many = f"cavities {', '.join(named[:-1])} and {named[-1]}"
        said.append(f"cavity {named[0]}" if len(named) == 1 else many)
    if len(named) < len(cavities):
        said.append("an unknown cavity")
    return " and ".join(said)

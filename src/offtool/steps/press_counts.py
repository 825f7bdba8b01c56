"""From looks to counts: on how many of how many pieces a defect was seen, by trial, cavity and place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from offtool.records.models import Trial
from offtool.records.queries import LookFound, cavity_names, listing_changes, looks_of, trials_up_to
from offtool.steps.press_findings import TrialShare

UNKNOWN = ""
"""The cavity of pieces of which nobody knows it; the place of a flaw for which none was given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookCounted:
    """One look as numbers; `flaws` has the pieces by defect and place."""

    trial: int
    cavity: str
    part: str
    shot: int | None
    pieces: int
    flaws: Mapping[tuple[str, str], int]
    looked_at: datetime

    def seen(self, defect: str, place: str = UNKNOWN) -> int:
        """On how many pieces; over all places at least as many as at the worst, since places share pieces."""
        return max(
            (
                pieces
                for (one, where), pieces in self.flaws.items()
                if one == defect and place in (UNKNOWN, where)
            ),
            default=0,
        )


class PressCounts:
    """The looks of a tool up to a trial, those set aside left out; unsettled shots are kept apart."""

    def __init__(self, trial: Trial) -> None:
        self.trials = trials_up_to(trial)
        self.kept = looks_of(self.trials)
        self.names = cavity_names(trial.tool)
        order = {one.pk: place for place, one in enumerate(self.trials)}
        counted = [_counted(one, order, self.names) for one in self.kept if not one.look.set_aside]
        self.looks = [one for one in counted if self._is_settled(one)]
        self.unsettled = [one for one in counted if not self._is_settled(one)]
        self._listed = listing_changes(trial.tool.programme)
        self._looked_for: dict[tuple[str, int], list[LookCounted]] = {}

    @property
    def here(self) -> int:
        """The place of the trial itself among the trials."""
        return len(self.trials) - 1

    def _is_settled(self, look: LookCounted) -> bool:
        """Whether its shot counts, by the word of whoever ran the trial."""
        first = self.trials[look.trial].settled_from
        return first is None or look.shot is None or look.shot >= first

    def looked_for(self, defect: str, trial: int) -> list[LookCounted]:
        """The looks of a trial that would have shown this defect: it was on the list, or was seen."""
        key = defect, trial
        if key not in self._looked_for:
            self._looked_for[key] = [
                one
                for one in self.looks
                if one.trial == trial and (self._was_listed(defect, one.looked_at) or one.seen(defect))
            ]
        return self._looked_for[key]

    def _was_listed(self, defect: str, when: datetime) -> bool:
        return next(listed for since, listed in reversed(self._listed[defect]) if since <= when)

    def history(self, defect: str, cavity: str, place: str) -> tuple[TrialShare, ...]:
        """What each trial says of one finding."""
        count = self._in_unknown_cavity if cavity == UNKNOWN else _in_cavity(cavity)
        return tuple(
            TrialShare(trial=one.name, state=one.state.label, seen=seen, looked_at=looked)
            for at, one in enumerate(self.trials)
            for seen, looked in [count(self.looked_for(defect, at), defect, place)]
        )

    def _in_unknown_cavity(self, looks: list[LookCounted], defect: str, place: str) -> tuple[int, int]:
        """Nobody knows the cavity: seen in any, it is seen; only all cavities together can show it gone."""
        unknown = [one for one in looks if one.cavity == UNKNOWN]
        if any(one.seen(defect, place) for one in unknown):
            return _sums(unknown, defect, place)
        seen, looked = _sums(looks, defect, place)
        if seen:
            return seen, looked
        by_cavity = [sum(one.pieces for one in looks if one.cavity == name) for name in self.names.values()]
        return 0, min(by_cavity, default=0)

    def places(self, defect: str, cavity: str) -> list[str]:
        """The places at which a defect was seen in a cavity; the whole cavity where one was not given."""
        found = dict.fromkeys(
            where
            for look in self.looks
            if look.cavity == cavity
            for one, where in look.flaws
            if one == defect
        )
        return [UNKNOWN] if UNKNOWN in found else list(found)

    def place_as_written(self, defect: str, place: str) -> str:
        """The place as it was written first."""
        written = (
            flaw.place
            for look in self.kept
            for flaw in look.flaws
            if flaw.defect.code == defect and place_key(flaw.place) == place
        )
        return next(written, place)

    def cavities_with(self, defect: str) -> list[str]:
        """The cavities in which a defect was seen, in the order of the steel, unknown last."""
        found = {one.cavity for one in self.looks if one.seen(defect)}
        return [name for name in (*self.names.values(), UNKNOWN) if name in found]

    def defects(self) -> list[str]:
        """Every defect that was seen in a shot that counts."""
        return sorted({defect for one in self.looks for defect, _ in one.flaws})


def _in_cavity(cavity: str) -> Callable[[list[LookCounted], str, str], tuple[int, int]]:
    def count(looks: list[LookCounted], defect: str, place: str) -> tuple[int, int]:
        return _sums([one for one in looks if one.cavity == cavity], defect, place)

    return count


def _sums(looks: Iterable[LookCounted], defect: str, place: str) -> tuple[int, int]:
    found = list(looks)
    return sum(one.seen(defect, place) for one in found), sum(one.pieces for one in found)


def _counted(found: LookFound, order: Mapping[int, int], names: Mapping[int, str]) -> LookCounted:
    look = found.look
    flaws: dict[tuple[str, str], int] = {}
    for one in found.flaws:
        key = one.defect.code, place_key(one.place)
        flaws[key] = max(one.pieces, flaws.get(key, 0))
    return LookCounted(
        trial=order[look.trial_id],
        cavity=names[look.cavity_id] if look.cavity_id else UNKNOWN,
        part=look.cavity.part.code if look.cavity else "",
        shot=look.shot_number,
        pieces=look.pieces,
        flaws=flaws,
        looked_at=look.looked_at,
    )


def place_key(place: str) -> str:
    """A place as it is compared: "Left  ear" is "left ear"."""
    return " ".join(place.split()).casefold()

"""The defects of a pilot in the order of what they cost."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from offtool.core.pilot.yields import rank_defects
from offtool.core.values import NotEnoughData
from offtool.records.models import PilotDefect
from offtool.steps.pilot_counted import CONFIDENCE
from offtool.steps.pilot_found import DefectsRanked
from offtool.steps.pilot_in_record import PilotInRecord

Key = tuple[int, str]


@dataclass(slots=True)
class _Found:
    """One defect at one station; a number that any of its rows leaves open is not known."""

    count: int = 0
    scrapped: int | None = 0
    minutes: float | None = 0.0
    """Minutes of rework of all that were not scrapped."""

    def add(self, one: PilotDefect) -> None:
        scrapped = one.scrapped
        if scrapped is None and one.rework_minutes is not None:
            scrapped = 0  # a row that says what rework of a piece took says that it was reworked
        self.count += one.count
        self.scrapped = None if self.scrapped is None or scrapped is None else self.scrapped + scrapped
        left = one.count - scrapped if scrapped is not None else None
        minutes = 0.0 if left == 0 else one.rework_minutes
        known = self.minutes is not None and minutes is not None and left is not None
        self.minutes = self.minutes + left * minutes if known else None  # type: ignore[operator]

    @property
    def is_known(self) -> bool:
        return self.scrapped is not None and self.minutes is not None

    @property
    def minutes_each(self) -> float:
        left = self.count - (self.scrapped or 0)
        return (self.minutes or 0.0) / left if left else 0.0


def defects_ranked(told: PilotInRecord) -> DefectsRanked:
    """By cost where the line says what a piece and a minute cost, else by how often they were found.

    Raises NotEnoughData where no defect was written down.
    """
    found: dict[Key, _Found] = {}
    for one in told.defects:
        found.setdefault((one.station_id, one.defect.casefold()), _Found()).add(one)
    if not found:
        raise NotEnoughData("no defects are read yet", remedy="read the sheet of defects")
    called = {(one.station_id, one.defect.casefold()): one.defect for one in told.defects}
    names = _names(told, called)
    piece, minute = told.line.piece_cost, told.line.minute_cost
    if piece is None or minute is None:
        return _by_count(names, found)
    known = {key: one for key, one in found.items() if one.is_known}
    left_out = tuple(names[key] for key in found if key not in known)
    if not known:
        return _by_count(names, found)
    ranking = rank_defects(
        [names[key] for key in known],
        [one.count for one in known.values()],
        [one.scrapped or 0 for one in known.values()],
        [one.minutes_each for one in known.values()],
        piece_cost=piece,
        minute_cost=minute,
        confidence=CONFIDENCE,
    )
    return DefectsRanked(ranking=ranking, by_cost=True, left_out=left_out)


def _names(told: PilotInRecord, called: dict[Key, str]) -> dict[Key, str]:
    """Each defect as people call it, with its station: overspray at paint."""
    names = {key: f"{defect} at {told.stations[key[0]].name}" for key, defect in called.items()}
    twice = {name for name, times in Counter(names.values()).items() if times > 1}
    return {key: f"{name} ({key[0]})" if name in twice else name for key, name in names.items()}


def _by_count(names: dict[Key, str], found: dict[Key, _Found]) -> DefectsRanked:
    """Each counts as one: how often is all that is known."""
    counts = [one.count for one in found.values()]
    ranking = rank_defects(
        [names[key] for key in found], counts, counts, [0.0] * len(counts), piece_cost=1.0, minute_cost=0.0,
        confidence=CONFIDENCE,
    )  # fmt: skip
    return DefectsRanked(ranking=ranking, by_cost=False, left_out=())

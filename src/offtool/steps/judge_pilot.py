"""What a pilot showed: rate, yields, defects, station times, audits, and what its size leaves open."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TypeVar

from offtool import __version__
from offtool.core.pilot.yields import PilotRate, PilotShows, RolledYield, pilot_shows
from offtool.core.values import Caution, NotEnoughData, OfftoolError, Verdict
from offtool.handbook.terms import WeightClass
from offtool.records.models import Pilot
from offtool.records.queries import find_programme, lines_of
from offtool.steps.audits_found import audit_cautions, audits_found, verdict_of_audits
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.pilot_counted import CONFIDENCE, PilotCounted
from offtool.steps.pilot_found import (
    AuditSeen,
    DefectsRanked,
    FileMissing,
    PilotFound,
    PilotsFound,
    StationTimed,
    WaitsBefore,
)
from offtool.steps.pilot_in_record import PilotInRecord, newest_first, pilot_named
from offtool.steps.pilot_layouts import PILOT_SHEETS
from offtool.steps.pilot_ranked import defects_ranked
from offtool.steps.pilot_sentences import actions, facts, headline, headline_of_all
from offtool.steps.pilot_timed import PilotTimed, slowest
from offtool.steps.what_is_asked import REQUIRED_INDEX

METHOD = f"offtool {__version__}"
ON_THE_LINE = Caution(
    "welders, presses, booths and heated tools hurt: a station is changed only while it stands, with its "
    "guards on, by people who are trained for it; the rules of the shop decide"
)
R = TypeVar("R")


def judge_pilot(programme: str, pilot: str) -> PilotFound:
    """One pilot with all that stands behind it. Raises NotInRecord."""
    return judged(pilot_named(find_programme(programme), pilot))


def pilots_of_programme(programme: str) -> PilotsFound:
    """Every pilot of a programme, the newest first. Raises NotInRecord."""
    found = find_programme(programme)
    all_of = PilotsFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        lines=tuple(one.name for one in lines_of(found)),
        headline="",
        pilots=tuple(map(judged, newest_first(found))),
    )
    return replace(all_of, headline=headline_of_all(all_of))


def judged(pilot: Pilot, *, with_audits: bool = True, measured: SizesMeasured | None = None) -> PilotFound:
    """A pilot that was found already. Without its audits no weld study is gone through: a ramp needs none."""
    return _Judging(pilot, measured).found(with_audits=with_audits)


class _Judging:
    """One pilot while it is judged; what cannot be said is kept with its reason."""

    def __init__(self, pilot: Pilot, measured: SizesMeasured | None) -> None:
        self.told, self.measured = PilotInRecord(pilot), measured
        self.counted, self.timed = PilotCounted(self.told), PilotTimed(self.told)
        self.said: list[str] = []

    def _try(self, about: str, work: Callable[[], R]) -> R | None:
        """The answer, or None with the reason kept."""
        try:
            return work()
        except OfftoolError as error:
            self.said.append(f"{about}: {error}")
            return None

    def found(self, *, with_audits: bool) -> PilotFound:
        """The whole answer."""
        told, pilot, programme = self.told, self.told.pilot, self.told.programme
        yields, rate = self._try("yields", self.counted.yields), self._try("rate", self.counted.rate)
        times, waits = self.timed.stations(), tuple(self.counted.waits())
        defects, audits = self._defects(), audits_found(told, self.measured) if with_audits else ()
        found = PilotFound(
            programme=programme.slug,
            programme_title=programme.title,
            invented=is_invented(programme),
            line=told.line.name,
            pilot=pilot.name,
            ran_on=pilot.ran_on,
            pieces=pilot.pieces,
            hours=pilot.hours,
            people=pilot.people,
            note=pilot.note,
            planned_per_h=told.line.planned_per_h,
            needed_per_h=told.needed_per_h,
            trials=told.trials_seen(),
            verdict=_verdict(rate, yields, audits),
            headline="",
            actions=(),
            rests_on=(),
            rate=rate,
            limited_by=_limited_by(times, waits, told.needed_per_h),
            balance=self.counted.balance(),
            yields=yields,
            hours_seen=self.counted.hours_seen,
            waits=waits,
            not_counted=tuple(self.counted.not_counted) if yields is not None else (),
            disagree=tuple(self.counted.disagree),
            defects=defects,
            times=times,
            halves=tuple(self.counted.halves(self.timed.of_hour)),
            audits=audits,
            audits_verdict=verdict_of_audits(audits),
            shows=self._shows(),
            files=told.files_seen(),
            missing=tuple(self._missing()),
            said=(),
            method=METHOD,
        )
        found = replace(found, said=(*self.said, *self._not_covered(found)), cautions=self._cautions(found))
        return replace(
            found, headline=headline(found), actions=tuple(actions(found)), rests_on=tuple(facts(found))
        )

    def _defects(self) -> DefectsRanked | None:
        return self._try("defects", lambda: defects_ranked(self.told)) if self.told.defects else None

    def _shows(self) -> PilotShows | None:
        """What so many pieces can show of the yield that is planned."""
        line, pieces = self.told.line, self.counted.started
        planned = line.planned_final_yield or line.planned_first_yield
        if pieces is None:
            return None
        return self._try("what its size shows", lambda: _shows(pieces, planned))

    def _missing(self) -> Iterator[FileMissing]:
        read = self.told.kinds_read
        for kind, sheet in PILOT_SHEETS.items():
            if kind.value not in read:
                yield FileMissing(
                    kind=kind.value, shows=sheet.shows, columns=sheet.columns, example=sheet.example
                )

    def _not_covered(self, found: PilotFound) -> Iterator[str]:
        """Stations that nobody counted or timed, and plans that nobody wrote down."""
        if found.yields is not None and self.counted.not_counted:
            yield f"counts of {', '.join(self.counted.not_counted)}"
        if found.times and self.timed.without_times():
            yield f"times of {', '.join(self.timed.without_times())}"
        unplanned = [one.station for one in found.times if one.times is None]
        if unplanned:
            yield f"planned times of {', '.join(dict.fromkeys(unplanned))}: place the tasks of the line"
        if found.defects is not None and not found.defects.by_cost:
            yield (
                "costs: what a scrapped piece and a minute of rework cost is not said with the line, so "
                "defects stand by how often they were found"
            )
        if found.defects is not None and found.defects.left_out:
            yield f"cost of {', '.join(found.defects.left_out)}: scrap or rework minutes are not written down"

    def _cautions(self, found: PilotFound) -> tuple[Caution, ...]:
        """What must be said beside the answer and all its parts, each once."""
        parts = (found.rate, found.yields, found.shows, found.defects.ranking if found.defects else None)
        of_parts = (caution for part in parts if part is not None for caution in part.cautions)
        of_times = (
            Caution(f"{one.station}: {said.text}", said.source)
            for one in found.times
            if one.times is not None
            for said in one.times.cautions
        )
        audits = audit_cautions(found.audits)
        return tuple(dict.fromkeys((ON_THE_LINE, *audits, *self.counted.cautions, *of_parts, *of_times)))


def _shows(pieces: int, planned: float | None) -> PilotShows:
    if planned is None or planned >= 1:
        raise NotEnoughData("no yield below 100 % is planned", remedy="say it with the line")
    index = REQUIRED_INDEX[WeightClass.CRITICAL.value]
    return pilot_shows(pieces, planned_yield=planned, required_index=index, confidence=CONFIDENCE)


def _verdict(rate: PilotRate | None, yields: RolledYield | None, audits: tuple[AuditSeen, ...]) -> Verdict:
    """Fails where anything fails, holds where all that a plan asks for is shown."""
    verdicts = [
        rate.verdict if rate is not None else None,
        yields.first.verdict if yields is not None else None,
        yields.final.verdict if yields is not None else None,
        verdict_of_audits(audits),
    ]
    if Verdict.FAILS in verdicts:
        return Verdict.FAILS
    shown = rate is not None and yields is not None and Verdict.NOT_SHOWN not in verdicts
    return (
        Verdict.HOLDS if shown and rate is not None and rate.verdict is Verdict.HOLDS else Verdict.NOT_SHOWN
    )


def _limited_by(times: tuple[StationTimed, ...], waits: tuple[WaitsBefore, ...], needed: float | None) -> str:
    """The slowest station, where it lets less through than is needed; else that before which most wait."""
    slow = slowest(times)
    if slow and (needed is None or (slow[0].per_h or 0.0) < needed):
        return slow[0].station
    return max(waits, key=lambda one: one.pieces).station if waits else ""

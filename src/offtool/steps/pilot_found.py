"""What a pilot showed, as one object: page, command, report and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.yields import (
    AuditsJudged,
    DefectRanking,
    FirstAndLast,
    PilotRate,
    PilotShows,
    RolledYield,
    StationTimes,
)
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotTrialSeen:
    """A run of a tool from which parts came; `cut_since` where its steel was changed after it."""

    tool: str
    trial: str
    state: str
    shot_on: date | None
    cut_since: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotFileSeen:
    """One sheet that was read."""

    file_id: int
    kind: str
    name: str
    file: str
    sha256: str
    rows: int
    done_on: date | None
    read_by: str
    note: str
    set_aside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FileMissing:
    """A kind of sheet that was not read: what it would show, how it is laid out, and one to copy."""

    kind: str
    shows: str
    columns: str
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HourSeen:
    """One hour at the end of the line. `why_not`: why it does not count for the rate; empty where it does."""

    hour: int
    good: int
    per_h: float
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesOfPilot:
    """Where the pieces are that were started."""

    started: int
    good: int
    scrapped: int | None
    """None where some station did not count its scrap."""
    not_good_yet: int | None
    in_the_line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorSeen:
    """What one person took for the work of a station."""

    operator: str
    cycles: int
    mean_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StationTimed:
    """The times of a station, or of one task where it alone was timed.

    `times` is None where no time is planned for it: it then has its mean alone. `per_h` is what the station
    lets through, None for a task.
    """

    station: str
    number: int
    task: str
    people: int
    cycles: int
    mean_s: float
    times: StationTimes | None
    per_h: float | None
    operators: tuple[OperatorSeen, ...]
    as_planned: tuple[str, ...] = ()
    """Tasks of the station that were not timed, and are taken as they are planned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationHalves:
    """A station in its first hour and in its last."""

    station: str
    first_hour: int
    last_hour: int
    found: FirstAndLast


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitsBefore:
    """Pieces that left one station good and that the next had not taken up when the pilot ended."""

    station: str
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectsRanked:
    """The ranking of defects by cost; by count where costs are not said. `left_out` cost nobody can say."""

    ranking: DefectRanking
    by_cost: bool
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditSeen:
    """The pieces pulled at a seam, or turned at a joint. `judged` is None with the reason in `why_not`."""

    kind: str
    """"seam" or "joint"."""
    code: str
    name: str
    measure: str
    unit: str
    decimals: int
    readings: int
    judged: AuditsJudged | None
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotFound:
    """One pilot with all that stands behind it."""

    programme: str
    programme_title: str
    invented: bool
    line: str
    pilot: str
    ran_on: date | None
    pieces: int | None
    hours: float | None
    people: int | None
    note: str
    planned_per_h: float | None
    needed_per_h: float | None
    """Pieces an hour that each station must let through: the planned good ones over the planned yield."""
    trials: tuple[PilotTrialSeen, ...]
    verdict: Verdict
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    rate: PilotRate | None
    limited_by: str
    """The station that limits the rate; empty where none is seen to."""
    balance: PiecesOfPilot | None
    yields: RolledYield | None
    hours_seen: tuple[HourSeen, ...]
    waits: tuple[WaitsBefore, ...]
    not_counted: tuple[str, ...]
    """Stations of the line that nobody counted, where others were."""
    disagree: tuple[str, ...]
    """Stations that took up more than the one before gave, each in words."""
    defects: DefectsRanked | None
    times: tuple[StationTimed, ...]
    halves: tuple[StationHalves, ...]
    audits: tuple[AuditSeen, ...]
    audits_verdict: Verdict | None
    shows: PilotShows | None
    files: tuple[PilotFileSeen, ...]
    missing: tuple[FileMissing, ...]
    said: tuple[str, ...]
    """What could not be worked out, each with its reason."""
    method: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotsFound:
    """Every pilot of a programme, the newest first."""

    programme: str
    programme_title: str
    invented: bool
    lines: tuple[str, ...]
    headline: str
    pilots: tuple[PilotFound, ...]

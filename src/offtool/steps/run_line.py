"""Run a line of the record: what rate it gives, what limits it, what one more of something would give."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from hashlib import sha256

from offtool import __version__
from offtool.core.pilot.simulation import Line, LineSimulated, WhatMoreGives, simulate_line, what_more_gives
from offtool.core.pilot.simulation.asked import HOURS as HOURS_OF_A_RUN
from offtool.records.models import Line as KeptLine
from offtool.records.models import Programme
from offtool.records.queries import find_line, find_pilot, find_programme, pilot_times, pilots_of
from offtool.steps.line_in_record import line_as_worked
from offtool.steps.line_run_built import LineBuilt, StationBuilt, build_line
from offtool.steps.line_run_found import LineRunFound, PressRun, StationRun, Unsaid, WaitsBefore
from offtool.steps.line_run_sentences import actions, facts, headline, is_limit
from offtool.steps.line_run_times import PilotCycles, cycles_by_place
from offtool.steps.line_run_unsaid import HOURS, unsaid_of
from offtool.steps.overview import is_invented
from offtool.steps.what_more import additions_to, more_of_it, places_are_assumed

METHOD = f"offtool {__version__}"
RUNS, SEED = 20, 1
FIRST_RUNS, FIRST_ANSWER_S = 10, 0.8
"""For an answer at once: so many runs, or as many as fit into the time, and two at least."""
BALANCE_S = 1.0
"""How long places are searched for where none were adopted."""
PIECE_S = 9e-6
"""Processor time of a piece at a station, from the benchmark."""

Progress = Callable[[int, int], None]
Stop = Callable[[], bool]
SoFar = Callable[[LineRunFound], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRun:
    """A run that is ready: all that it needs of the record is in it, so that it may be run anywhere."""

    programme: str
    programme_title: str
    invented: bool
    built: LineBuilt
    unsaid: tuple[Unsaid, ...]
    pilots: tuple[str, ...]
    hours: float
    runs: int
    seed: int
    more: bool

    @property
    def key(self) -> str:
        """The same for the same line, settings and version, and for nothing else."""
        asked = (__version__, self.programme, self.built.worked, self.built.line, self.built.cycles.pilot)
        return sha256(repr((asked, self.hours, self.runs, self.seed, self.more)).encode()).hexdigest()[:24]

    @property
    def expected_s(self) -> float:
        """About how long it takes on one core."""
        lines = 1 + len(additions_to(self.built.line)) if self.more else 1
        return seconds_of_a_run(self.built.line, self.hours) * self.runs * lines

    def run(
        self,
        *,
        executor: Executor | None = None,
        progress: Progress | None = None,
        stop: Stop | None = None,
        so_far: SoFar | None = None,
    ) -> LineRunFound:
        """Run it. Raises ImpossibleInput for what cannot be, by name; OfftoolError where it was stopped
        before there was anything to say."""
        line = self.built.line
        if not self.more:
            found = simulate_line(
                line, hours=self.hours, runs=self.runs, seed=self.seed, executor=executor, progress=progress,
                stop=stop, so_far=so_far and (lambda one: so_far(self._found(one, None))),
            )  # fmt: skip
            return self._found(found, None)
        compared = what_more_gives(
            line, additions_to(line), hours=self.hours, runs=self.runs, seed=self.seed, executor=executor,
            progress=progress, stop=stop, so_far=so_far and (lambda one: so_far(self._found(one.base, one))),
        )  # fmt: skip
        return self._found(compared.base, compared)

    def _found(self, done: LineSimulated, compared: WhatMoreGives | None) -> LineRunFound:
        built = self.built
        found = LineRunFound(
            programme=self.programme,
            programme_title=self.programme_title,
            invented=self.invented,
            line=built.worked.line,
            headline="",
            verdict=done.plan,
            actions=(),
            rests_on=(),
            unsaid=self.unsaid,
            planned_per_h=built.line.planned_per_h,
            stations=tuple(_station(one, done) for one in built.stations),
            presses=tuple(_presses(built, done)),
            more=more_of_it(compared, built) if compared is not None else (),
            more_confidence=compared.confidence if compared is not None else None,
            simulated=done,
            compared=compared,
            pilot=built.cycles.pilot,
            pilots=self.pilots,
            method=METHOD,
            cautions=compared.cautions if compared is not None else done.cautions,
        )
        return replace(
            found,
            headline=headline(found),
            actions=tuple(actions(found, built)),
            rests_on=tuple(facts(found, built)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRunChoices:
    """What can be chosen for a run of a line, and what is taken where nothing is."""

    programme: str
    programme_title: str
    invented: bool
    line: str
    hours: float
    pilots: tuple[str, ...]


def line_run_choices(programme: str, line: str | None = None) -> LineRunChoices:
    """The choices. Raises NotInRecord."""
    found = find_programme(programme)
    kept = find_line(found, line)
    return LineRunChoices(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        line=kept.name,
        hours=kept.hours_per_day or HOURS,
        pilots=_pilots(found, kept),
    )


def plan_line_run(
    programme: str,
    line: str | None = None,
    *,
    hours: float | None = None,
    runs: int | None = None,
    seed: int = SEED,
    pilot: str = "",
    more: bool = False,
) -> LineRun:
    """A run of a line of the record; `runs` None is as many as an answer at once can have.

    Raises NotInRecord; NotEnoughData for a line without tasks; ImpossibleInput, by name, for what cannot be.
    """
    found = find_programme(programme)
    kept = find_line(found, line)
    day_h = kept.hours_per_day or HOURS
    for_hours = day_h if hours is None else hours
    HOURS_OF_A_RUN.refuse_impossible("hours", for_hours)
    worked = line_as_worked(kept, seconds=BALANCE_S)
    built = build_line(kept, worked, _cycles(kept, pilot), hours=for_hours, hours_per_day=day_h)
    return LineRun(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        built=built,
        unsaid=unsaid_of(kept, built),
        pilots=_pilots(found, kept),
        hours=for_hours,
        runs=runs if runs is not None else _at_once(built.line, for_hours),
        seed=seed,
        more=more,
    )


def run_line(
    programme: str,
    line: str | None = None,
    *,
    hours: float | None = None,
    runs: int = RUNS,
    seed: int = SEED,
    pilot: str = "",
    more: bool = False,
    executor: Executor | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> LineRunFound:
    """What a line of the record makes; with `more`, what one more of each thing gives. Raises as planned."""
    planned = plan_line_run(programme, line, hours=hours, runs=runs, seed=seed, pilot=pilot, more=more)
    return planned.run(executor=executor, progress=progress, stop=stop)


def seconds_of_a_run(line: Line, hours: float) -> float:
    """About what a run takes: pieces that the slowest station can make, at every station."""
    slowest = max(one.time.middle_s / one.people for one in line.stations)
    return PIECE_S * len(line.stations) * 3600 * hours / slowest


def _at_once(line: Line, hours: float) -> int:
    return int(min(max(FIRST_ANSWER_S / seconds_of_a_run(line, hours), 2), FIRST_RUNS))


def _pilots(programme: Programme, kept: KeptLine) -> tuple[str, ...]:
    return tuple(one.name for one in pilots_of(programme) if one.line_id == kept.pk)


def _cycles(kept: KeptLine, pilot: str) -> PilotCycles:
    """The cycles that were timed in a pilot, of the files that count."""
    if not pilot:
        return PilotCycles()
    found = find_pilot(kept, pilot)
    rows = ((one.station.number, one.task_id, one.time_s) for one in pilot_times(found))
    return cycles_by_place(found.name, rows)


def _station(one: StationBuilt, done: LineSimulated) -> StationRun:
    levels = {level.item: level for level in done.stores if level.station == one.name}
    return StationRun(
        number=one.work.number,
        name=one.name,
        people=one.work.people,
        two_sided=one.work.two_sided,
        tasks=one.work.tasks,
        time_s=one.time.time.middle_s,
        spread_s=one.time.spread_s,
        time_from=one.time.words,
        shares=next(place for place in done.places if place.name == one.name),
        limits=is_limit(one.name, done),
        before=tuple(
            WaitsBefore(
                item=intake.item,
                is_part=intake.item not in one.takes_from,
                places=intake.places,
                assumed=places_are_assumed(one) and intake.item in one.takes_from,
                cure_s=intake.cure_s,
                level=levels[intake.item],
            )
            for intake in one.given.takes
        ),
    )


def _presses(built: LineBuilt, done: LineSimulated) -> list[PressRun]:
    return [
        PressRun(
            name=press.name,
            parts=tuple(dict.fromkeys(cavity.part.removeprefix("part ") for cavity in press.cavities)),
            cycle_s=press.cycle.middle_s,
            shares=next(place for place in done.places if place.name == press.name),
            limits=is_limit(press.name, done),
        )
        for press in built.line.presses
    ]

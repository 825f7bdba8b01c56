"""What cannot be is refused by the name of the station, before anything is run."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from offtool.core.pilot.simulation import (
    Addition,
    Arrivals,
    Break,
    Intake,
    Learning,
    Line,
    More,
    MouldingPress,
    PressCavity,
    RandomTime,
    Stoppage,
    TimeShape,
    constant_time,
    simulate_line,
    what_more_gives,
)
from offtool.core.values import ImpossibleInput
from tests.core.pilot.simulation.lines import MEAN_S, station

FIRST = station("mould", endless=True)
SECOND = station("paint", takes=(Intake(item="mould", places=2),))
GOOD = Line(stations=(FIRST, SECOND))
ARM = PressCavity(label="1", part="arm")
TAKES_ARM = station("trim", takes=(Intake(item="arm", places=2),))


def second(**changed: Any) -> Line:
    return replace(GOOD, stations=(FIRST, replace(SECOND, **changed)))


def moulded(**changed: Any) -> Line:
    press = MouldingPress(name="P1", cycle=constant_time(20), cavities=(ARM,))
    return Line(stations=(TAKES_ARM,), presses=(replace(press, **changed),))


BAD = {
    "no station": (Line(stations=()), "a line needs a station"),
    "a blank name": (second(name=" "), "a station needs a name"),
    "a name twice": (second(name="mould"), "name = mould: stands 2 times"),
    "no people": (second(people=0), "paint: people = 0: must be at least 1; put someone there"),
    "half a person": (second(people=1.5), "paint: people = 1.5: must be a whole number"),
    "a crowd": (second(people=1000), "paint: people = 1000: must be at most 200"),
    "a share over 1": (second(fails=1.2), "paint: fails = 1.2: must be below 1; give it as a share"),
    "all fail": (second(fails=1), "paint: fails = 1: must be below 1: nothing would ever pass"),
    "a negative share": (second(fails=-0.1), "paint: fails = -0.1: must be at least 0"),
    "no time": (second(time=constant_time(0)), "paint, time: mean_s = 0.0 s: must be above 0"),
    "a time that is no number": (second(time=constant_time(float("nan"))), "must be a finite number"),
    "a spread of a constant": (
        second(time=RandomTime(shape=TimeShape.CONSTANT, mean_s=9, spread_s=1)),
        "paint, time: spread_s = 1 s: must be left out",
    ),
    "measured without readings": (
        second(time=RandomTime(shape=TimeShape.MEASURED)),
        "paint, time: readings_s = none: must hold at least one time",
    ),
    "a measured time of nothing": (
        second(time=RandomTime(shape=TimeShape.MEASURED, readings_s=(4.0, 0.0))),
        "paint, time: readings_s = 0.0 s: must be above 0",
    ),
    "readings that nobody uses": (
        second(time=RandomTime(shape=TimeShape.GAMMA, mean_s=4, readings_s=(4.0,))),
        "has no use for readings",
    ),
    "a negative buffer": (
        second(takes=(Intake(item="mould", places=-1),)),
        "paint: places for mould = -1: must be at least 0",
    ),
    "a cure without a rack": (
        second(takes=(Intake(item="mould", places=0, cure_s=60),)),
        "paint: places for mould = 0: must be at least 1: a piece that cures needs a place",
    ),
    "a negative cure": (second(takes=(Intake(item="mould", places=1, cure_s=-60),)), "cure_s of mould = -60"),
    "a plan of nothing": (replace(GOOD, planned_per_h=0.0), "planned_per_h = 0.0 pieces/h: must be above 0"),
    "rework to nowhere": (
        second(fails=0.1, rework_to="pain", rounds=1),
        "paint: rework_to = pain: is no station; did you mean 'paint'",
    ),
    "rework without rounds": (second(fails=0.1, rework_to="paint"), "paint: rounds = 0: must be at least 1"),
    "rounds without rework": (second(fails=0.1, rounds=2), "paint: rework_to = blank: must name a station"),
    "nothing comes": (second(takes=()), "paint: takes = nothing: nothing would ever come to it"),
    "endless and taking": (second(endless=True), "paint: takes = mould: must take nothing"),
    "an item that nobody gives": (
        second(takes=(Intake(item="mold", places=1),)),
        "paint: takes = mold: nobody gives it; did you mean 'mould'",
    ),
    "two takers": (
        replace(GOOD, stations=(*GOOD.stations, replace(SECOND, name="pack"))),
        "paint: takes = mould: is taken by more than one station",
    ),
    "two finished items": (
        replace(GOOD, stations=(*GOOD.stations, station("lost", endless=True))),
        "finished item = lost, paint: must be one item",
    ),
    "stations that wait for each other": (
        replace(
            GOOD,
            stations=(
                FIRST,
                replace(SECOND, takes=(*SECOND.takes, Intake(item="dry", places=1)), gives="wet"),
                station("dry", takes=(Intake(item="wet", places=1),), gives="dry"),
                station("pack", endless=True),
            ),
        ),
        "stations = paint → dry → paint: wait for each other: no piece can begin",
    ),
    "no fixture": (second(fixtures=0), "paint: fixtures = 0: must be at least 1"),
    "a stoppage of no time": (
        second(stoppage=Stoppage(works_s=constant_time(60), stands_s=constant_time(0))),
        "paint, stands: mean_s = 0.0 s: must be above 0",
    ),
    "a learning rate that is no share": (
        second(learning=Learning(rate=80, time_of_piece=1)),
        "paint: learning rate = 80: must be at least 0.5 and at most 1",
    ),
    "learning from piece 0": (
        second(learning=Learning(rate=0.8, time_of_piece=0)),
        "paint: time_of_piece = 0: must be at least 1",
    ),
    "a press without cavities": (moulded(cavities=()), "P1: cavities = none: a press needs a cavity"),
    "a cavity that gives no good part": (
        moulded(cavities=(replace(ARM, rejects=1),)),
        "P1, cavity 1: rejects = 1: must be below 1",
    ),
    "a part that nobody takes": (
        moulded(cavities=(ARM, PressCavity(label="2", part="leg"))),
        "P1, cavity 2: part = leg: no station takes it",
    ),
    "a press without a cycle": (
        moulded(cycle=constant_time(-1)),
        "P1, cycle: mean_s = -1.0 s: must be above 0",
    ),
    "arrivals that nobody takes": (
        replace(GOOD, arrivals=(Arrivals(item="box", every=constant_time(9)),)),
        "arrivals = box: no station takes it",
    ),
    "a break backwards": (
        replace(GOOD, breaks=(Break(begins_h=2, ends_h=1),)),
        "break at all stations: ends_h = 1 h",
    ),
    "a break of nobody": (
        replace(GOOD, breaks=(Break(begins_h=1, ends_h=2, station="weld"),)),
        "break: station = weld: is no station",
    ),
    "a break all the time": (replace(GOOD, breaks=(Break(begins_h=0, ends_h=9),)), "everyone is on a break"),
}  # fmt: skip


@pytest.mark.parametrize(("line", "said"), BAD.values(), ids=BAD)
def test_a_line_that_cannot_be_is_refused_by_name(line: Line, said: str) -> None:
    with pytest.raises(ImpossibleInput, match=re.escape(said)):
        simulate_line(line, hours=1, runs=1)


def test_the_good_lines_beside_them_run() -> None:
    assert simulate_line(GOOD, hours=1, runs=1).good.value > 0
    assert simulate_line(moulded(), hours=1, runs=1).good.value > 0
    rack = second(takes=(Intake(item="mould", places=10, cure_s=600),))
    assert simulate_line(replace(rack, planned_per_h=60.0), hours=1, runs=1).good.value > 0


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"hours": 0}, "hours = 0.0 h: must be above 0"),
        ({"runs": 0}, "runs = 0.0: must be at least 1"),
        ({"confidence": 1}, "confidence = 1.0: must be below 1"),
        ({"seed": -1}, "seed = -1: must be at least 0"),
        ({"warm_up_h": 1}, "warm_up_h = 1 h: must be at least 0 and below the 1 h of the run"),
    ],
)
def test_what_is_asked_of_the_runs_is_checked(asked: dict[str, Any], said: str) -> None:
    with pytest.raises(ImpossibleInput, match=said):
        simulate_line(GOOD, **{"hours": 1, "runs": 1, **asked})


@pytest.mark.parametrize(
    ("addition", "said"),
    [
        (Addition(more=More.PERSON, station="pack"), "addition: station = pack: is no station"),
        (Addition(more=More.PLACE, station="paint", item="arm"), "paint: item = arm: is no item"),
        (Addition(more=More.FIXTURE, station="paint"), "paint: fixtures = blank: has no counted fixtures"),
    ],
)
def test_an_addition_to_what_is_not_there_is_refused(addition: Addition, said: str) -> None:
    with pytest.raises(ImpossibleInput, match=said):
        what_more_gives(GOOD, [addition], hours=1, runs=2)


def test_one_run_compares_nothing() -> None:
    with pytest.raises(ImpossibleInput, match="must be at least 2 to compare"):
        what_more_gives(GOOD, [Addition(more=More.PERSON, station="paint")], hours=1, runs=1)


def test_a_run_too_short_for_a_piece_says_so_and_does_not_divide_by_nothing() -> None:
    found = simulate_line(GOOD, hours=MEAN_S / 2 / 3600, runs=2)
    assert found.words == "no good piece comes off the line in that time"
    assert found.good.value == 0
    assert found.time_inside_s is None
    assert found.scrap_share is None


def test_few_watched_times_and_times_without_spread_are_cautioned() -> None:
    few = RandomTime(shape=TimeShape.MEASURED, readings_s=(9.0, 10.0, 12.0))
    said = " ".join(str(one) for one in simulate_line(second(time=few), hours=1, runs=3).cautions)
    assert "fewer than 10 times were taken at paint (3)" in said
    assert "3 runs: the intervals are wide" in said
    assert "reach past a guard" in said
    said = " ".join(str(one) for one in simulate_line(GOOD, hours=1, runs=3).cautions)
    assert "every time is constant" in said

"""A line of the record that is run: what it makes, what limits it, what is not written down, what pays."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime
from math import sqrt

import pytest

from offtool.core.pilot.simulation import Estimated, TimeShape, simulate_line
from offtool.core.values import ImpossibleInput, Interval, NotEnoughData, Verdict
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line, Programme
from offtool.records.operations import (
    NewPilotTime,
    define_break,
    define_line,
    define_line_press,
    define_pilot,
    keep_pilot_file,
)
from offtool.records.operations.tested import FileOfTest
from offtool.records.queries import stations_of
from offtool.records.queries.finding import NotInRecord
from offtool.reports.line_run_words import estimated_percent, people_in_words
from offtool.steps.findings import Fact
from offtool.steps.line_run_found import LineRunFound
from offtool.steps.line_run_sentences import pieces_between
from offtool.steps.line_run_times import HAND_WORK_SCATTERS
from offtool.steps.plain import as_plain
from offtool.steps.run_line import plan_line_run, run_line
from offtool.steps.what_more import addition_in_words, additions_to
from tests.labels import independent, practice
from tests.steps.clip import make_clip
from tests.steps.run_lines import LINE, SLUG, a_line

pytestmark = pytest.mark.django_db


def about(found: LineRunFound) -> dict[str, str]:
    return {one.about: one.says for one in found.unsaid}


def test_the_slowest_of_constant_times_sets_the_pace_and_is_named() -> None:
    a_line([20, 30, 24], planned_per_h=125.0)
    found = run_line(SLUG, runs=2)
    assert found.simulated.per_h.value == independent(
        3600 / 30, way="an hour over the slowest time", rel=0.01
    )
    assert found.simulated.limited_by == ("s2",)
    assert found.verdict is Verdict.FAILS
    assert "not the 125 planned: s2 limits it." in found.headline
    assert [one.limits for one in found.stations] == [False, True, False]
    first, second, third = (one.shares for one in found.stations)
    assert second.busy.value == independent(1.0, way="the slowest never waits", rel=0.01)
    assert first.blocked.value == independent(1 - 20 / 30, way="the rest of the slowest cycle", rel=0.02)
    assert third.starved.value == independent(1 - 24 / 30, way="the rest of the slowest cycle", rel=0.02)


@pytest.mark.parametrize(("planned", "verdict"), [(110.0, Verdict.HOLDS), (None, None)])
def test_a_plan_is_judged_only_where_there_is_one(planned: float | None, verdict: Verdict | None) -> None:
    a_line([20, 30], planned_per_h=planned)
    found = run_line(SLUG, LINE, runs=2)
    assert found.verdict is verdict
    assert ("reaches the 110 planned" in found.headline) is (planned is not None)


def test_two_stations_build_a_third_and_each_gives_one_of_its_own() -> None:
    a_line([20, 36, 10], after={3: (1, 2)})
    found = run_line(SLUG, runs=2)
    assert [tuple(one.item for one in station.before) for station in found.stations] == [(), (), ("s1", "s2")]
    assert found.simulated.per_h.value == independent(100.0, way="the slower of two branches", rel=0.01)
    counts = found.simulated.counts
    assert counts.came == counts.joined + counts.good + counts.scrapped + counts.inside
    assert counts.joined >= counts.good


def test_people_share_a_station_and_two_who_face_each_other_share_a_piece() -> None:
    a_line([20, 60], stations={2: {"people": 3}})
    assert run_line(SLUG, runs=2).simulated.per_h.value == independent(
        180.0, way="three people, a piece each: both stations take 20 s", rel=0.01
    )
    Programme.objects.all().delete()
    line = a_line([20, 24], stations={1: {"people": 2, "two_sided": True}})
    line.tasks.filter(name="t1").update(side="left")
    first = line.tasks.get(name="t1")
    line.tasks.create(
        name="other side",
        ordinal=9,
        time_s=40,
        spread_s=0,
        readings=10,
        side="right",
        placed_at=first.placed_at,
    )
    found = run_line(SLUG, runs=2)
    assert found.simulated.per_h.value == independent(90.0, way="the side that takes 40 s", rel=0.01)
    assert "two facing each other" in people_in_words(found.stations[0])


def test_pieces_inside_are_rate_times_time_inside() -> None:
    a_line([20, 22, 24], tasks={"spread_s": 4.0}, hours_per_day=20.0)
    done = run_line(SLUG, runs=8).simulated
    assert done.time_inside_s is not None
    little = done.per_h.value / 3600 * done.time_inside_s.value
    assert done.inside.value == independent(little, way="Little's law", rel=0.01)


def test_more_room_between_stations_never_makes_less() -> None:
    line = a_line([20, 20, 20], tasks={"spread_s": 8.0})
    rates = []
    for places in (1, 3, 9):
        for station in stations_of(line):
            station.places = places
            station.save()
        rates.append(run_line(SLUG, runs=6).simulated.per_h.value)
    assert rates == sorted(rates)


def test_breaks_of_all_are_no_hours_worked_and_breaks_of_a_station_are() -> None:
    line = a_line([20, 30])
    define_break(line, 1.0, 2.0, made_by="tester")
    found = run_line(SLUG, runs=2)
    assert found.simulated.per_h.value == independent(120.0, way="per hour worked", rel=0.01)
    assert found.simulated.good.value == independent(360.0, way="three hours of 120", rel=0.01)
    define_break(line, 3.0, 4.0, station=stations_of(line)[1], made_by="tester")
    assert run_line(SLUG, runs=2).simulated.good.value == independent(240.0, way="two hours", rel=0.02)


def test_what_fails_is_reworked_once_or_is_scrap() -> None:
    a_line([20, 10, 10], stations={2: {"fails": 0.2}}, hours_per_day=20.0)
    found = run_line(SLUG, runs=6).simulated
    assert found.scrap_share is not None
    assert found.scrap_share.value == independent(0.2, way="the share that fails", rel=0.06)


def test_rework_without_a_number_of_rounds_is_done_once_and_said() -> None:
    a_line([20, 10, 10], stations={2: {"fails": 0.2, "rework_to": 2}}, hours_per_day=20.0)
    found = run_line(SLUG, runs=6)
    assert found.simulated.scrap_share is not None
    assert found.simulated.scrap_share.value == independent(0.04, way="fails twice", rel=0.15)
    assert "s2 may send a piece back" in about(found)["rework"]


def test_a_stop_costs_what_its_mean_times_say() -> None:
    a_line([20], stations={1: {"works_s": 540, "stands_s": 60}})
    found = run_line(SLUG, hours=40.0, runs=8)
    assert found.simulated.per_h.value == independent(162.0, way="availability 0.9", rel=0.02)
    assert "stoppages" not in about(found)


def test_a_rack_that_is_short_limits_the_line_and_says_what_it_needs() -> None:
    a_line([20, 10], stations={2: {"cure_s": 600, "places": 20}}, planned_per_h=150.0)
    found = run_line(SLUG, runs=2)
    assert found.simulated.per_h.value == independent(120.0, way="places over the cure", rel=0.02)
    assert "the rack before s2 limits it" in found.headline
    assert any("Give the rack before s2 more places" in one.do for one in found.actions)
    assert any("it needs 25 places" in str(one) for one in found.cautions)


def test_what_is_not_written_down_is_named_with_what_was_taken() -> None:
    a_line(
        [20, 24],
        stations={2: {"places": None}},
        tasks={"spread_s": None, "readings": 0},
        hours_per_day=None,
    )
    said = about(run_line(SLUG, runs=2))
    assert said["stoppages"].startswith("none are written down for any of 2 stations")
    assert "before s2: one a person is taken" in said["places"]
    assert f"{100 * HAND_WORK_SCATTERS:.0f} % of the time" in said["spread of times"]
    assert practice("0.2") == HAND_WORK_SCATTERS
    assert said["times"] == "estimated, not timed: t1 and t2"
    assert {"pieces that fail", "moulding", "hours a day", "breaks"} <= said.keys()


def test_spreads_of_tasks_add_up_as_variances() -> None:
    a_line([20, 24], tasks={"spread_s": 3.0})
    planned = plan_line_run(SLUG)
    assert planned.built.stations[0].given.time.spread_s == 3.0
    line = Line.objects.get()
    for task in line.tasks.all():
        task.placed_at = stations_of(line)[0]
        task.save()
    (one,) = plan_line_run(SLUG).built.stations
    assert one.given.time.spread_s == independent(sqrt(18), way="independent times", rel=1e-9)
    assert one.given.time.mean_s == 44


def test_nests_stay_and_fixtures_beyond_the_people_go_round() -> None:
    a_line([20, 10], stations={1: {"fixtures": 1}})
    assert plan_line_run(SLUG).built.line.stations[0].fixtures is None
    Programme.objects.all().delete()
    a_line([20, 10], stations={1: {"fixtures": 4}})
    assert plan_line_run(SLUG).built.line.stations[0].fixtures == 4


def words_tried(**first: object) -> list[str]:
    """What is tried more of at the first station."""
    a_line([20, 10], stations={1: first})
    planned = plan_line_run(SLUG, more=True)
    station = planned.built.stations[0]
    return [
        addition_in_words(one, station) for one in additions_to(planned.built.line) if one.station == "s1"
    ]


@pytest.mark.parametrize(
    ("first", "tried"),
    [
        ({}, ["one more person at s1"]),
        ({"fixtures": 1}, ["one more person at s1, who needs another fixture"]),
        ({"people": 2, "fixtures": 1}, ["one more fixture at s1"]),
        ({"fixtures": 3}, ["one more person at s1", "one more fixture at s1"]),
    ],
)
def test_who_works_in_a_nest_of_their_own_is_not_added_without_one(
    first: dict[str, object], tried: list[str]
) -> None:
    assert words_tried(**first) == tried


def test_one_more_who_works_with_a_machine_needs_another_of_it() -> None:
    line = a_line([20, 30])
    welder = line.equipment.create(name="welder")
    line.tasks.get(name="t2").needs.create(equipment=welder)
    words = {one.words for one in run_line(SLUG, runs=2, more=True).more}
    assert "one more person at s2, who needs another welder" in words
    assert "one more person at s1" in words


def test_a_longer_run_has_the_breaks_of_each_day() -> None:
    line = a_line([20, 30])
    define_break(line, 1.0, 2.0, made_by="tester")
    found = run_line(SLUG, hours=12.0, runs=2).simulated
    assert found.good.value == independent(1080.0, way="three days of three hours of 120", rel=0.01)
    begun = [one.begins_h for one in plan_line_run(SLUG, hours=9.0).built.line.breaks]
    assert begun == [1.0, 5.0, 9.0]
    assert [one.begins_h for one in plan_line_run(SLUG).built.line.breaks] == [1.0]


@pytest.mark.parametrize("hours", [0.0, -1.0, float("nan"), 1e9])
def test_hours_that_cannot_be_are_refused_and_not_replaced(hours: float) -> None:
    a_line([20, 30])
    with pytest.raises(ImpossibleInput, match="hours"):
        run_line(SLUG, hours=hours, runs=2)


@pytest.mark.parametrize(
    ("people", "says"),
    [
        (None, "2 at the stations; how many are at hand is not written down"),
        (2, "2 at the stations, 2 at hand"),
        (3, "2 at the stations, 3 at hand: 1 free"),
        (1, "2 at the stations, 1 at hand: 1 is missing"),
    ],
)
def test_people_at_the_stations_stand_beside_those_at_hand(people: int | None, says: str) -> None:
    a_line([20, 30], people=people)
    assert Fact(about="people", says=says) in run_line(SLUG, runs=2).rests_on


def test_a_run_too_short_for_a_piece_asks_for_nothing_at_a_limit() -> None:
    a_line([20, 30], planned_per_h=100.0)
    found = run_line(SLUG, hours=0.005, runs=2)
    assert found.headline == "No good piece comes off the line in 0.005 h."
    assert not [one for one in found.actions if "shorten" in one.do.casefold()]


def test_a_press_feeds_the_task_of_its_part_and_limits_a_line_that_waits_for_it() -> None:
    clip = make_clip()
    line = define_line(clip, "clips", {"hours_per_day": 8.0}, made_by="tester")
    tool = clip.tools.get()
    part = tool.cavities.all()[0].part
    line.tasks.create(name="trim", ordinal=0, time_s=10, spread_s=0, readings=10, part=part,
                      placed_at=line.stations.create(number=1))  # fmt: skip
    cavities = tool.cavities.filter(part=part).count()
    define_line_press(line, tool, {"cycle_s": 20.0 * cavities}, made_by="tester")
    found = run_line(clip.slug, runs=2)
    assert found.simulated.per_h.value == independent(180.0, way="a part each 20 s", rel=0.01)
    assert found.simulated.limited_by == (f"tool {tool.code}",)
    assert found.presses[0].parts == (part.code,)
    line.presses.update(cycle_s=4.0 * cavities)
    found = run_line(clip.slug, runs=2)
    assert found.simulated.per_h.value == independent(360.0, way="the trimmer", rel=0.01)
    assert found.simulated.limited_by == ("station 1",)
    assert found.presses[0].shares.needed.value == independent(0.4, way="4 s of 10 s", rel=0.02)


def test_one_more_of_each_thing_is_ranked_and_the_one_that_pays_comes_first() -> None:
    a_line([20, 30, 20], tasks={"spread_s": 5.0}, planned_per_h=130.0)
    found = run_line(SLUG, runs=8, more=True)
    best = found.more[0]
    assert best.words == "one more person at s2"
    assert best.shown is Verdict.HOLDS
    assert best.reaches_plan is Verdict.HOLDS
    assert found.actions[0].do == "Add one more person at s2."
    assert "reaches the 130 planned" in found.actions[0].because
    gains = [one.gain_per_h.value for one in found.more]
    assert gains == sorted(gains, reverse=True)
    words = {one.words for one in found.more}
    assert {"one more person at s1", "one more place between s1 and s2"} <= words
    assert len(found.more) == 3 + 2


def pilot_of(line: Line, times: dict[int, list[float]]) -> None:
    pilot = define_pilot(line, "P1", {"ran_on": date(2026, 3, 1)}, made_by="tester", trials=[])
    stations = {one.number: one for one in stations_of(line)}
    rows = [
        NewPilotTime(station=stations[number], time_s=time, row=100 * number + i)
        for number, taken in times.items()
        for i, time in enumerate(taken)
    ]
    file = FileOfTest(
        name="times", done_on=date(2026, 3, 1), note="", file_name="times.csv", content=b"times"
    )
    keep_pilot_file(
        pilot, PilotFileKind.TIMES, file, rows, read_at=datetime(2026, 3, 1, tzinfo=UTC), read_by="tester"
    )


def test_cycles_of_a_pilot_take_the_place_of_times_where_there_are_enough() -> None:
    line = a_line([20, 30, 20])
    pilot_of(line, {1: [39.0, 41.0] * 5, 2: [35.0, 36.0, 37.0], 3: [90.0]})
    found = run_line(SLUG, runs=2)
    assert found.pilots == ("P1",)
    assert "s2 limits it" in found.headline
    found = run_line(SLUG, runs=6, pilot="P1")
    assert [one.time_s for one in found.stations] == pytest.approx([40, 36, 20])
    shapes = [one.given.time.shape for one in plan_line_run(SLUG, pilot="P1").built.stations]
    assert shapes == [TimeShape.MEASURED, TimeShape.LOGNORMAL, TimeShape.CONSTANT]
    assert found.simulated.per_h.value == independent(90.0, way="40 s a piece", rel=0.02)
    assert found.stations[0].time_from == "10 cycles of pilot P1"
    with pytest.raises(NotInRecord, match="no pilot 'P2'"):
        run_line(SLUG, pilot="P2")


def test_the_step_gives_what_the_core_gives_and_the_same_seed_the_same_on_threads() -> None:
    a_line([20, 22], tasks={"spread_s": 4.0})
    found = run_line(SLUG, runs=6, seed=3)
    assert found.simulated == simulate_line(plan_line_run(SLUG).built.line, hours=4.0, runs=6, seed=3)
    with ThreadPoolExecutor(2) as threads:
        assert run_line(SLUG, runs=6, seed=3, executor=threads) == found
    assert run_line(SLUG, runs=6, seed=4).simulated.per_h != found.simulated.per_h
    assert as_plain(found)["simulated"]["seed"] == 3


def test_a_key_changes_with_the_line_and_the_settings_and_with_nothing_else() -> None:
    line = a_line([20, 22])
    key = plan_line_run(SLUG, runs=10).key
    assert plan_line_run(SLUG, runs=10).key == key
    assert plan_line_run(SLUG, runs=11).key != key
    line.tasks.filter(name="t1").update(time_s=21)
    assert plan_line_run(SLUG, runs=10).key != key


def test_a_line_without_tasks_and_a_programme_without_lines_say_what_comes_first() -> None:
    programme = Programme.objects.create(slug=SLUG, title="Kite")
    with pytest.raises(NotInRecord, match="has no line"):
        run_line(SLUG)
    define_line(programme, LINE, {}, made_by="tester")
    with pytest.raises(NotEnoughData):
        run_line(SLUG)


def test_no_share_is_told_above_all_of_it_and_no_rate_below_nothing() -> None:
    """Student's interval of two runs knows no ends."""
    wide = Interval(low=-0.2, high=1.3, confidence=0.95)
    assert estimated_percent(Estimated(value=0.9, interval=wide, count=2)) == "90 % (0 to 100 %)"
    assert pieces_between(Interval(low=-36.9, high=314.0, confidence=0.95)) == "(0 to 314)"

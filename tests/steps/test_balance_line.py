"""A line through the record: the balance's own answer, every line there is, verdicts, what was adopted."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from offtool.core.pilot.balance import best_rate, best_rate_of_people, fewest_stations, timed_rate
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError, Verdict
from offtool.records.models import LineStation, LineTask, Programme
from offtool.records.operations import NewLineTask
from offtool.records.queries import find_line, find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.balance_line import balance_line
from offtool.steps.define_line import adopt, remove_station
from offtool.steps.line_in_record import line_as_worked, line_given, stations_for, stations_with_tasks
from offtool.steps.line_words import share_over_in_words
from tests.core.pilot.balance import every_line
from tests.labels import independent
from tests.steps.lined import LINE, ONE_EACH, SLUG, TASKS, make_line, name_station

pytestmark = pytest.mark.django_db
WAY = "all lines, one after the other"


def places_of(found: object) -> dict[str, int]:
    return {placed.task: load.station for load in found.stations for placed in load.tasks}  # type: ignore[attr-defined]


def test_the_plan_is_asked_and_the_answer_is_that_of_the_balance() -> None:
    given = line_given(make_line())
    found = balance_line(SLUG)
    core = fewest_stations(given, rate_per_h=120.0, seconds=3.0)
    assert found.proposal is not None
    assert (found.proposal.value, found.proposal.bound, found.proposal.is_proved) == (
        core.value,
        core.bound,
        core.is_proved,
    )
    assert found.proposal_timed == timed_rate(found.proposal)
    assert found.needed_per_h == 120.0


def test_the_fewest_stations_are_those_of_every_line_there_is() -> None:
    given = line_given(make_line())
    found = balance_line(SLUG).proposal
    assert found is not None
    assert found.value == every_line.fewest_stations(given, Fraction(30), 5)
    least = every_line.least_cycle(given, 3)
    assert least is not None
    asked = balance_line(SLUG, stations=3).proposal
    assert asked is not None
    assert asked.value == independent(float(least), way=WAY)


def test_every_question_is_answered_by_its_own_balance() -> None:
    given = line_given(make_line())
    by_people = balance_line(SLUG, people=4).proposal
    both = balance_line(SLUG, people=5, stations=3).proposal
    assert by_people is not None
    assert both is not None
    assert by_people.value == best_rate(given, stations=4).value
    assert both.value == best_rate_of_people(given, people=5, stations=3).value


def test_pieces_that_are_lost_make_more_enter() -> None:
    make_line(planned_final_yield=0.96)
    found = balance_line(SLUG)
    assert found.needed_per_h == independent(125.0, way="120 / 0.96 by hand")
    assert "125 started" in found.headline


def test_without_rate_or_people_nothing_is_assumed() -> None:
    make_line(planned_per_h=None, people=None)
    found = balance_line(SLUG)
    assert found.proposal is None
    assert found.verdict is Verdict.NOT_SHOWN
    assert "say how many pieces an hour are planned" in found.headline
    with pytest.raises(NotEnoughData, match="neither a planned rate nor people"):
        line_as_worked(find_line(find_programme(SLUG)))


def test_without_a_rate_the_people_at_hand_are_asked() -> None:
    given = line_given(make_line(planned_per_h=None, people=4))
    found = balance_line(SLUG)
    assert found.proposal is not None
    assert found.proposal.value == best_rate(given, stations=4).value
    assert "people at hand" in found.means


def test_a_programme_without_a_line_and_a_line_without_tasks_say_what_to_do_first() -> None:
    Programme.objects.create(slug="bare", title="Bare")
    assert "begin with its tasks" in balance_line("bare").headline
    make_line(tasks=())
    found = balance_line(SLUG)
    assert "has no task yet" in found.headline
    assert found.actions[0].leads_to == "read"


def test_what_cannot_be_is_named_by_its_task() -> None:
    make_line(planned_per_h=240.0)
    found = balance_line(SLUG)
    assert found.proposal is None
    assert found.verdict is Verdict.FAILS
    assert "the time of weld, 18 s, must be at most the cycle, 15 s" in found.headline


@pytest.mark.parametrize(
    "asked",
    [
        {"rate_per_h": 0.0},
        {"stations": 0},
        {"people": 0},
        {"seconds": 61.0},
        {"rate_per_h": 90.0, "people": 3},
    ],
)
def test_a_question_that_cannot_be_is_refused(asked: dict[str, float]) -> None:
    make_line()
    with pytest.raises(ImpossibleInput):
        balance_line(SLUG, **asked)  # type: ignore[arg-type]


def test_an_unknown_line_is_named() -> None:
    make_line()
    with pytest.raises(NotInRecord, match="no line 'boot line'"):
        balance_line(SLUG, "boot line")


def test_a_task_that_is_an_estimate_leaves_the_verdict_open() -> None:
    make_line((*TASKS[:-1], replace(TASKS[-1], readings=0)), planned_per_h=100.0)
    found = balance_line(SLUG)
    assert found.verdict is Verdict.NOT_SHOWN
    assert any(one.do == "Time pack." for one in found.actions)


def test_a_plan_well_below_what_is_timed_holds_and_one_inside_the_interval_is_not_shown() -> None:
    line = make_line(planned_per_h=80.0, people=6)
    adopt(SLUG, LINE, ONE_EACH, by="x")
    sure = balance_line(SLUG)
    assert sure.verdict is Verdict.HOLDS  # the slowest station takes 18 s: 200 an hour
    line.planned_per_h = 199.0
    line.save()
    near = balance_line(SLUG)
    assert near.verdict is Verdict.NOT_SHOWN
    assert any("timed too little" in one.text for one in near.cautions)


def test_more_people_than_are_at_hand_fail_the_plan_and_what_those_make_is_said() -> None:
    make_line(planned_per_h=200.0, people=4)
    found = balance_line(SLUG)
    assert found.verdict is Verdict.FAILS
    assert found.with_people_at_hand is not None
    assert found.with_people_at_hand.people == 4
    assert any(one.do.startswith("Find ") for one in found.actions)


def test_adopted_places_are_kept_and_compared_with_the_proposal() -> None:
    make_line()
    assert adopt(SLUG, LINE, ONE_EACH, by="Kim") == "7 tasks of boat line are adopted at 6 stations."
    found = balance_line(SLUG)
    assert found.is_adopted
    assert found.adopted is not None
    assert places_of(found.adopted) == ONE_EACH
    assert found.adopted.slowest.busy_s == 18.0
    assert found.headline.startswith("As adopted, 6 stations and 6 people make 200 an hour")
    assert found.proposal is not None
    assert {one.task: one.now for one in found.moved} == {
        task: at for task, at in places_of(found.proposal).items() if ONE_EACH[task] != at
    }
    assert any("fewer for the plan" in one.because for one in found.actions)


def test_the_idle_time_of_an_adopted_line_counts_against_the_plan() -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    adopted = balance_line(SLUG).adopted
    assert adopted is not None
    assert [one.idle_s for one in adopted.stations] == [18, 12, 14, 14, 16, 19]  # of 30 s


@pytest.mark.parametrize(
    ("places", "said"),
    [
        ({**ONE_EACH, "clip": 3}, "the station of weld, 2, must be at least 3, where clip is done"),
        ({"clip": 1}, "have no place"),
        ({**ONE_EACH, "paint": 1}, "no task 'paint'"),
    ],
)
def test_places_that_cannot_be_are_refused_and_nothing_is_kept(places: dict[str, int], said: str) -> None:
    make_line()
    with pytest.raises(OfftoolError, match=said):
        adopt(SLUG, LINE, places, by="x")
    assert not LineTask.objects.exclude(placed_at=None).exists()


def test_places_that_came_to_break_a_rule_are_said() -> None:
    line = make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    LineTask.objects.filter(line=line, name="clip").update(
        placed_at=LineStation.objects.get(line=line, number=5)
    )
    found = balance_line(SLUG)
    assert found.adopted is None
    assert "must be at least 5" in found.why_not_adopted
    assert found.actions[0].do == "Adopt other places."


def test_the_line_as_worked_has_the_adopted_stations_with_names_times_and_what_comes_before() -> None:
    line = make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    name_station(line, 3, name="bench", people=2)
    worked = line_as_worked(line)
    assert worked.is_adopted
    bench = worked.stations[2]
    assert (bench.number, bench.name, bench.people, bench.work_s, bench.busy_s) == (3, "bench", 2, 16.0, 8.0)
    assert bench.spread_s == independent((0.9**2 + 0.8**2) ** 0.5, way="sum of variances by hand")
    assert bench.before == (2,)
    assert worked.stations[5].before == (3, 4, 5)
    assert worked.stations[0].name == "station 1"
    assert {task for one in worked.stations for task in one.tasks} == set(ONE_EACH)


def test_the_line_as_worked_is_the_balance_until_places_are_adopted() -> None:
    line = make_line((*TASKS[:-1], replace(TASKS[-1], spread_s=None, readings=0)))
    worked = line_as_worked(line)
    assert not worked.is_adopted
    assert "no places were adopted" in worked.why
    last = next(one for one in worked.stations if "pack" in one.tasks)
    assert (last.spread_s, last.readings) == (None, 0)
    assert (last.estimated, last.spread_unknown) == (("pack",), ("pack",))


def test_stations_are_filled_with_people_as_the_line_says() -> None:
    line = make_line()
    name_station(line, 2, people=3)
    given = line_given(line)
    assert [stations_for(given, n) for n in (0, 1, 3, 4, 5)] == [0, 1, 1, 2, 3]


def test_pairs_fixed_stations_sides_and_equipment_reach_the_balance() -> None:
    tasks = (
        NewLineTask(name="a", time_s=5.0, together=("b",), fixed_station=2),
        NewLineTask(name="b", time_s=5.0, apart=("c",)),
        NewLineTask(name="c", time_s=5.0, needs=("welder",)),
    )
    line = make_line(tasks, two_sided=True)
    given = line_given(line)
    a, b, c = given.tasks
    assert (a.together, a.station, b.apart, c.equipment) == (("b",), 2, ("c",), ("welder",))
    assert given.two_sided
    assert {one.equipment: one.at_most for one in given.equipment} == {"welder": 1, "printer": None}


def test_people_who_are_shared_out_are_adopted_with_the_places() -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    found = balance_line(SLUG, people=5, stations=3)
    proposal = found.proposal
    assert proposal is not None
    assert [(one.station, one.was, one.now) for one in found.manned] == [
        (one.station, 1, one.people) for one in proposal.stations if one.people != 1
    ]
    assert found.manned
    places = {placed.task: load.station for load in proposal.stations for placed in load.tasks}
    people = {one.station: one.now for one in found.manned}
    done = adopt(SLUG, LINE, places, by="x", people=people)
    assert f"at 3 stations with {proposal.people} people." in done
    after = balance_line(SLUG).adopted
    assert after is not None
    assert after.people == proposal.people
    assert after.rate_per_h == pytest.approx(proposal.rate_per_h, rel=1e-9)
    again = balance_line(SLUG, people=5, stations=3)
    assert after.rate_per_h == pytest.approx(again.proposal.rate_per_h if again.proposal else 0.0, rel=1e-9)


def test_places_that_are_refused_leave_the_people_as_they_were() -> None:
    line = make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    backwards = {**ONE_EACH, "clip": 6}
    with pytest.raises(OfftoolError):
        adopt(SLUG, LINE, backwards, by="x", people={1: 4})
    assert line_given(line).people_at(1) == 1


def test_more_people_stand_at_the_stations_there_are_where_more_stations_make_less() -> None:
    """Weld, 18 s, cannot be divided: a seventh station gives nothing, a second welder there does."""
    line = make_line(people=7)
    line.equipment.update(at_most=None)
    adopt(SLUG, LINE, ONE_EACH, by="x")
    found = balance_line(SLUG, people=7)
    assert found.proposal is not None
    assert found.proposal.people == 7
    assert len(found.proposal.stations) == 6
    given = line_given(line)
    assert best_rate(given, stations=7).rate_per_h == independent(200.0, way="weld alone, 18 s", rel=1e-6)
    assert found.proposal.rate_per_h == best_rate_of_people(given, people=7, stations=6).rate_per_h
    assert found.proposal.rate_per_h > 200.0
    assert "shared out over the 6 stations that stand" in found.means


@pytest.mark.parametrize(
    ("over", "said"),
    [
        (0.0005, "hardly ever"),
        (0.124, "in about 12 % of pieces"),
        (0.9949, "in nearly every piece"),
        (1.0, "in nearly every piece"),
    ],
)
def test_how_often_a_station_is_over_the_cycle_is_said_in_words(over: float, said: str) -> None:
    assert share_over_in_words(over) == said


def test_stations_that_were_left_empty_are_named_and_are_not_the_end_of_the_line() -> None:
    line = make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    assert [one.number for one in stations_with_tasks(line)] == [1, 2, 3, 4, 5, 6]
    fewer = {**ONE_EACH, "arms": 3, "head": 4, "pack": 4}
    assert "Nothing is done at stations 5 and 6" in adopt(SLUG, LINE, fewer, by="x")
    assert [one.number for one in stations_with_tasks(line)] == [1, 2, 3, 4]
    found = balance_line(SLUG)
    assert found.known.left_over == (5, 6)
    assert any(one.do == "Take stations 5 and 6 out, or give them a task." for one in found.actions)
    remove_station(SLUG, LINE, 5, by="x")
    remove_station(SLUG, LINE, 6, by="x")
    assert not any(one.leads_to == "empty" for one in balance_line(SLUG).actions)


def test_while_a_task_has_no_place_every_station_counts() -> None:
    line = make_line()
    name_station(line, 3, name="spare")
    assert [one.number for one in stations_with_tasks(line)] == [3]


def test_a_proposal_that_needs_more_people_than_there_are_says_so_where_it_is_offered() -> None:
    make_line(planned_per_h=200.0, people=5)
    adopt(SLUG, LINE, {**ONE_EACH, "arms": 3, "head": 4, "pack": 5}, by="x")
    offered = next(one for one in balance_line(SLUG).actions if one.do.startswith("Adopt the proposed"))
    assert "and 5 are at hand" in offered.because

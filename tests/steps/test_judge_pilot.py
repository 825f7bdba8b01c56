"""A pilot from its sheets to its verdict: R's intervals through the file and the record, a pilot by hand."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.core.values import OfftoolError, Verdict
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line, Programme, ToolState
from offtool.records.operations import define_line
from offtool.records.queries.finding import NotInRecord
from offtool.reports.pilot_words import shows_in_words
from offtool.steps.define_pilot import PilotDefined, define_pilot
from offtool.steps.judge_pilot import judge_pilot, pilots_of_programme
from offtool.steps.keep_pilot_file import set_sheet_aside
from offtool.steps.pilot_found import PilotFound
from offtool.steps.pilot_standing import pilot_standing
from tests.labels import independent
from tests.steps import piloted
from tests.web import otter

pytestmark = pytest.mark.django_db
SLUG = "harbour-otter"


@pytest.fixture(autouse=True)
def line() -> Line:
    """The line, and its pilot without a sheet."""
    otter.make_programme()
    made = piloted.make_line()
    piloted.make_pilot()
    return made


def found() -> PilotFound:
    return judge_pilot(SLUG, piloted.PILOT)


def test_the_yields_have_the_intervals_of_r_through_file_and_record() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    yields = found().yields
    assert yields is not None
    # R 4.2.2: binom.test(150, 152), binom.test(107, 125), binom.test(122, 125), binom.test(111, 112)
    weld, paint, pack = yields.stations
    ends = [
        (one.interval.low, one.interval.high) for one in (weld.first, paint.first, paint.final, pack.first)
    ]
    assert ends == independent(
        [
            (0.9532790780278, 0.9984025267984),
            (0.7819968451115, 0.9123674065762),
            (0.9314636838893, 0.9950230102509),
            (0.9512566952699, 0.9997739736908),
        ],
        way="R, binom.test",
        rel=1e-12,
    )
    assert yields.first.share == independent(150 / 152 * 107 / 125 * 111 / 112, way="by hand")
    assert yields.final.share == independent(151 / 152 * 122 / 125, way="by hand")


def test_the_rate_leaves_the_hour_out_in_which_the_line_fills() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    rate = found().rate
    assert rate is not None
    # R 4.2.2: t.test(c(28, 31, 33))$conf.int
    ends = (rate.interval.low, rate.interval.high)
    assert ends == independent((24.41505718729, 36.91827614604), way="R, t.test", rel=1e-11)
    assert [one.why_not for one in found().hours_seen] == ["the line fills", "", "", ""]


def test_a_part_of_an_hour_at_the_end_does_not_count_for_the_rate() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    define_pilot(SLUG, PilotDefined(name=piloted.PILOT, pieces=152, hours=3.5), made_by="production")
    hours = found().hours_seen
    assert [one.why_not for one in hours] == ["the line fills", "", "", "no whole hour"]
    assert hours[-1].per_h == independent(66, way="33 in half an hour")


def test_every_piece_that_was_started_is_somewhere() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    pieces = found().balance
    assert pieces is not None
    # by hand: 20 + 28 + 31 + 33 good; weld scraps 1, paint 3; the others wait
    assert (pieces.started, pieces.good, pieces.scrapped, pieces.not_good_yet) == (152, 112, 4, 0)
    assert pieces.in_the_line == 152 - 112 - 4
    assert [(one.station, one.pieces) for one in found().waits] == [("paint", 26), ("pack", 10)]
    assert sum(one.pieces for one in found().waits) == pieces.in_the_line


def test_the_slowest_station_limits_the_line_and_comes_first() -> None:
    piloted.keep_all()
    pilot = found()
    assert (
        pilot.headline == "P1 made 112 good of 152 started and 31 an hour of the 40 planned: paint limits it."
    )
    paint = next(one for one in pilot.times if one.station == "paint")
    # R 4.2.2: t.test(c(214, 226, 210, 221, 205, 218, 199, 207, 196, 204))$conf.int
    assert paint.times is not None
    ends = (paint.times.interval_s.low, paint.times.interval_s.high)
    assert ends == independent((203.0725604821, 216.9274395179), way="R, t.test", rel=1e-11)
    assert paint.per_h == independent(2 * 3600 / 210, way="two people side by side")
    takt = 2 * 3600 / (40 / 0.97)
    assert paint.times.takt_s == independent(takt, way="two people side by side, 97 % are good in the end")
    assert [one.operator for one in paint.operators] == ["B", "C"]
    assert pilot.actions[0].do == "Bring paint from 210.0 s to 174.6 s, or give it more hands."
    assert pilot.actions[1].do == "Get more pieces right at paint."
    assert "Most often overspray: 14." in pilot.actions[1].because


def test_defects_stand_by_what_they_cost() -> None:
    piloted.keep_all()
    defects = found().defects
    assert defects is not None
    # 2 scrapped at 2.0 and 12 reworked for 1.5 min at 0.5; 1 and 3 for 2 min; 1 and 1 for 3 min; 0.5 min
    costs = [one.cost for one in defects.ranking.defects]
    assert costs == independent([13.0, 5.0, 3.5, 0.25], way="by hand")
    first = defects.ranking.defects[0]
    # R 4.2.2: poisson.test(14)$conf.int
    ends = (first.count_interval.low, first.count_interval.high)
    assert ends == independent((7.653930276301, 23.489621121836), way="R, poisson.test", rel=1e-11)


def test_the_first_hour_is_held_against_the_last_by_fishers_test() -> None:
    piloted.keep_all()
    paint = next(one for one in found().halves if one.station == "paint")
    # R 4.2.2: fisher.test(matrix(c(20, 6, 31, 3), 2)); t.test(c(207, 196, 204), c(214, 226, 210))
    assert paint.found.p_same == independent(0.1574412581634, way="R, fisher.test", rel=1e-11)
    assert paint.found.times is not None
    assert paint.found.times.p_same == independent(0.07790158262308, way="R, t.test", rel=1e-11)
    assert paint.found.confidence == independent(1 - 0.05 / 3, way="one in twenty for three stations")


def test_verdicts_follow_rate_yields_and_audits() -> None:
    piloted.keep_all()
    pilot = found()
    assert pilot.verdict is Verdict.FAILS
    assert pilot.rate is not None
    assert pilot.rate.verdict is Verdict.FAILS
    assert pilot.yields is not None
    assert pilot.yields.first.verdict is Verdict.FAILS
    assert pilot.yields.final.verdict is Verdict.NOT_SHOWN
    assert pilot.audits_verdict is None


def test_a_line_that_makes_its_plan_holds() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    asked = {"planned_per_h": 20.0, "planned_first_yield": 0.7, "planned_final_yield": 0.85}
    define_line(otter_programme(), piloted.LINE, asked, made_by="production")
    pilot = found()
    assert pilot.verdict is Verdict.HOLDS
    assert pilot.headline == "P1 made 112 good of 152 started and 31 an hour of the 20 planned."
    assert not any("learning" in one.do for one in pilot.actions)


def otter_programme() -> Programme:
    return Line.objects.get().programme


def test_what_is_missing_is_named_with_its_layout_and_never_zero() -> None:
    pilot = found()
    assert [one.kind for one in pilot.missing] == ["counts", "defects", "times", "audits"]
    assert all(one.columns and "\n" in one.example for one in pilot.missing)
    assert pilot.headline == "P1 says nothing yet: read its sheet of counts."
    assert (pilot.rate, pilot.yields, pilot.balance, pilot.defects) == (None, None, None, None)
    assert pilot.verdict is Verdict.NOT_SHOWN
    assert any(one.startswith("yields: no counts are read yet") for one in pilot.said)
    assert [one.do for one in pilot.actions[:4]] == [
        f"Read the sheet of {kind}." for kind in ("counts", "defects", "times", "audits")
    ]


def test_without_costs_defects_stand_by_how_often_they_were_found() -> None:
    define_line(otter_programme(), piloted.LINE, {"piece_cost": None}, made_by="production")
    piloted.keep(PilotFileKind.DEFECTS, piloted.DEFECTS)
    pilot = found()
    assert pilot.defects is not None
    assert not pilot.defects.by_cost
    assert [one.count for one in pilot.defects.ranking.defects] == [14, 4, 2, 1]
    assert any(one.startswith("costs: what a scrapped piece") for one in pilot.said)


def test_a_defect_of_which_nobody_wrote_what_became_is_not_ranked_and_named() -> None:
    piloted.keep(PilotFileKind.DEFECTS, piloted.DEFECTS + "paint,run in the paint,3,,\n")
    pilot = found()
    assert pilot.defects is not None
    assert pilot.defects.left_out == ("run in the paint at paint",)
    assert len(pilot.defects.ranking.defects) == 4


def test_a_station_of_which_one_task_was_timed_takes_the_others_as_planned() -> None:
    times = "station,task,time [s]\n" + "".join(f"paint,spray,{t}\n" for t in (118, 122, 121, 119))
    piloted.keep(PilotFileKind.TIMES, times)
    station, task = found().times
    assert (station.task, task.task) == ("", "spray")
    assert station.mean_s == independent(120 + 80, way="spray as timed, mask as planned")
    assert station.as_planned == ("mask",)
    assert station.per_h == independent(2 * 3600 / 200, way="two people side by side")
    assert task.times is not None
    assert task.times.plan_s == 90.0
    assert found().limited_by == "paint"


def test_a_pilot_with_old_steel_says_so() -> None:
    programme = otter_programme()
    otter.read_trial(otter.readings_csv())
    run = f"{otter.TOOL} {otter.TRIAL}"
    define_pilot(SLUG, PilotDefined(name=piloted.PILOT, pieces=152, trials=(run,)), made_by="production")
    assert [one.cut_since for one in found().trials] == [False]
    tool = programme.tools.get(code=otter.TOOL)
    ToolState.objects.create(tool=tool, label="b", ordinal=2)
    assert [one.cut_since for one in found().trials] == [True]
    assert any(one.do == "Run again with parts of the new steel of M2." for one in found().actions)


def test_a_sheet_set_aside_counts_no_longer() -> None:
    piloted.keep_all()
    set_sheet_aside(SLUG, piloted.PILOT, "counts", "1", reason="counted twice", made_by="production")
    pilot = found()
    assert pilot.yields is None
    assert [one.set_aside for one in pilot.files if one.kind == "counts"] == ["counted twice"]
    assert "counts" in {one.kind for one in pilot.missing}


def halves() -> list[str]:
    """The sheet of counts as two: of the first two hours, and of the last two."""
    head, *rows = piloted.COUNTS.splitlines()
    return [
        "\n".join([head, *(row for row in rows if row.split(",")[1] in hours)])
        for hours in (("1", "2"), ("3", "4"))
    ]


def test_two_sheets_of_two_shifts_add_up() -> None:
    for sheet in halves():
        piloted.keep(PilotFileKind.COUNTS, sheet)
    pilot = found()
    assert pilot.balance is not None
    assert pilot.balance.good == 112
    assert not any("in two sheets" in one.text for one in pilot.cautions)


def test_an_hour_that_stands_in_two_sheets_is_said() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    piloted.keep(PilotFileKind.COUNTS, halves()[0].replace("weld,1,34,33", "weld,1,35,34"))
    assert any("weld, hour 1" in one.text and "in two sheets" in one.text for one in found().cautions)


def test_counts_of_stations_that_do_not_agree_are_said() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS.replace("pack,1,20,20", "pack,1,40,40"))
    pilot = found()
    assert any("pack took up 132, paint gave 122" in one.text for one in pilot.cautions)
    assert pilot.disagree == ("pack took up 132, paint gave 122",)
    again = next(one for one in pilot.actions if one.do.startswith("Count again"))
    assert again.do == "Count again: pack took up 132, paint gave 122."
    assert again.leads_to == "read counts"


def test_counts_that_agree_are_not_to_be_counted_again() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    assert found().disagree == ()
    assert not any("Count again" in one.do for one in found().actions)


def test_a_pilot_of_which_some_stations_were_counted_says_of_which_its_yield_is() -> None:
    only = [one for one in piloted.COUNTS.splitlines() if not one.startswith("pack")]
    piloted.keep(PilotFileKind.COUNTS, "\n".join(only))
    pilot = found()
    assert pilot.not_counted == ("pack",)
    share = 100 * 151 / 152 * 122 / 125  # by hand
    said = f"P1 made {share:.1f} % good in the end at 2 of 3 stations, pack not counted: paint limits it."
    assert pilot.headline == said


def test_what_a_pilot_can_show_is_not_said_to_have_been_looked_at() -> None:
    shows = found().shows
    assert shows is not None
    said = shows_in_words(shows)[0]
    assert said.startswith("So many pieces show a defect that is on 2.0 % of all or more at least once")
    assert "was seen" not in said


def test_a_yield_of_all_cannot_be_shown_and_is_said() -> None:
    define_line(otter_programme(), piloted.LINE, {"planned_final_yield": 1.0}, made_by="production")
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    pilot = found()
    assert pilot.yields is not None
    assert pilot.yields.final.verdict is None
    assert any("no pilot can show that" in one.text for one in pilot.cautions)


def test_the_standing_is_that_of_the_newest_pilot_that_ran() -> None:
    piloted.keep_all()
    define_pilot(SLUG, PilotDefined(name="P2"), made_by="production")
    (standing,) = pilot_standing(SLUG)
    assert (standing.pilot, standing.ran_on, standing.line) == ("P1", date(2026, 4, 9), piloted.LINE)
    assert standing.rate.verdict is Verdict.FAILS
    assert standing.rate.words == "31 good pieces an hour (24 to 37), 40 planned"
    assert standing.first_yield.verdict is Verdict.FAILS
    assert standing.audits.verdict is None
    assert standing.missing == ("audits",)
    assert [one.pilot for one in pilots_of_programme(SLUG).pilots] == ["P2", "P1"]
    assert pilot_standing(SLUG)[0].words == found().headline


def test_names_that_are_not_there_are_answered_with_the_nearest() -> None:
    with pytest.raises(NotInRecord, match="no pilot 'P9'"):
        judge_pilot(SLUG, "P9")
    define_line(otter_programme(), "second line", {}, made_by="production")
    with pytest.raises(OfftoolError, match="otter line has a pilot P1 already"):
        define_pilot(SLUG, PilotDefined(name="P1", line="second line"), made_by="production")
    with pytest.raises(NotInRecord, match="name one of them"):
        define_pilot(SLUG, PilotDefined(name="P2"), made_by="production")

"""Hours and stations that the sheets of a pilot leave open: breaks, gaps, the filling, no count at all."""

from __future__ import annotations

import pytest

from offtool.core.values import Verdict
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line
from offtool.records.operations import define_line
from offtool.steps.define_pilot import PilotDefined, define_pilot
from offtool.steps.judge_pilot import judge_pilot
from offtool.steps.pilot_found import PilotFound
from offtool.steps.ramp_found import RampAsked
from offtool.steps.ramp_from_pilot import ramp_from_pilot
from tests.labels import independent
from tests.steps import piloted
from tests.steps.test_ramp_from_pilot import FRIDAY
from tests.web import otter

pytestmark = pytest.mark.django_db
FILLS, STOOD = "the line fills", "nobody counted: a break, or it stood"
EASY = {"planned_per_h": 20.0, "planned_first_yield": 0.5, "planned_final_yield": 0.6}


@pytest.fixture(autouse=True)
def line() -> Line:
    otter.make_programme()
    made = piloted.make_line()
    piloted.make_pilot()
    return made


def counted(*without: str, hours: dict[str, str] | None = None) -> PilotFound:
    """The pilot without the rows that begin so, some of its hours named otherwise."""
    head, *rows = piloted.COUNTS.splitlines()
    kept = [row for row in rows if not row.startswith(without)] if without else rows
    named = []
    for row in kept:
        station, hour, rest = row.split(",", 2)
        named.append(",".join((station, (hours or {}).get(hour, hour), rest)))
    piloted.keep(PilotFileKind.COUNTS, "\n".join([head, *named]) + "\n")
    return judge_pilot(otter.SLUG, piloted.PILOT)


def cautions(found: PilotFound) -> str:
    return "\n".join(one.text for one in found.cautions)


def test_an_hour_that_nobody_counted_is_a_break_and_not_an_hour_without_a_piece() -> None:
    found = counted(hours={"3": "4", "4": "5"})
    assert [one.why_not for one in found.hours_seen] == [FILLS, "", STOOD, "", ""]
    assert found.rate is not None
    assert found.rate.per_h == independent((28 + 31 + 33) / 3, way="the hours that were worked")
    assert "as written down, and the counts end" not in cautions(found)


def test_an_hour_that_the_last_station_alone_did_not_count_is_taken_as_none_and_said() -> None:
    found = counted("pack,3")
    assert found.rate is not None
    assert found.rate.per_h == independent((28 + 0 + 33) / 3, way="no piece in hour 3")
    assert "pack has no count in hour 3: taken as no piece" in cautions(found)


def test_hours_before_the_first_piece_fill_the_line() -> None:
    rows = [f"{station},{hour},40,40" for station in ("weld", "paint") for hour in range(1, 6)]
    rows += [f"pack,{hour},{made},{made}" for hour, made in enumerate((7, 30, 31, 32), start=2)]
    piloted.keep(PilotFileKind.COUNTS, "\n".join(["station,hour,tried,good first", *rows]) + "\n")
    found = judge_pilot(otter.SLUG, piloted.PILOT)
    assert [one.why_not for one in found.hours_seen] == [FILLS, FILLS, "", "", ""]
    assert found.rate is not None
    assert found.rate.lowest == 30


def test_the_hour_in_which_the_line_fills_is_said_where_too_few_are_left_to_do_without_it() -> None:
    found = counted(*(f"{one},{hour}" for one in ("weld", "paint", "pack") for hour in (3, 4)))
    assert [one.why_not for one in found.hours_seen] == ["", ""]
    assert "the hour in which the line fills is in the rate" in cautions(found)


def test_counts_that_end_before_the_pilot_did_are_said() -> None:
    define_pilot(otter.SLUG, PilotDefined(name=piloted.PILOT, pieces=152, hours=8.0), made_by="production")
    assert "ran 8 h as written down, and the counts end in hour 4" in cautions(counted())


def test_a_line_of_which_a_station_was_not_counted_holds_no_yield() -> None:
    define_line(Line.objects.get().programme, piloted.LINE, EASY, made_by="production")
    found = counted("paint")
    assert found.yields is not None
    assert [one.verdict for one in (found.yields.first, found.yields.final)] == [Verdict.NOT_SHOWN] * 2
    assert found.verdict is Verdict.NOT_SHOWN
    assert "paint not counted: the yield of the whole line is no better than this" in cautions(found)


def test_a_yield_that_fails_on_the_stations_counted_fails_for_the_line() -> None:
    plan = {"planned_first_yield": 0.95}
    define_line(Line.objects.get().programme, piloted.LINE, plan, made_by="production")
    found = counted("weld")
    assert found.yields is not None
    assert found.yields.first.verdict is Verdict.FAILS


def test_what_is_lost_before_the_slowest_station_gives_no_more_an_hour() -> None:
    bad_weld = piloted.COUNTS.replace("weld,1,34,33,0,1", "weld,1,54,33,0,21")
    piloted.keep(PilotFileKind.COUNTS, bad_weld)
    piloted.keep(PilotFileKind.TIMES, piloted.TIMES)
    found = judge_pilot(otter.SLUG, piloted.PILOT)
    assert found.limited_by == "paint"
    at_weld = [one.because for one in found.actions if one.do == "Get more pieces right at weld."]
    assert all("an hour more" not in one for one in at_weld)
    at_paint = next(one.because for one in found.actions if one.do == "Get more pieces right at paint.")
    assert "an hour more" in at_paint


def test_an_hour_without_a_good_piece_is_the_reason_why_no_learning_is_fitted() -> None:
    counted("pack,3")
    asked = ramp_from_pilot(otter.SLUG, piloted.PILOT, RampAsked(), today=FRIDAY)
    assert asked.why_no_learning == "in an hour of the pilot no good piece left the line"


def test_a_ramp_from_few_hours_may_begin_as_slowly_as_the_slowest_of_them() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    found = ramp_from_pilot(otter.SLUG, piloted.PILOT, RampAsked(), today=FRIDAY)
    assert found.learning is not None
    assert found.learning.rate_interval.low > 33, "three hours that lie on a curve by chance"
    assert found.taken is not None
    assert found.taken.start_low == 28
    assert any("not machines" in one.text for one in found.cautions)

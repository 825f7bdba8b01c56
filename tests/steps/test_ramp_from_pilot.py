"""The ramp after a pilot: what it takes from where, what it refuses, and the days it names."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.core.pilot import fit_learning
from offtool.core.values import ImpossibleInput
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Line
from offtool.records.operations import define_line
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ramp_found import RampAsked, RampFound
from offtool.steps.ramp_from_pilot import newest_pilot, ramp_from_pilot
from offtool.steps.ramp_ground import working_days
from tests.labels import independent, practice
from tests.steps import piloted
from tests.web import otter

pytestmark = pytest.mark.django_db
FRIDAY = date(2026, 4, 10)


@pytest.fixture(autouse=True)
def line() -> Line:
    otter.make_programme()
    made = piloted.make_line()
    piloted.make_pilot()
    return made


def ramp(**asked: object) -> RampFound:
    return ramp_from_pilot(otter.SLUG, piloted.PILOT, RampAsked(**asked), today=FRIDAY)  # type: ignore[arg-type]


def plan(**columns: object) -> None:
    define_line(Line.objects.get().programme, piloted.LINE, columns, made_by="production")


def test_it_goes_on_from_the_learning_of_the_hours_of_the_pilot() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    found = ramp()
    fitted = fit_learning([28, 31, 33], made_before=20)
    assert found.learning == fitted
    assert found.taken is not None
    assert (found.taken.learning_low, found.taken.learning_high) == fitted.learning_for_ramp
    assert found.taken.start_low == 28, "few hours: it may begin as slowly as the slowest of them"
    assert found.taken.start_high == fitted.rate_interval.high
    assert found.taken.made_before == 112
    assert any("few hours were counted" in one.text for one in found.cautions)
    assert found.taken.yield_seen == independent(151 / 152 * 122 / 125, way="by hand")


def test_day_one_is_the_next_working_day_where_no_start_is_written_down() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    found = ramp()
    assert found.dates is not None
    assert found.dates.starts == date(2026, 4, 13)
    assert found.headline.endswith("if the line starts on 13 April 2026.")
    plan(starts_on=date(2026, 5, 2))
    second = ramp().dates
    assert second is not None
    assert second.starts == date(2026, 5, 4), "2 May 2026 is a Saturday"


def test_a_line_at_its_planned_rate_takes_the_days_of_a_division() -> None:
    """No ramp is left: 40 an hour, 8 h, no yield to gain."""
    counts = "station,hour,tried,good first\n" + "".join(
        f"{station},{hour},45,45\n" for hour in range(1, 7) for station in ("weld", "paint", "pack")
    )
    piloted.keep(PilotFileKind.COUNTS, counts)
    found = ramp(quantity=3200, planned_yield=0.999)
    assert found.ramp is not None
    days = 3200 / (40 * 8)
    assert found.ramp.middle_day == independent(days, way="quantity over pieces a day", rel=0.02)


def test_where_too_little_was_counted_the_usual_learning_is_taken_and_said() -> None:
    two = "\n".join(one for one in piloted.COUNTS.splitlines() if ",3," not in one and ",4," not in one)
    piloted.keep(PilotFileKind.COUNTS, two)
    found = ramp()
    assert found.taken is not None
    assert found.taken.learning_low == practice("0.80")
    assert found.taken.learning_high == practice("0.90")
    assert found.why_no_learning == "the pilot has fewer than four whole hours"
    assert any("common practice" in one.says for one in found.taken.sources if one.about == "Learning")
    plan(learning_low=0.85, learning_high=0.95)
    told = ramp().taken
    assert told is not None
    assert (told.learning_low, told.learning_high) == (0.85, 0.95)


def test_hours_that_leave_everything_open_say_nothing_of_learning() -> None:
    odd = piloted.COUNTS.replace("pack,3,31,30,1,0", "pack,3,12,12,0,0")
    piloted.keep(PilotFileKind.COUNTS, odd)
    found = ramp()
    assert "leave everything between" in found.why_no_learning
    assert found.learning is not None


def test_more_pieces_take_longer_and_more_hours_a_day_less_long() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    plain, more, longer = ramp(), ramp(quantity=4000), ramp(hours_per_day=16.0)
    days = [one.ramp.middle_day for one in (plain, more, longer) if one.ramp is not None]
    assert days[2] < days[0] < days[1]


def test_what_is_missing_is_said_all_at_once() -> None:
    plan(quantity=None, hours_per_day=None, planned_final_yield=None)
    found = ramp()
    assert found.ramp is None
    assert found.missing == (
        "the counts of P1, hour by hour",
        "the quantity that is wanted",
        "the hours that the line runs a day",
        "the yield that is planned, after rework",
    )
    assert found.headline.startswith("No ramp yet: say the counts of P1, hour by hour, the quantity")


def test_a_quantity_out_of_reach_is_said_and_no_day_is_named() -> None:
    piloted.keep(PilotFileKind.COUNTS, piloted.COUNTS)
    found = ramp(quantity=10_000_000)
    assert found.dates is not None
    assert found.dates.middle is None
    assert "are not there within 500 working days" in found.headline


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"quantity": 0}, "quantity = 0"),
        ({"hours_per_day": 25.0}, "at most 24"),
        ({"planned_yield": 98.0}, "95 % is 0.95"),
        ({"planned_per_h": -1.0}, "must be above 0"),
    ],
)
def test_what_cannot_be_asked_is_named(asked: dict[str, float], said: str) -> None:
    with pytest.raises(ImpossibleInput, match=said):
        ramp(**asked)


def test_working_days_leave_saturday_and_sunday_out() -> None:
    assert list(working_days(FRIDAY, 3)) == [FRIDAY, date(2026, 4, 13), date(2026, 4, 14)]


def test_the_newest_pilot_that_ran_is_taken() -> None:
    assert newest_pilot(otter.SLUG) == "P1"
    Line.objects.get().pilots.update(ran_on=None)
    with pytest.raises(NotInRecord, match="no pilot of harbour-otter has run"):
        newest_pilot(otter.SLUG)

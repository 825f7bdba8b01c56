"""What a plan says first where it could hurt someone or come to nothing: barrel, press, job and day."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.core.planning.press import FitQuestion
from offtool.core.planning.press.barrel import GASES
from offtool.records.models import Press, Resin
from offtool.records.queries import find_request
from offtool.reports.trial_request import MOST_CAUTIONS
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.steps.test_plan_trial import does, planned, weigh
from tests.web import otter

pytestmark = pytest.mark.django_db


def test_resins_that_must_never_meet_are_said_even_where_nobody_weighed_a_shot() -> None:
    make_asked(bare=True)
    run_job(resin="PVC-P")
    request = find_request(otter.SLUG, otter.TOOL, NAME)
    request.resin = "POM"
    request.save()
    found = planned()
    assert found.material is None
    assert "PVC-P and POM must never meet" in found.headline
    assert "without that purge" in found.headline
    assert "POM" in found.cautions[0].text
    assert sum(one.do.startswith("STOP: PVC-P and POM") for one in found.steps) == 2


def test_nothing_is_filled_in_while_the_barrel_is_not_known() -> None:
    make_asked()
    found = planned()
    hung = next(i for i, one in enumerate(found.steps) if one.do.startswith("Hang the tool"))
    assert found.steps[hung - 1].do.startswith("STOP: find out what is in the barrel")
    assert "POM and PVC must never meet" in found.cautions[0].text


def test_a_check_that_its_numbers_leave_open_is_to_be_settled_before_the_slot() -> None:
    """A mould that stands behind the bars may be lowered in from above, or may not: the setter knows."""
    make_asked()
    Press.objects.update(tie_bars_high_mm=200.0)
    found = planned()
    assert found.press is not None
    (left,) = found.press.open
    assert left.question == FitQuestion.TIE_BARS
    assert "not shown yet: tie bars" in found.headline
    told = does(found)
    assert told.index(
        "Ask the setter whether the platen carries it and whether it can be lowered in from above."
    ) < (told.index("Fix its slot: press and hour."))


def test_a_day_that_has_gone_is_said() -> None:
    request = make_asked()
    request.due = date(2026, 3, 20)
    request.save()
    assert does(planned())[0] == "Give it new days: it was due by 20 March 2026."
    request.due = ON
    request.save()
    assert not any(one.startswith("Give it new days") for one in does(planned()))


@pytest.mark.parametrize(
    ("may_stop", "says"),
    [(False, "Take another day, or another press"), (None, "Ask whether J-1 may be stopped."), (True, "")],
)
def test_a_job_that_must_not_be_stopped_is_said_among_the_things_to_do(
    may_stop: bool | None, says: str
) -> None:
    make_asked()
    for press in ("P1", "P2"):
        run_job(press, may_stop=may_stop)
    told = [one for one in does(planned()) if "stopped" in one]
    assert [one.startswith(says) for one in told] == ([True] if says else [])


def test_only_what_goes_in_on_the_way_there_is_dried() -> None:
    request = make_asked()
    weigh()
    run_job()
    for name, value in {"lightness": 38.0, "a": 14.0, "b": 20.0, "wish": "the colour of the product"}.items():
        setattr(request, name, value)
    request.save()
    found = planned()
    assert found.material is not None
    assert found.colour is not None
    dried = found.material.shots_kg + found.colour.there_kg
    assert 0 < found.colour.there_kg < found.colour.purge_kg
    assert f"Have {dried:.2g} kg of" in found.steps[1].do


def test_gas_of_a_resin_stands_among_the_first_cautions_for_paper_has_room_for_a_few() -> None:
    """Acetal in a barrel of which all is known: six cautions go on the request."""
    make_asked()
    weigh()
    Resin.objects.update(code="POM")
    run_job(resin="POM")
    found = planned()
    assert found.asked.resin == "POM"
    assert GASES in found.cautions[:MOST_CAUTIONS]
    assert found.cautions.count(GASES) == 1


@pytest.mark.parametrize(
    ("job", "trial", "says"),
    [
        ("PVC-P", "XYZ", "XYZ is no resin that is known: nobody can say whether it may follow PVC-P"),
        ("XYZ", "POM", "XYZ is no resin that is known: nobody can say whether POM may follow it"),
        ("", "POM", "the resin of the job that runs there is not said"),
    ],
)
@pytest.mark.parametrize("is_weighed", [True, False])
def test_a_resin_of_which_nothing_is_known_is_said_first(
    job: str, trial: str, says: str, is_weighed: bool
) -> None:
    request = make_asked()
    if is_weighed:
        weigh()
    for press in ("P1", "P2"):
        run_job(press, resin=job)
    request.resin = trial
    request.save()
    found = planned()
    assert "must not go on" in found.headline
    assert says in found.headline
    assert does(found)[0] == "Find out the resin first: nothing goes in before it is known."
    assert sum(one.do.startswith("STOP: find out") for one in found.steps) == 1
    assert "POM and PVC must never meet" in found.cautions[0].text or says in found.cautions[0].text


def test_resins_that_are_known_say_nothing_of_it() -> None:
    make_asked()
    run_job()
    assert planned().unknown_resin == ""

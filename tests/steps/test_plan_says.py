"""What a plan says and leaves unsaid of press, day, hours, sizes and looks, by what is asked of the trial."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from offtool.core.planning.press.barrel import GASES
from offtool.core.planning.shots import ShotKind, TimeOn, set_up_line, shots_to_run
from offtool.core.values import Verdict
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import SETTLE_SHOTS, TRIAL_PURPOSES
from offtool.records.models import Press, PressHolds, Resin, Tool
from offtool.records.queries import find_request
from offtool.reports.trial_request import trial_request
from offtool.steps.fit_presses import fit_tool
from offtool.steps.plan_found import Look
from offtool.steps.plan_run import run_steps
from offtool.steps.plan_time import press_time_of
from offtool.steps.slot_changes import trial_times
from tests.labels import independent
from tests.reports import plans
from tests.reports.test_layout_report import text_of
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.steps.test_plan_trial import does, facts, planned, weigh
from tests.web import otter

pytestmark = pytest.mark.django_db


def bar_both() -> None:
    """Both presses run a job that must not be stopped."""
    for press in ("P1", "P2"):
        run_job(press, code=f"J-{press}", may_stop=False)


def test_where_the_job_must_not_be_stopped_the_trial_cannot_run_that_day() -> None:
    make_asked()
    weigh()
    bar_both()
    found = planned(on=date(2026, 3, 24))
    assert found.press is not None
    assert found.press.is_barred
    job, press = found.press.job_code, found.press.press
    assert found.headline == f"M2 T2 cannot run on {press} on 24 March 2026: {job} must not be stopped."
    assert not any(one.startswith(("Fix its slot", "Print the request")) for one in does(found))
    assert does(found)[0].startswith("Take another day, or another press")


def test_resins_that_never_meet_come_before_a_job_that_must_not_be_stopped_and_both_are_said() -> None:
    make_asked()
    weigh()
    for press in ("P1", "P2"):
        run_job(press, code=f"J-{press}", may_stop=False, resin="PVC-P")
    request = find_request(otter.SLUG, otter.TOOL, NAME)
    request.resin = "POM"
    request.save()
    said = planned().headline
    assert "PVC-P and POM must never meet without a full purge; J-P1 must not be stopped" in said


@pytest.mark.parametrize(("job", "trial"), [("PVC-P", "POM"), ("POM", "PVC-P")])
@pytest.mark.parametrize("wish", ["any colour", "the colour of the product", "a light colour"])
def test_no_plan_shoots_in_a_resin_that_must_never_meet_and_the_full_purge_is_counted(
    job: str, trial: str, wish: str
) -> None:
    request = make_asked()
    weigh()
    run_job(resin=job)
    request.resin, request.wish = trial, wish
    request.save()
    found = planned()
    assert found.colour is not None
    assert found.time is not None
    assert found.material is not None
    assert found.colour.changes
    assert found.material.purge_kg > 0
    assert {TimeOn.COLOUR, TimeOn.COLOUR_BACK} <= {one.what for one in found.time.lines}
    assert "with that purge" in found.headline
    assert not any("that is in the barrel" in one.do for one in found.steps)
    assert sum(one.do.startswith(f"STOP: {job} and {trial}") for one in found.steps) == 2


def test_hours_that_were_asked_for_are_those_of_the_plan_and_of_the_slots() -> None:
    request = make_asked()
    run_job()
    request.hours = 8.0
    request.save()
    found = planned()
    assert found.time is not None
    restart = 10.0
    assert found.time.minutes == independent(
        8 * 60 + restart, way="8 h with both tool changes, and the restart"
    )
    of_shots = sum(one.minutes for one in found.time.lines if one.what in (TimeOn.SETTLE, TimeOn.SHOTS))
    left = 8 * 60 - 45 - set_up_line(None).minutes
    assert of_shots == independent(left, way="less 45 min to hang it and the usual for that of the job")
    kept = find_request(otter.SLUG, otter.TOOL, NAME)
    slot = trial_times(kept, NAME, press_time_of(kept, on=ON))
    assert slot.run_h * 60 == pytest.approx(of_shots)
    assert "8 h of the press with both tool changes" in facts(found)["Asked for"]
    assert "Ask for more hours, or for less." not in does(found)


def test_hours_that_leave_too_little_for_the_shots_are_said() -> None:
    request = make_asked()
    run_job()
    request.hours = 1.0
    request.save()
    assert "Ask for more hours, or for less." in does(planned())


def test_a_trial_that_need_not_settle_says_why_it_throws_away_fewer() -> None:
    by_count = shots_to_run(["first look"], cycle_s=7.5)
    by_clock = shots_to_run(["sizes"], cycle_s=7.5)
    assert by_count.settle == independent(SETTLE_SHOTS[1], way="by count")
    assert by_clock.settle == independent(120, way="15 min of 7.5 s")
    assert "nothing asked of it needs a settled press" in by_count.settle_says


def test_without_any_press_it_says_that_none_is_written_down() -> None:
    make_asked()
    PressHolds.objects.all().delete()
    Press.objects.all().delete()
    found = planned()
    assert found.headline.startswith("M2 T2 has no press: none is written down yet;")
    (told,) = [one for one in found.actions if one.do == "Write down a press."]
    assert told.leads_to == "new press"
    assert not any("takes the tool" in one.because for one in found.actions)


def test_more_parts_than_are_usual_are_kept_only_where_they_are_asked_for() -> None:
    make_asked(wants={TrialPurpose.SIZES: None})
    Tool.objects.update(step_mm=0.004)
    found = planned()
    assert found.shots is not None
    needed = max(one.parts or 0 for one in found.to_measure)
    (sizes,) = found.shots.purposes
    most = TRIAL_PURPOSES[TrialPurpose.SIZES].most
    assert needed > most == sizes.pieces, "the small otter must need more than is usual"
    assert sizes.source.startswith(f"{most} are kept, the most that is usual")
    assert sizes.source.endswith(f"Ask for sizes:{needed} to have them")


def test_the_plan_and_the_presses_say_alike_that_a_tool_cannot_be_placed() -> None:
    make_asked(bare=True)
    run_job()
    found = planned()
    compared = fit_tool(otter.SLUG, otter.TOOL)
    assert "cannot be placed yet" in compared.headline
    assert found.headline.startswith("M2 T2 cannot be placed yet:")
    assert found.press is not None
    assert found.press.verdict is Verdict.NOT_SHOWN
    assert found.press.lacks > 0


def test_where_a_slot_is_not_fixed_the_plan_says_that_another_may_be_better() -> None:
    make_asked()
    (told,) = [one for one in planned().actions if one.do.startswith("Fix its slot")]
    assert "The plan of all trials weighs them together and may put it elsewhere" in told.because


@pytest.mark.parametrize(
    ("wants", "is_asked"),
    [(TrialPurpose.ASSEMBLY, False), (TrialPurpose.COLOUR, True)],
)
def test_the_colour_of_the_product_is_asked_for_where_something_needs_it(
    wants: TrialPurpose, is_asked: bool
) -> None:
    make_asked(wants={wants: None})
    weigh()
    run_job()
    asked = [one.what for one in planned().missing if one.what.startswith("the colour of")]
    assert bool(asked) is is_asked


@pytest.mark.parametrize(
    ("wants", "sizes"),
    [(TrialPurpose.SIZES, True), (TrialPurpose.ASSEMBLY, False), (TrialPurpose.SHORT_SHOTS, False)],
)
def test_sizes_are_confirmed_and_corrected_first_only_where_they_are_measured(
    wants: TrialPurpose, sizes: bool
) -> None:
    make_asked(wants={wants: None})
    found = planned()
    assert any(one.kind == "failing" for one in found.confirm) is sizes
    assert any(one.startswith("Decide on the correction first") for one in does(found)) is sizes


def test_a_defect_that_must_be_shown_gone_is_looked_for_on_so_many_shots() -> None:
    shots = shots_to_run(["first look", "sizes"], cycle_s=80.0, settles_after=5)
    looks = [Look(what="short shot, ear", cavity=one, pieces=37) for one in ("1", "2")]
    steps = list(run_steps(shots, colour=plans.ORANGE, material=None, resin="ABS", job="", looks=looks))
    (step,) = [one.do for one in steps if "short shot" in one.do]
    assert (
        step == "From shot 11 on look, spare shots too: for short shot, ear on 37 shots of cavities 1 and 2."
    )
    short = replace(looks[0], pieces=100)
    (step,) = [
        one.do
        for one in run_steps(shots, colour=plans.ORANGE, material=None, resin="ABS", job="", looks=[short])
        if "short shot" in one.do
    ]
    over = 100 - (shots.shots - shots.settle)
    assert step.endswith(f"; 100 shots are {over} more than are planned.")


def test_spare_shots_are_no_scrap_while_something_is_still_to_be_looked_at() -> None:
    shots = shots_to_run(["sizes"], cycle_s=25.0)
    spare = next(one for one in shots.groups if one.kind is ShotKind.SPARE)
    looks = [Look(what="flash", cavity="", pieces=3)]
    steps = run_steps(shots, colour=None, material=None, resin="ABS", job="", looks=looks)
    (said,) = [one.do for one in steps if one.first == spare.first]
    assert "all that is to be looked at" in said


@pytest.mark.parametrize("job", ["PVC-P", "POM", "ABS"])
def test_the_request_for_a_trial_in_acetal_says_whole_that_it_comes_apart_in_heat(
    job: str, tmp_path: Path
) -> None:
    make_asked()
    weigh()
    Resin.objects.update(code="POM")
    run_job(resin=job)
    assert GASES.text[1:] in text_of(trial_request(planned()), tmp_path)

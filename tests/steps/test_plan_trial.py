"""A plan from the record: what is known is used and said, what is missing is named, nothing is made up."""

from __future__ import annotations

from datetime import UTC, date, datetime
from math import ceil
from typing import Any

import pytest

from offtool.core.inspection import parts_for_mean
from offtool.core.planning.shots import TimeOn
from offtool.core.values import Verdict
from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.terms import CorrectionStatus, SizeKind, TrialPurpose
from offtool.records.models import (
    Cavity,
    Characteristic,
    Correction,
    Part,
    Prediction,
    Press,
    SteelFeature,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.operations import fix_slot
from offtool.records.queries import find_request
from offtool.records.queries.finding import NotInRecord
from offtool.steps.overview import programme_overview
from offtool.steps.plan_found import TrialPlanned
from offtool.steps.plan_time import press_time_of
from offtool.steps.plan_trial import plan_trial
from offtool.steps.trial_evidence import TrialEvidence
from tests.labels import independent
from tests.steps.asked import NAME, ON, ask, make_asked, run_job
from tests.web import otter

pytestmark = pytest.mark.django_db


def planned(**given: Any) -> TrialPlanned:
    return plan_trial(otter.SLUG, otter.TOOL, NAME, **{"on": ON, **given})


def facts(found: TrialPlanned) -> dict[str, str]:
    return {one.about: one.says for one in found.rests_on}


def does(found: TrialPlanned) -> list[str]:
    return [one.do for one in found.actions]


def weigh() -> None:
    """A weight of the part that was measured: the parts are then known in g."""
    part = Part.objects.get()
    size = Characteristic.objects.create(
        part=part,
        number="90",
        name="Weight",
        kind=SizeKind.WEIGHT,
        unit="g",
        nominal=6.0,
        lower=5.5,
        upper=6.5,
    )
    rows = "Shot,Cavity,90 Weight\n" + "\n".join(
        f"{shot},{c},6.00" for shot in (40, 41) for c in (1, 2, 3, 4)
    )
    otter.read_trial(rows.encode(), name="weights.csv")
    assert size.readings.exists()


def test_a_request_that_is_not_there_is_refused_with_the_nearest() -> None:
    make_asked()
    with pytest.raises(NotInRecord, match="T2"):
        plan_trial(otter.SLUG, otter.TOOL, "T3", on=ON)


def test_all_that_is_asked_is_shot_once_and_bagged_by_cavity() -> None:
    make_asked()
    run_job()
    found = planned()
    assert found.shots is not None
    assert found.asked.purposes == ("sizes", "assembly")
    assert found.shots.keep == 36
    assert {one.cavity for one in found.bags} == {"1", "2", "3", "4"}
    assert [one.first for one in found.steps if one.first is not None] == [
        one.first for one in found.shots.groups
    ]
    assert found.bring[0] == f"{len(found.bags)} bags with their labels"
    assert AT_THE_PRESS in found.cautions


def test_where_a_tool_stands_says_which_trials_wait() -> None:
    make_asked()
    assert [one.waiting for one in programme_overview(otter.SLUG).tools] == [(NAME,)]
    otter.read_trial(otter.readings_csv(seed=9), trial=NAME, name="t2.csv")
    assert [one.waiting for one in programme_overview(otter.SLUG).tools] == [()]


def test_sizes_take_as_many_parts_as_the_mean_needs_to_one_step_of_the_toolmaker() -> None:
    make_asked()
    found = planned()
    seen = TrialEvidence(Trial.objects.get())
    step = Tool.objects.get().step_mm
    most = max(
        parts_for_mean(max(cavity.sd for cavity in one.finding.cavities), step).parts or 0
        for one in seen.sizes
    )
    assert max(one.parts or 0 for one in found.to_measure) == independent(most, way="size by size")
    assert found.shots is not None
    (sizes,) = [one for one in found.shots.purposes if one.purpose is TrialPurpose.SIZES]
    assert sizes.pieces == min(max(most, 5), 10)


def test_what_was_asked_wins_over_what_would_be_needed() -> None:
    make_asked(wants={TrialPurpose.SIZES: 3})
    found = planned()
    assert found.shots is not None
    assert [(one.pieces, one.source) for one in found.shots.purposes] == [(3, "as asked")]


def test_capability_takes_the_parts_that_would_show_the_index() -> None:
    make_asked(wants={TrialPurpose.CAPABILITY: None})
    found = planned()
    shown = [one for one in found.to_measure if one.purpose == "capability"]
    needed = {
        f"{one.characteristic.part.code} {one.characteristic.number}": one.finding.parts_needed
        for one in TrialEvidence(Trial.objects.get()).sizes
        if one.finding.verdict is Verdict.NOT_SHOWN
    }
    assert {one.size: one.parts for one in shown} == needed
    assert needed


def test_how_soon_it_settles_is_learned_from_earlier_trials() -> None:
    make_asked()
    found = planned()
    assert found.shots is not None
    first = TrialEvidence(Trial.objects.get()).settled_from
    assert first is not None
    assert found.shots.settle == independent(max(first - 1, 10), way="shots before the first settled one")
    assert "T1 had settled after" in facts(found)["Settling"]


def test_without_a_job_the_barrel_is_not_known_and_that_is_said() -> None:
    make_asked()
    found = planned()
    assert found.colour is None
    assert any("what is in the barrel" in one.what for one in found.missing)
    assert found.time is not None
    assert TimeOn.WAY_BACK not in {one.what for one in found.time.lines}


def test_without_a_number_the_plan_stands_and_names_who_knows() -> None:
    make_asked(bare=True)
    run_job()
    found = planned()
    assert found.shots is not None
    assert found.material is None
    assert found.press is not None
    assert found.press.verdict is Verdict.NOT_SHOWN
    assert "common practice, no source" in facts(found)["Cycle"]
    whats = " ".join(one.what for one in found.missing)
    for name in ("weight of a shot", "thickest wall", "width of the mould", "tie bars"):
        assert name in whats
    assert all(one.who_knows and one.spoils for one in found.missing)
    assert found.headline.startswith("M2 T2 cannot be placed yet: for P1 18 numbers are not written down;")


def test_with_a_weight_the_melt_is_shots_times_shot_and_what_is_purged() -> None:
    make_asked()
    weigh()
    run_job()
    found = planned()
    assert found.material is not None
    assert found.shots is not None
    by_hand = found.shots.shots * (4 * 6.0 + 4.0) / 1000
    assert found.material.shots_kg == independent(by_hand, way="four parts of 6 g and a runner of 4 g")


def test_in_the_resin_of_the_job_nothing_is_purged_where_no_colour_is_asked() -> None:
    make_asked()
    weigh()
    run_job()
    found = planned()
    assert found.colour is not None
    assert (found.colour.changes, found.colour.colour, found.colour.wrong_for) == (False, "orange", ())
    assert "in the orange that runs there" in found.headline
    assert found.headline.endswith("nothing asked of it needs the right colour.")


def test_a_colour_that_must_be_right_is_purged_to_and_its_time_counted_both_ways() -> None:
    request = make_asked()
    weigh()
    run_job()
    ask_again = {
        "lightness": 38.0,
        "a": 14.0,
        "b": 20.0,
        "colour": "otter brown",
        "wish": "the colour of the product",
    }
    for name, value in ask_again.items():
        setattr(request, name, value)
    request.save()
    found = planned()
    assert found.colour is not None
    assert found.colour.changes
    assert found.time is not None
    kinds = {one.what for one in found.time.lines}
    assert {TimeOn.COLOUR, TimeOn.COLOUR_BACK} <= kinds
    assert found.material is not None
    assert found.material.purge_kg > 0
    assert "purged to otter brown" in found.headline


def test_resins_that_must_never_meet_are_said_first_and_cannot_be_overlooked() -> None:
    make_asked()
    weigh()
    run_job(resin="PVC-P")
    request = find_request(otter.SLUG, otter.TOOL, NAME)
    request.resin = "POM"
    request.save()
    found = planned()
    assert "POM" in found.cautions[0].text
    assert "PVC" in found.cautions[0].text
    assert "PVC-P and POM must never meet without a full purge" in found.headline
    assert does(found)[0] == "Purge the barrel empty first."
    stops = [one.do.startswith("STOP: PVC-P and POM must never meet") for one in found.steps]
    hung = next(i for i, one in enumerate(found.steps) if one.do.startswith("Hang the tool"))
    assert stops.index(True) < hung
    assert sum(stops) == 2


def test_a_press_whose_job_must_not_be_stopped_is_taken_last() -> None:
    make_asked()
    run_job("P1", may_stop=False)
    found = planned()
    assert found.press is not None
    assert found.press.press == "P2"
    assert "P1 must not be stopped" in found.press.why


def test_a_fixed_slot_is_kept_whatever_fits_better() -> None:
    request = make_asked()
    run_job("P1")
    fix_slot(
        request, Press.objects.get(code="P2"), datetime(2026, 3, 25, 8, 30, tzinfo=UTC), made_by="tester"
    )
    found = planned()
    assert found.press is not None
    assert (found.press.press, found.press.fixed) == ("P2", True)
    assert found.press.starts_at == datetime(2026, 3, 25, 8, 30, tzinfo=UTC)
    assert "Fix its slot: press and hour." not in does(found)


def test_the_job_is_that_of_the_day_of_the_trial() -> None:
    request = make_asked()
    run_job("P1", code="J-1", ends=date(2026, 3, 24))
    run_job("P1", code="J-2", begins=date(2026, 3, 25), colour="teal")
    fix_slot(request, Press.objects.get(code="P1"), datetime(2026, 3, 26, 9, 0, tzinfo=UTC), made_by="tester")
    found = planned()
    assert found.press is not None
    assert found.press.job.startswith("J-2")


def test_on_the_same_steel_failing_sizes_are_decided_first() -> None:
    make_asked()
    found = planned()
    assert does(found)[0] == "Decide on the correction first: the steel is as at T1."
    ToolState.objects.create(tool=Tool.objects.get(), label="b", ordinal=2)
    found = planned()
    assert not any("correction" in one for one in does(found))
    assert found.state == "b"
    assert "cut since T1" in facts(found)["Steel"]


def test_cuts_that_are_decided_and_not_made_hold_the_trial_back_and_made_ones_are_to_be_confirmed() -> None:
    make_asked()
    trial, tool = Trial.objects.get(), Tool.objects.get()
    feature, cavity = SteelFeature.objects.get(code="F12"), Cavity.objects.get(label="2")
    cut = Correction.objects.create(
        trial=trial, feature=feature, cavity=cavity, amount_mm=0.03, size_before_mm=4.0, size_after_mm=4.03,
        allowance_left_mm=0.09, reason="small", cause="steel left on purpose", method="by hand",
        made_at=otter.NOW,
    )  # fmt: skip
    Prediction.objects.create(
        trial=trial, correction=cut, characteristic=Characteristic.objects.get(number="12"), cavity=cavity,
        mean=4.005, low=3.999, high=4.011, confidence=0.8, sd=0.004,
    )  # fmt: skip
    assert does(planned())[0] == "Wait for the steel: 1 cut is decided and not made."
    assert not any(one.kind == "foretold" for one in planned().confirm)
    cut.status, cut.resulting_state = (
        CorrectionStatus.CUT,
        ToolState.objects.create(tool=tool, label="b", ordinal=2),
    )
    cut.save()
    first = planned().confirm[0]
    assert (first.about, first.kind) == ("HO-02 12, cavity 2", "foretold")
    assert first.says == "4.005 mm (3.999 to 4.011), foretold at T1"


def test_a_trial_that_has_run_says_so() -> None:
    make_asked()
    otter.read_trial(otter.readings_csv(seed=9), trial=NAME, name="t2.csv")
    found = planned()
    assert found.has_run
    assert found.headline == "M2 T2 has run: this was its plan."


def test_a_trial_for_nothing_is_asked_what_it_is_for() -> None:
    request = make_asked()
    request.wants.all().delete()
    found = planned()
    assert found.shots is None
    assert found.missing[0].what == "what the trial is for"


def test_the_first_trial_of_a_tool_has_practice_alone() -> None:
    tool = otter.make_programme()
    Press.objects.create(programme=tool.programme, code="P1")
    ask(tool, {TrialPurpose.FIRST_LOOK: None, TrialPurpose.SHORT_SHOTS: None}, name=NAME)
    found = planned()
    assert found.shots is not None
    assert found.shots.shots == 50
    assert found.confirm == ()


def test_the_slot_takes_the_hours_that_were_asked_else_those_of_the_plan_without_the_colour() -> None:
    request = find_request(otter.SLUG, otter.TOOL, make_asked().name)
    run_job()
    found = press_time_of(request, on=ON)
    assert found.time is not None
    assert found.hours == independent(sum(one.minutes for one in found.time.lines) / 60, way="sum")
    assert not {TimeOn.COLOUR, TimeOn.COLOUR_BACK} & {one.what for one in found.time.lines}
    request.hours = 6.5
    assert press_time_of(request, on=ON).hours == 6.5


def test_the_lines_of_the_time_add_up_to_all_shots() -> None:
    make_asked()
    run_job()
    found = planned()
    assert found.time is not None
    assert found.shots is not None
    of_shots = [one for one in found.time.lines if one.what in (TimeOn.SETTLE, TimeOn.SHOTS)]
    assert sum(one.minutes for one in of_shots) == independent(found.shots.minutes, way="shots times cycle")
    assert sum(one.least for one in of_shots) == independent(found.shots.minutes_least, way="the same")
    assert sum(one.most for one in of_shots) == independent(found.shots.minutes_most, way="the same")
    assert ceil(found.time.least) <= ceil(found.time.minutes) <= ceil(found.time.most)

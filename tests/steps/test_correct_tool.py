"""Correcting a tool: what is proposed, what is decided, and what the next trial then says."""

from __future__ import annotations

import pytest

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.records.models import Correction, Prediction, Programme, Tool, Trial
from offtool.records.queries.finding import NotInRecord
from offtool.steps.correct_tool import correct_tool, keep_changes
from offtool.steps.cut_steel import SteelMeasured, record_cut
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.steel_changes import ToolCorrection
from tests.steps.clip import LENGTH, NOON, PEG, SLUG, TOOL, keep, trial_file


@pytest.fixture
def measured(clip: Programme) -> Programme:
    """The clip after its first trial: the peg small on purpose, the length short by shrinkage."""
    keep(trial_file())
    return clip


def decide(chosen: list[tuple[str, str]] | None = None) -> ToolCorrection:
    return keep_changes(SLUG, TOOL, "T1", chosen=chosen, made_at=NOON, made_by="engineer")


def refused(chosen: list[tuple[str, str]] | None) -> OfftoolError:
    before = Correction.objects.count(), Prediction.objects.count()
    with pytest.raises(OfftoolError) as refusal:
        decide(chosen)
    assert (Correction.objects.count(), Prediction.objects.count()) == before
    return refusal.value


def test_each_cut_says_which_steel_by_how_much_and_which_way_the_part_goes(measured: Programme) -> None:
    correction = correct_tool(SLUG, TOOL, "T1")
    assert {(one.feature, one.cavity) for one in correction.changes} == {
        ("CV1", "1"),
        ("CV1", "2"),
        ("CV2", "1"),
        ("CV2", "2"),
    }
    assert correction.headline == "Cut 2 steel features, 4 cuts over the cavities; all remove steel."
    for change in correction.changes:
        # the part misses its target by this much: the middle of the limits less the mean of the file
        missing = (4.005 - PEG) if change.feature == "CV1" else (20.0 - LENGTH)
        assert change.amount_mm == pytest.approx(missing, abs=0.011)
        assert change.removes
        assert change.size_after_mm == pytest.approx(change.size_before_mm + change.amount_mm)
        assert change.allowance_left_mm == pytest.approx(0.3 - change.amount_mm)
        (expected,) = change.expected
        assert expected.gets == "LARGER"
        assert expected.lower is not None
        assert expected.upper is not None
        assert expected.lower < expected.expected < expected.upper
        assert expected.interval.low < expected.expected < expected.interval.high
    assert {one.cause for one in correction.changes if one.feature == "CV1"} == {"steel left on purpose"}


def test_proposing_stores_nothing(measured: Programme) -> None:
    assert correct_tool(SLUG, TOOL, "T1").kept == ()
    assert not Correction.objects.exists()
    assert not Prediction.objects.exists()


def test_all_that_is_decided_is_kept_with_its_prediction_and_its_inputs(measured: Programme) -> None:
    correction = decide()
    assert [(one.feature, one.cavity, one.status) for one in correction.kept] == [
        ("CV1", "1", "proposed"),
        ("CV1", "2", "proposed"),
        ("CV2", "1", "proposed"),
        ("CV2", "2", "proposed"),
    ]
    for kept in Correction.objects.all():
        assert (kept.made_at, kept.made_by) == (NOON, "engineer")
        assert kept.inputs["cut"]["amount_mm"] == kept.amount_mm
        assert kept.reason
    assert Prediction.objects.count() == 4
    assert set(Prediction.objects.values_list("outcome", flat=True)) == {""}


def test_only_what_was_chosen_is_kept(measured: Programme) -> None:
    correction = decide([("CV2", "2")])
    assert [(one.feature, one.cavity) for one in correction.kept] == [("CV2", "2")]
    (foretold,) = Prediction.objects.all()
    assert (foretold.characteristic.number, foretold.cavity.label) == ("2", "2")


def test_the_rest_can_be_decided_later(measured: Programme) -> None:
    decide([("CV2", "2")])
    correction = decide([("CV1", "1"), ("CV1", "1")])
    assert {(one.feature, one.cavity) for one in correction.kept} == {("CV2", "2"), ("CV1", "1")}


def test_a_cut_that_is_not_proposed_is_refused_with_those_that_are(measured: Programme) -> None:
    error = refused([("CV1", "1"), ("CV9", "1")])
    assert error.what == "no cut is proposed for CV9 in cavity 1"
    assert "CV1/1, CV1/2, CV2/1, CV2/2" in error.remedy


def test_nothing_is_decided_twice(measured: Programme) -> None:
    decide([("CV1", "1")])
    assert refused(None).what == "CV1/1 was kept from T1 before"


def test_deciding_on_nothing_is_refused(measured: Programme) -> None:
    assert refused([]).what == "nothing was chosen to keep"


def test_unknown_names_are_answered_with_the_nearest(measured: Programme) -> None:
    for place in (("clop", TOOL, "T1"), (SLUG, "M9", "T1"), (SLUG, TOOL, "T9")):
        with pytest.raises(NotInRecord) as refusal:
            correct_tool(*place)
        assert "did you mean" in refusal.value.remedy or "known are" in refusal.value.remedy


def test_a_trial_without_readings_cannot_be_corrected_from(clip: Programme) -> None:
    tool = Tool.objects.get()
    Trial.objects.create(tool=tool, name="T1", state=tool.states.get())
    with pytest.raises(NotEnoughData, match="no size was measured in tool state a"):
        correct_tool(SLUG, TOOL, "T1")
    assert inspect_trial(SLUG, TOOL, "T1").plan is None


def test_without_measured_steel_nothing_is_cut_and_the_steel_to_measure_is_named(clip: Programme) -> None:
    Tool.objects.get().features.get(code="CV2").sizes.all().delete()
    keep(trial_file())
    correction = correct_tool(SLUG, TOOL, "T1")
    assert {one.feature for one in correction.changes} == {"CV1"}
    (left,) = correction.not_changed
    assert (left.number, left.cavities, left.remedy) == ("2", ("1", "2"), "measure CV2 in the steel")


def test_where_all_holds_no_steel_is_cut(clip: Programme) -> None:
    keep(trial_file(peg=4.005, length=20.0))
    correction = correct_tool(SLUG, TOOL, "T1")
    assert (correction.changes, correction.headline) == ((), "No steel is cut.")
    assert refused(None).what == "nothing was chosen to keep"


@pytest.mark.parametrize(("peg", "outcome"), [(4.003, "confirmed"), (4.06, "refuted")])
def test_the_next_trial_judges_what_was_foretold(measured: Programme, peg: float, outcome: str) -> None:
    decide([("CV1", "1"), ("CV1", "2")])
    record_cut(
        SLUG, TOOL, remeasured={("CV1", cavity): SteelMeasured(measured_mm=4.024) for cavity in ("1", "2")}
    )
    kept = keep(trial_file(peg=peg, seed=2), trial="T2", name="m1_t2.csv")
    assert kept.predictions_judged == 2
    assert {one.outcome for one in Prediction.objects.all()} == {outcome}
    assert {one.judged.outcome for one in inspect_trial(SLUG, TOOL, "T2").predictions} == {outcome}
    assert inspect_trial(SLUG, TOOL, "T1").predictions == ()


def test_what_was_judged_stays_judged_by_the_first_trial(measured: Programme) -> None:
    decide([("CV1", "1")])
    record_cut(SLUG, TOOL, remeasured={("CV1", "1"): SteelMeasured(measured_mm=4.024)})
    keep(trial_file(peg=4.003, seed=2), trial="T2", name="m1_t2.csv")
    assert keep(trial_file(peg=4.2, seed=3), trial="T3", name="m1_t3.csv").predictions_judged == 0
    (foretold,) = Prediction.objects.all()
    assert (foretold.judged_in and foretold.judged_in.name, foretold.outcome) == ("T2", "confirmed")

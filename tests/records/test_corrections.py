"""Decisions and predictions are kept as they were made, and judged once."""

from __future__ import annotations

from typing import Any

import pytest

from offtool.core.values import OfftoolError
from offtool.handbook.terms import Cause, Outcome
from offtool.records.models import Correction, Prediction, Trial
from offtool.records.operations import (
    NewCorrection,
    NewPrediction,
    drop_corrections,
    judge_predictions,
    keep_corrections,
    keep_predictions,
)
from tests.records.example import NOON, Example


def decided(example: Example, **changed: Any) -> NewCorrection:
    values: dict[str, Any] = {
        "feature": example.pin,
        "cavity": example.cavities[0],
        "amount_mm": 0.02,
        "size_before_mm": 4.06,
        "size_after_mm": 4.02,
        "allowance_left_mm": 0.08,
        "reason": "bore 0.04 too large",
        "cause": Cause.STEEL_SAFE,
        "method": "direct, offtool 0.1.0",
        "inputs": {"mean": 4.04, "shots": (3, 4)},
    } | changed
    return NewCorrection(**values)


def foretold(example: Example, **changed: Any) -> NewPrediction:
    values: dict[str, Any] = {
        "characteristic": example.bore,
        "cavity": example.cavities[0],
        "mean": 4.0,
        "low": 3.98,
        "high": 4.02,
        "confidence": 0.8,
        "sd": 0.015,
    } | changed
    return NewPrediction(**values)


def keep(example: Example, *new: NewCorrection) -> list[Correction]:
    return keep_corrections(example.trial, new, made_at=NOON, made_by="Ada")


def test_a_correction_keeps_its_inputs_and_waits(example: Example) -> None:
    (kept,) = keep(example, decided(example))
    kept.refresh_from_db()
    assert (kept.status, kept.cause, kept.made_by, kept.resulting_state) == (
        "proposed",
        "steel left on purpose",
        "Ada",
        None,
    )
    assert kept.inputs == {"mean": 4.04, "shots": [3, 4]}


def test_corrections_are_kept_all_or_none(example: Example) -> None:
    with pytest.raises(OfftoolError, match="the cavity belongs to another tool or part than the feature"):
        keep(example, decided(example), decided(example, cavity=example.limb_cavity))
    assert not Correction.objects.exists()


def test_an_allowance_used_up_to_the_last_bit_is_none_left(example: Example) -> None:
    (kept,) = keep(example, decided(example, allowance_left_mm=0.3 - 0.1 - 0.2))
    assert kept.allowance_left_mm == 0.0
    with pytest.raises(OfftoolError, match="allowance_left_mm must be at least 0"):
        keep(example, decided(example, cavity=example.cavities[1], allowance_left_mm=-0.01))


def test_a_dropped_correction_stays_in_the_record(example: Example) -> None:
    correction = example.correction()
    drop_corrections([correction])
    correction.refresh_from_db()
    assert correction.status == "dropped"


def test_steel_that_was_cut_does_not_come_back(example: Example) -> None:
    waiting = example.correction(cavity=example.cavities[1])
    cut = example.correction(status="cut", resulting_state=example.state)
    with pytest.raises(OfftoolError, match="steel does not come back"):
        drop_corrections([waiting, cut])
    waiting.refresh_from_db()
    assert waiting.status == "proposed"


def test_predictions_are_kept_in_order_and_unjudged(example: Example) -> None:
    correction = example.correction()
    first, second = keep_predictions(
        example.trial, [foretold(example, correction=correction), foretold(example, mean=3.99)]
    )
    assert (first.correction, second.correction, second.mean) == (correction, None, 3.99)
    assert set(Prediction.objects.values_list("outcome", "judged_in")) == {("", None)}


def test_a_prediction_outside_its_own_interval_is_refused(example: Example) -> None:
    with pytest.raises(OfftoolError, match="the mean must lie in its interval"):
        keep_predictions(example.trial, [foretold(example), foretold(example, mean=5.0)])
    assert not Prediction.objects.exists()


def test_the_next_trial_judges_and_its_word_stands(example: Example) -> None:
    first, second = keep_predictions(example.trial, [foretold(example), foretold(example)])
    later = Trial.objects.create(tool=example.tool, name="T2", state=example.state)
    judge_predictions(later, {first.pk: Outcome.CONFIRMED})
    assert list(Prediction.objects.order_by("pk").values_list("outcome", "judged_in")) == [
        ("confirmed", later.pk),
        ("", None),
    ]
    with pytest.raises(OfftoolError, match="judged once"):
        judge_predictions(later, {second.pk: Outcome.REFUTED, first.pk: Outcome.REFUTED})
    second.refresh_from_db()
    assert second.outcome == ""


def test_a_trial_of_another_tool_cannot_judge(example: Example) -> None:
    (kept,) = keep_predictions(example.trial, [foretold(example)])
    with pytest.raises(OfftoolError, match="a trial of another tool cannot judge it"):
        judge_predictions(example.trial_2, {kept.pk: Outcome.REFUTED})

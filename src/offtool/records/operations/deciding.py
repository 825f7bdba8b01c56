"""Keeping what was decided and foretold, and what the next trial said of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LONGEST_NAME, Cause, CorrectionStatus, Outcome
from offtool.records.models import Cavity, Characteristic, Correction, Prediction, SteelFeature, Trial
from offtool.records.plain import plain_json, plain_text
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewCorrection:
    """A correction as it was decided; amount and allowance in the feature's stated measure."""

    feature: SteelFeature
    cavity: Cavity
    amount_mm: float
    size_before_mm: float
    size_after_mm: float
    allowance_left_mm: float
    reason: str
    cause: Cause
    method: str
    inputs: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPrediction:
    """What the next trial should show of one characteristic in one cavity."""

    characteristic: Characteristic
    cavity: Cavity
    mean: float
    low: float
    high: float
    confidence: float
    sd: float
    correction: Correction | None = None


def keep_corrections(
    trial: Trial, decided: Sequence[NewCorrection], *, made_at: datetime, made_by: str
) -> list[Correction]:
    """Keep corrections made from a trial, as proposed; in the order given.

    Raises OfftoolError for one that the record refuses, such as a feature of another tool; none is kept then.
    """
    with refusals_in_words(), transaction.atomic():
        return [
            Correction.objects.create(
                trial=trial,
                feature=new.feature,
                cavity=new.cavity,
                amount_mm=new.amount_mm,
                size_before_mm=new.size_before_mm,
                size_after_mm=new.size_after_mm,
                allowance_left_mm=_no_dust(new.allowance_left_mm),
                reason=plain_text(new.reason),
                cause=new.cause.value,
                method=plain_text(new.method),
                inputs=plain_json(dict(new.inputs)),
                made_at=made_at,
                made_by=plain_text(made_by)[:LONGEST_NAME],
            )
            for new in decided
        ]


def _no_dust(allowance_mm: float) -> float:
    """An allowance used up to the last bit can come out a rounding error below zero."""
    return 0.0 if -1e-9 < allowance_mm < 0 else allowance_mm


def keep_predictions(trial: Trial, foretold: Sequence[NewPrediction]) -> list[Prediction]:
    """Keep predictions made from a trial, in the order given; none is judged yet.

    Raises OfftoolError for one that the record refuses, such as a cavity of another part; none is kept then.
    """
    with refusals_in_words(), transaction.atomic():
        return Prediction.objects.bulk_create(
            Prediction(
                trial=trial,
                correction=new.correction,
                characteristic=new.characteristic,
                cavity=new.cavity,
                mean=new.mean,
                low=new.low,
                high=new.high,
                confidence=new.confidence,
                sd=new.sd,
            )
            for new in foretold
        )


def drop_corrections(corrections: Collection[Correction]) -> None:
    """Mark proposed corrections as dropped; they stay in the record.

    Raises OfftoolError for one that was cut; none is dropped then.
    """
    with transaction.atomic():
        chosen = Correction.objects.filter(pk__in=[correction.pk for correction in corrections])
        for correction in chosen.select_related("feature"):
            if correction.status == CorrectionStatus.CUT:
                raise OfftoolError(
                    f"the correction of {correction.feature} was cut: steel does not come back",
                    remedy="make a new correction",
                )
            correction.status = CorrectionStatus.DROPPED
            correction.save(update_fields=["status"])


def judge_predictions(trial: Trial, outcomes: Mapping[int, Outcome]) -> None:
    """Write down what a trial says of predictions: id of the prediction to its outcome.

    A prediction that was judged before keeps its first judgement: asking for another is an OfftoolError.
    """
    with refusals_in_words(), transaction.atomic():
        for prediction in Prediction.objects.select_for_update().filter(pk__in=outcomes):
            if prediction.judged_in_id is not None:
                raise OfftoolError("a prediction is judged once", remedy="leave it out")
            prediction.judged_in = trial
            prediction.outcome = outcomes[prediction.pk].value
            prediction.save(update_fields=["judged_in", "outcome"])

"""What was decided and foretold: corrections to the steel, and the sizes the next trial should show."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import (
    ANY_NUMBER,
    NOT_NEGATIVE,
    POSITIVE,
    SHARE,
    Cause,
    CorrectionStatus,
    Outcome,
)
from offtool.records.models.base import kept_history, name_field, not_zero, once, one_of, within, word_field
from offtool.records.models.parts import Characteristic
from offtool.records.models.tools import Cavity, SteelFeature, ToolState
from offtool.records.models.trials import Trial


class Correction(models.Model):
    """A change to one feature in one cavity. What was decided is never updated; how far it came is."""

    trial = models.ForeignKey(
        Trial, on_delete=models.PROTECT, related_name="corrections", help_text="The trial it was made from."
    )
    feature = models.ForeignKey(SteelFeature, on_delete=models.PROTECT, related_name="corrections")
    cavity = models.ForeignKey(Cavity, on_delete=models.PROTECT, related_name="corrections")
    amount_mm = models.FloatField(help_text="Steel to remove, or below 0 to add, in the stated measure.")
    size_before_mm = models.FloatField(help_text="Steel size before the cut, mm.")
    size_after_mm = models.FloatField(help_text="Steel size after the cut, mm.")
    allowance_left_mm = models.FloatField(help_text="Steel that may still be removed after the cut, mm.")
    reason = models.TextField(help_text="Why, in a sentence the toolmaker can read.")
    cause = word_field(Cause, "Why the size is off.")
    method = models.TextField(help_text="How the amount was found, with the version of the program.")
    inputs = models.JSONField(default=dict, blank=True, help_text="Everything the amount was computed from.")
    status = word_field(CorrectionStatus, "How far it has come.", default=CorrectionStatus.PROPOSED.value)
    made_at = models.DateTimeField(help_text="When it was decided.")
    made_by = name_field("Who decided it.", blank=True, default="")
    resulting_state = models.ForeignKey(
        ToolState,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="corrections_cut",
        help_text="The state of the tool in which it was cut.",
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("correction_once", "trial", "feature", "cavity", "made_at"),
            *within("correction", ANY_NUMBER, "amount_mm"),
            not_zero("correction", "amount_mm", "a correction that changes no steel is none"),
            *within("correction", POSITIVE, "size_before_mm", "size_after_mm"),
            *within("correction", NOT_NEGATIVE, "allowance_left_mm"),
            one_of("correction", "cause", Cause),
            one_of("correction", "status", CorrectionStatus),
            CheckConstraint(
                condition=Q(status=CorrectionStatus.CUT, resulting_state__isnull=False)
                | (~Q(status=CorrectionStatus.CUT) & Q(resulting_state__isnull=True)),
                name="correction_cut_has_state",
                violation_error_message="a correction that was cut names the state it led to, and only then",
            ),
        )

    def __str__(self) -> str:
        return f"{self.amount_mm:+g} mm"


class Prediction(models.Model):
    """What a characteristic should measure in one cavity at the next trial. Judged once, never changed."""

    trial = models.ForeignKey(
        Trial, on_delete=models.PROTECT, related_name="predictions", help_text="The trial it was made from."
    )
    correction = models.ForeignKey(
        Correction, on_delete=models.PROTECT, null=True, blank=True, related_name="predictions"
    )
    characteristic = models.ForeignKey(Characteristic, on_delete=models.PROTECT, related_name="predictions")
    cavity = models.ForeignKey(Cavity, on_delete=models.PROTECT, related_name="predictions")
    mean = models.FloatField(help_text="The mean that is expected.")
    low = models.FloatField(help_text="Lower end of the interval for that mean.")
    high = models.FloatField(help_text="Upper end of the interval for that mean.")
    confidence = models.FloatField(help_text="How sure the interval is, as a share.")
    sd = models.FloatField(help_text="Standard deviation of the prediction.")
    judged_in = models.ForeignKey(
        Trial,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="judged_predictions",
        help_text="The trial whose readings judged it.",
    )
    outcome = word_field(Outcome, "What that trial said.", blank=True, default=Outcome.OPEN.value)

    class Meta:
        constraints = (
            *within("prediction", ANY_NUMBER, "mean", "low", "high"),
            *within("prediction", SHARE, "confidence"),
            *within("prediction", NOT_NEGATIVE, "sd"),
            one_of("prediction", "outcome", Outcome),
            CheckConstraint(
                condition=Q(low__lte=F("mean"), mean__lte=F("high")),
                name="prediction_in_its_interval",
                violation_error_message="the mean must lie in its interval",
            ),
            CheckConstraint(
                condition=Q(judged_in__isnull=True, outcome=Outcome.OPEN)
                | (Q(judged_in__isnull=False) & ~Q(outcome=Outcome.OPEN)),
                name="prediction_judged_by_a_trial",
                violation_error_message="an outcome names the trial that judged it, and only then",
            ),
        )

    def __str__(self) -> str:
        return f"{self.mean:g} ({self.low:g} to {self.high:g})"

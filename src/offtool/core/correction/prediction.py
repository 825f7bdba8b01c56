"""Whether a trial confirms what was predicted for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, sqrt

from scipy import special

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.values import Caution, Interval, Range


class Outcome(StrEnum):
    """What the next trial says of a prediction."""

    CONFIRMED = "confirmed"
    REFUTED = "refuted"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedPrediction:
    """A prediction beside what was found; `z` is the difference over its standard uncertainty."""

    outcome: Outcome
    difference: float
    z: float
    predicted_mean: float
    predicted_sd: float
    observed_mean: float
    observed_uncertainty: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "predicted_mean": Range(meaning="mean predicted for the next trial", unit="as measured"),
        "predicted_sd": Range(
            meaning="standard uncertainty of the prediction, the next trial's sampling included",
            unit="as measured",
            above=0,
        ),
        "observed_mean": Range(meaning="mean found", unit="as measured"),
        "observed_uncertainty": Range(
            meaning="standard uncertainty of the mean found", unit="as measured", at_least=0
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "predicted_mean": 4.003,
        "predicted_sd": 0.006,
        "observed_mean": 4.009,
        "observed_uncertainty": 0.0015,
    },
    source="two-sided normal test of a difference; our own rule for undecided",
)
def judge_prediction(
    predicted_mean: float,
    predicted_sd: float,
    observed_mean: float,
    observed_uncertainty: float,
    *,
    confidence: float = 0.95,
) -> JudgedPrediction:
    """Whether what was found confirms a prediction, refutes it, or leaves it undecided.

    Refuted when the difference lies outside its two-sided interval; otherwise confirmed, unless the
    observation is less certain than the prediction itself: then nothing was tested and it is undecided.

    Returns: JudgedPrediction. Raises: ImpossibleInput for a prediction without uncertainty.
    """
    difference = observed_mean - predicted_mean
    # The prediction allows for the next trial's sampling; only a less certain observation adds to it.
    blunt = observed_uncertainty > predicted_sd
    z = difference / (hypot(predicted_sd, observed_uncertainty) if blunt else predicted_sd)
    if abs(z) > float(special.ndtri((1 + confidence) / 2)):
        outcome = Outcome.REFUTED
    elif blunt:
        outcome = Outcome.UNDECIDED
    else:
        outcome = Outcome.CONFIRMED
    return JudgedPrediction(
        outcome=outcome,
        difference=difference,
        z=z,
        predicted_mean=predicted_mean,
        predicted_sd=predicted_sd,
        observed_mean=observed_mean,
        observed_uncertainty=observed_uncertainty,
        confidence=confidence,
    )


def predicted_interval(mean: float, parts: Sequence[tuple[float, float]], confidence: float) -> Interval:
    """The central interval of a mean whose variance is a sum of (variance, degrees of freedom).

    Student's t with Welch and Satterthwaite's degrees of freedom (GUM G.4), since some parts are hardly
    known.
    """
    total = sum(variance for variance, _ in parts)
    lost = sum(variance**2 / freedom for variance, freedom in parts)
    freedom = min(total**2 / lost, 1e6) if lost > 0 else 1e6
    reach = float(special.stdtrit(freedom, (1 + confidence) / 2)) * sqrt(total)
    return Interval(low=mean - reach, high=mean + reach, confidence=confidence)

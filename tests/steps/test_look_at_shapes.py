"""A size that is not normal is named on its trial; normal ones are named no more often than is said."""

from __future__ import annotations

import numpy as np
import pytest

from offtool.records.models import Programme, Trial
from offtool.steps.look_at_shapes import shapes_cautions
from offtool.steps.trial_evidence import TrialEvidence
from tests.steps.clip import csv_of, keep


def file_of(peg: np.ndarray, length: np.ndarray) -> bytes:
    rows = [
        (30 + i // 2, 1 + i % 2, f"{a:.4f}", f"{b:.4f}")
        for i, (a, b) in enumerate(zip(peg, length, strict=True))
    ]
    return csv_of(["Shot", "Cavity", "P1 1", "P1 2"], rows)


def cautions_of(content: bytes) -> tuple[str, ...]:
    keep(content)
    return tuple(one.text for one in shapes_cautions(TrialEvidence(Trial.objects.get())))


def test_a_skewed_size_is_named_and_a_normal_one_is_not(clip: Programme) -> None:
    rng = np.random.default_rng(4)
    (said,) = cautions_of(file_of(4 + 0.01 * rng.exponential(size=120), rng.normal(20, 0.02, 120)))
    assert said == "1 size is not normal by more than chance: P1 1. See the index by the shape there"


def test_cavities_that_stand_apart_are_not_taken_for_a_shape(clip: Programme) -> None:
    rng = np.random.default_rng(6)
    apart = np.tile([0.0, 0.04], 60)
    assert cautions_of(file_of(rng.normal(4, 0.004, 120) + apart, rng.normal(20, 0.02, 120) + apart)) == ()


@pytest.mark.parametrize("parts", [20, 24])
def test_few_readings_name_nothing(clip: Programme, parts: int) -> None:
    rng = np.random.default_rng(4)
    skewed = 4 + 0.01 * rng.exponential(size=parts)
    assert cautions_of(file_of(skewed, skewed + 16)) == ()


def test_a_coarse_gauge_is_not_taken_for_a_shape(clip: Programme) -> None:
    rng = np.random.default_rng(5)
    steps = np.round(rng.normal(4, 0.0015, 200), 3)
    assert cautions_of(file_of(steps, rng.normal(20, 0.02, 200))) == ()

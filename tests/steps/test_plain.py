"""Results as plain data, the same for the command's JSON and the pages'."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from offtool.core.values import Caution, Interval, Verdict
from offtool.records.models import Programme
from offtool.steps.correct_tool import correct_tool
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.overview import programme_overview
from offtool.steps.plain import as_plain
from offtool.steps.read_readings import preview_readings
from tests.steps.clip import SLUG, TOOL, keep, trial_file


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    value: Any


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        (1.5, 1.5),
        (float("nan"), None),
        (float("-inf"), None),
        (Verdict.FAILS, "does not hold"),
        (date(2026, 3, 1), "2026-03-01"),
        (datetime(2026, 3, 1, 12, tzinfo=UTC), "2026-03-01T12:00:00+00:00"),
        ((1, (2.0, "x")), [1, [2.0, "x"]]),
        ({1: Verdict.HOLDS}, {"1": "holds"}),
        (np.array([[1.0, np.nan]]), [[1.0, None]]),
        (np.float64(2.5), 2.5),
        (np.bool_(True), True),
        (
            Interval(low=1.0, high=float("inf"), confidence=0.95),
            {"low": 1.0, "high": None, "confidence": 0.95},
        ),
        (Caution("mind"), {"text": "mind", "source": ""}),
        (None, None),
        (True, True),
    ],
)
def test_each_kind_of_value_has_one_plain_form(value: Any, plain: Any) -> None:
    assert as_plain(value) == plain
    assert as_plain(Bag(value=value)) == {"value": plain}


def test_every_result_of_a_trial_is_json_without_nan(clip: Programme) -> None:
    keep(trial_file())
    for result in (
        inspect_trial(SLUG, TOOL, "T1"),
        correct_tool(SLUG, TOOL, "T1"),
        programme_overview(SLUG),
        preview_readings(trial_file(seed=2), "m1.csv", programme=SLUG, tool=TOOL),
    ):
        plain = as_plain(result)
        assert json.loads(json.dumps(plain, allow_nan=False)) == plain

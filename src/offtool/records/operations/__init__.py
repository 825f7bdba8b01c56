"""What may be done to the record. Each operation happens whole or not at all."""

from __future__ import annotations

from offtool.records.operations.cutting import MeasuredSteel, record_new_state
from offtool.records.operations.deciding import (
    NewCorrection,
    NewPrediction,
    drop_corrections,
    judge_predictions,
    keep_corrections,
    keep_predictions,
)
from offtool.records.operations.storing import AlreadyRead, ReadFile, store_readings

__all__ = [
    "AlreadyRead",
    "MeasuredSteel",
    "NewCorrection",
    "NewPrediction",
    "ReadFile",
    "drop_corrections",
    "judge_predictions",
    "keep_corrections",
    "keep_predictions",
    "record_new_state",
    "store_readings",
]

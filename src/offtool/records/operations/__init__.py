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
from offtool.records.operations.gauging import (
    NewGaugeReading,
    NewStudy,
    StudyAlreadyKept,
    set_study_aside,
    store_study,
)
from offtool.records.operations.judging_readings import leave_out_readings, take_back_in
from offtool.records.operations.seeing import (
    NewFlaw,
    NewPhotograph,
    keep_defect,
    record_look,
    set_look_aside,
)
from offtool.records.operations.settling import overrule_settling, set_times
from offtool.records.operations.storing import AlreadyRead, ReadFile, store_readings

__all__ = [
    "AlreadyRead",
    "MeasuredSteel",
    "NewCorrection",
    "NewFlaw",
    "NewGaugeReading",
    "NewPhotograph",
    "NewPrediction",
    "NewStudy",
    "ReadFile",
    "StudyAlreadyKept",
    "drop_corrections",
    "judge_predictions",
    "keep_corrections",
    "keep_defect",
    "keep_predictions",
    "leave_out_readings",
    "overrule_settling",
    "record_look",
    "record_new_state",
    "set_look_aside",
    "set_study_aside",
    "set_times",
    "store_readings",
    "store_study",
    "take_back_in",
]

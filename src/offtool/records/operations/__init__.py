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
from offtool.records.operations.defining import NewSize
from offtool.records.operations.gauging import (
    NewGaugeReading,
    NewStudy,
    StudyAlreadyKept,
    set_study_aside,
    store_study,
)
from offtool.records.operations.joints import (
    NewDemand,
    NewJointReading,
    NewJointTest,
    delete_joint,
    drop_joint_demand,
    keep_demand,
    kept_tests_of,
    store_joint,
    store_joint_test,
)
from offtool.records.operations.judging_readings import leave_out_readings, take_back_in
from offtool.records.operations.seams import (
    NewWeldRun,
    NewWeldStudy,
    delete_seam,
    kept_studies_of,
    store_seam,
    store_weld_study,
)
from offtool.records.operations.seeing import (
    NewFlaw,
    NewPhotograph,
    keep_defect,
    record_look,
    set_look_aside,
)
from offtool.records.operations.settling import overrule_settling, set_times
from offtool.records.operations.storing import AlreadyRead, ReadFile, store_readings
from offtool.records.operations.tested import AlreadyKept, FileOfTest

__all__ = [
    "AlreadyKept",
    "AlreadyRead",
    "FileOfTest",
    "MeasuredSteel",
    "NewCorrection",
    "NewDemand",
    "NewFlaw",
    "NewGaugeReading",
    "NewJointReading",
    "NewJointTest",
    "NewPhotograph",
    "NewPrediction",
    "NewSize",
    "NewStudy",
    "NewWeldRun",
    "NewWeldStudy",
    "ReadFile",
    "StudyAlreadyKept",
    "delete_joint",
    "delete_seam",
    "drop_corrections",
    "drop_joint_demand",
    "judge_predictions",
    "keep_corrections",
    "keep_defect",
    "keep_demand",
    "keep_predictions",
    "kept_studies_of",
    "kept_tests_of",
    "leave_out_readings",
    "overrule_settling",
    "record_look",
    "record_new_state",
    "set_look_aside",
    "set_study_aside",
    "set_times",
    "store_joint",
    "store_joint_test",
    "store_readings",
    "store_seam",
    "store_study",
    "store_weld_study",
    "take_back_in",
]

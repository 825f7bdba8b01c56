"""What is asked of the record."""

from __future__ import annotations

from offtool.core.values import nearest
from offtool.records.queries.exclusions import LeftOutReadings, left_out_of
from offtool.records.queries.finding import (
    find_programme,
    find_tool,
    find_trial,
    latest_state,
    steel_in_state,
)
from offtool.records.queries.joints import (
    JointReadings,
    demands_counting,
    find_joint,
    find_joint_test,
    joint_readings,
    joint_tests_of,
    joints_of,
)
from offtool.records.queries.looks import (
    LookFound,
    cavity_names,
    find_cavity,
    find_look,
    find_photograph,
    listing_changes,
    looks_of,
)
from offtool.records.queries.readings import load_readings
from offtool.records.queries.seams import (
    WeldRuns,
    find_seam,
    find_weld_study,
    seams_of,
    studies_of_seam,
    weld_runs,
)
from offtool.records.queries.studies import (
    SPREAD_KINDS,
    choose_study,
    find_gauge,
    find_study,
    readings_of_studies,
    studies_of_gauge,
    studies_of_gauges,
    studies_of_programme,
    study_that_counts,
)
from offtool.records.queries.trials import place_in_time, trials_up_to

__all__ = [
    "SPREAD_KINDS",
    "JointReadings",
    "LeftOutReadings",
    "LookFound",
    "WeldRuns",
    "cavity_names",
    "choose_study",
    "demands_counting",
    "find_cavity",
    "find_gauge",
    "find_joint",
    "find_joint_test",
    "find_look",
    "find_photograph",
    "find_programme",
    "find_seam",
    "find_study",
    "find_tool",
    "find_trial",
    "find_weld_study",
    "joint_readings",
    "joint_tests_of",
    "joints_of",
    "latest_state",
    "left_out_of",
    "listing_changes",
    "load_readings",
    "looks_of",
    "nearest",
    "place_in_time",
    "readings_of_studies",
    "seams_of",
    "steel_in_state",
    "studies_of_gauge",
    "studies_of_gauges",
    "studies_of_programme",
    "studies_of_seam",
    "study_that_counts",
    "trials_up_to",
    "weld_runs",
]

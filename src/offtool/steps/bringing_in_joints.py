"""Bringing joints and seams of a folder into the record: definitions, tests, weld studies and demands.

Of a test and of a study only `set_aside` may change; of a demand only `dropped`.
"""

from __future__ import annotations

from offtool.exchange.programme import ProgrammeFolder
from offtool.steps.answering import Known
from offtool.steps.bringing_in import TableLoaded, bring_in
from offtool.steps.bringing_in_measured import bring_in_measured
from offtool.steps.joint_tables import (
    JOINT_DEMANDS,
    JOINT_READINGS,
    JOINT_SIZES,
    JOINT_TESTS,
    JOINTS,
    SEAM_SIZES,
    SEAMS,
    WELD_RUNS,
    WELD_STUDIES,
)


def bring_in_joints(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """Joints with their sizes, the tests of assembled pieces, and what the joints ask."""
    return (
        bring_in(JOINTS, told.joints, known),
        bring_in(JOINT_SIZES, told.joint_sizes, known),
        *bring_in_measured(told, JOINT_TESTS, JOINT_READINGS, known=known),
        bring_in(JOINT_DEMANDS, told.joint_demands, known),
    )


def bring_in_seams(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """Seams with their sizes, and the studies of the welder on them."""
    return (
        bring_in(SEAMS, told.seams, known),
        bring_in(SEAM_SIZES, told.seam_sizes, known),
        *bring_in_measured(told, WELD_STUDIES, WELD_RUNS, known=known),
    )

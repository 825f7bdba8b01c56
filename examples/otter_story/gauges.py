"""The measuring microscope's gauge study, made from what the gauge truly does."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
from examples.otter_story.hidden import GAUGE_SD
from examples.otter_story.programme import SLUG

from offtool.handbook.terms import StudyKind
from offtool.steps.keep_study import StudyAbout, keep_study

GAUGE, STUDY, SIZE = "MSC-02", "S1", "HO-01 4"
FILE = "MSC-02_crossed_study.csv"
DONE_ON = date(2026, 1, 20)
PEOPLE = {"Early": 0.0003, "Late": -0.0002, "Night": -0.0004}
"""Who measured, and by how much each reads otherwise than the mean, in mm."""
PARTS, TIMES = 10, 3
SEED = 20260120


def study_file() -> bytes:
    """A row a reading."""
    random = np.random.default_rng(SEED)
    bores = np.round(random.normal(6.005, 0.012, PARTS), 4)
    rows = ["Part,Operator,Trial,Reading [mm]"]
    for number, bore in enumerate(bores, 1):
        for who, off in PEOPLE.items():
            for time in range(1, TIMES + 1):
                rows.append(f"{number},{who},{time},{bore + off + random.normal(0, GAUGE_SD[GAUGE]):.3f}")
    return "\n".join([*rows, ""]).encode()


def study_the_microscope() -> None:
    """Keep the study in the open record."""
    keep_study(
        study_file(),
        FILE,
        programme=SLUG,
        gauge=GAUGE,
        study=STUDY,
        about=StudyAbout(kind=StudyKind.CROSSED, size=SIZE, done_on=DONE_ON),
        read_at=datetime(2026, 1, 21, 9, tzinfo=UTC),
        read_by="gauge room",
    )

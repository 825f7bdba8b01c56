"""The trials of the story: when each was run, how it was measured, and in whose style its file is written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

from examples.otter_story.drawings import ARM_LEG, HEAD_TAIL_CLAM, TORSO, ToolDrawing
from examples.otter_story.gauge_room import (
    long_chinese_csv,
    long_csv,
    report_xlsx,
    wide_german_csv,
    wide_messy_xlsx,
    wide_text_xlsx,
)
from examples.otter_story.measured import Cell, Hand, Measured

FIRST_CUT_ON = date(2026, 1, 28)
CUT_DAYS = 12
"""From a trial to the tool's next state."""
MISREAD = ("M3", "T1", "CV502", "3")
"""The cut that the toolmaker took for the diameter where it was stated per side: half of it was made."""
MEASURED_LATE = ("M3", "T2", "CV506")
"""Steel that nobody had measured before; it was measured when the tool was open after this trial."""
LAST_TRIAL = "T3"
SLIP: Cell = (21, "1", "HO-06 3")
"""The reading of the second head and tail trial that was written with two digits crossed."""


def _crossed(text: str) -> str:
    """5.003 as 5.030."""
    return text[:-2] + text[-1] + text[-2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One trial: shots measured are `shots` in number, every `every`-th from the start."""

    drawing: ToolDrawing
    name: str
    shot_on: date
    shots: int
    every: int
    press: str
    colour: str
    resin_lot: str
    age_h: float
    file: str
    write: Callable[[Measured], bytes]
    by_hand: Mapping[Cell, Hand] = field(default_factory=dict)
    times_noted: bool = False
    """Whether somebody wrote down when it was moulded and measured, not only how old the parts were."""

    @property
    def moulded_at(self) -> datetime:
        """When the last shot was moulded."""
        return datetime.combine(self.shot_on, time(14), UTC)

    @property
    def measured_at(self) -> datetime:
        """When measuring began."""
        return self.moulded_at + timedelta(hours=self.age_h)

    @property
    def read_at(self) -> datetime:
        """The file is read the week after."""
        return datetime.combine(self.shot_on, time(9), UTC) + timedelta(days=4)

    @property
    def cut_on(self) -> date:
        """The day the tool's next state is ready."""
        return self.shot_on + timedelta(days=CUT_DAYS)


def _missing_in_the_last_arm_trial() -> Iterator[tuple[Cell, Hand]]:
    """An arm broke, one slot could not be measured, and the heel step was measured on two shots only."""
    for size in ARM_LEG.sizes:
        if size.part == "HO-04":
            yield (24, "3", size.key), lambda _: "-"
    yield (30, "2", "HO-04 7"), lambda _: "OOL"
    for shot in range(3, 43, 3):
        if shot not in (9, 27):
            for label in ARM_LEG.labels:
                yield (shot, label, "HO-05 7"), lambda _: ""


RUNS = (
    Run(
        drawing=TORSO,
        name="T1",
        shot_on=date(2026, 2, 3),
        shots=14,
        every=3,
        press="150 t, no. 4",
        colour="teal of the running job",
        resin_lot="A-0117",
        age_h=20,
        file="M1_T1_Messprotokoll.csv",
        write=wide_german_csv,
    ),
    Run(
        drawing=HEAD_TAIL_CLAM,
        name="T1",
        shot_on=date(2026, 2, 4),
        shots=8,
        every=20,
        press="120 t, no. 2",
        colour="natural",
        resin_lot="A-0117",
        age_h=24,
        file="M2_T1_first_article.xlsx",
        write=report_xlsx,
    ),
    Run(
        drawing=ARM_LEG,
        name="T1",
        shot_on=date(2026, 2, 5),
        shots=12,
        every=3,
        press="80 t, no. 9",
        colour="black of the running job",
        resin_lot="P-0902",
        age_h=24,
        file="M3_T1_dimensions.csv",
        write=long_chinese_csv,
    ),
    Run(
        drawing=TORSO,
        name="T2",
        shot_on=date(2026, 2, 24),
        shots=14,
        every=3,
        press="150 t, no. 4",
        colour="otter brown, trial batch",
        resin_lot="A-0121",
        age_h=24,
        file="M1_T2_Messprotokoll.csv",
        write=wide_german_csv,
        by_hand={
            (21, "1", "HO-02 3"): lambda text: text + "*",
            (30, "2", "HO-03 2"): lambda text: text + " mm",
        },
    ),
    Run(
        drawing=HEAD_TAIL_CLAM,
        name="T2",
        shot_on=date(2026, 2, 25),
        shots=14,
        every=3,
        press="120 t, no. 2",
        colour="otter brown, trial batch",
        resin_lot="A-0121",
        age_h=24,
        file="M2_T2_readings.csv",
        write=long_csv,
        by_hand={SLIP: _crossed},
        times_noted=True,
    ),
    Run(
        drawing=ARM_LEG,
        name="T2",
        shot_on=date(2026, 2, 26),
        shots=12,
        every=3,
        press="80 t, no. 9",
        colour="natural",
        resin_lot="P-0902",
        age_h=72,
        file="M3_T2_data.xlsx",
        write=wide_text_xlsx,
    ),
    Run(
        drawing=TORSO,
        name="T3",
        shot_on=date(2026, 3, 17),
        shots=14,
        every=3,
        press="150 t, no. 4",
        colour="otter brown",
        resin_lot="A-0130",
        age_h=24,
        file="M1_T3_Messprotokoll.csv",
        write=wide_german_csv,
    ),
    Run(
        drawing=HEAD_TAIL_CLAM,
        name="T3",
        shot_on=date(2026, 3, 18),
        shots=14,
        every=3,
        press="120 t, no. 2",
        colour="otter brown",
        resin_lot="A-0130",
        age_h=24,
        file="M2_T3_readings.csv",
        write=long_csv,
    ),
    Run(
        drawing=ARM_LEG,
        name="T3",
        shot_on=date(2026, 3, 19),
        shots=14,
        every=3,
        press="80 t, no. 9",
        colour="natural",
        resin_lot="P-0911",
        age_h=72,
        file="M3_T3_data.xlsx",
        write=wide_messy_xlsx,
        by_hand=dict(_missing_in_the_last_arm_trial()),
    ),
)
"""In order of time; the third trials are measured and not read yet: that is where the demo begins."""

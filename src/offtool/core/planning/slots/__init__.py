"""Trial slots: which trial on which press, and when, at the least cost."""

from offtool.core.planning.slots.given import (
    NOTHING,
    Change,
    FixedSlot,
    PlannedJob,
    PlannedPress,
    SlotsGiven,
    Stretch,
    WaitingTrial,
)
from offtool.core.planning.slots.results import (
    Elsewhere,
    JobLeft,
    Move,
    PlacedTrial,
    SlipFound,
    SlotPlan,
    UnplacedTrial,
)
from offtool.core.planning.slots.slip import slip_trial
from offtool.core.planning.slots.solve import place_trials

__all__ = [
    "NOTHING",
    "Change",
    "Elsewhere",
    "FixedSlot",
    "JobLeft",
    "Move",
    "PlacedTrial",
    "PlannedJob",
    "PlannedPress",
    "SlipFound",
    "SlotPlan",
    "SlotsGiven",
    "Stretch",
    "UnplacedTrial",
    "WaitingTrial",
    "place_trials",
    "slip_trial",
]

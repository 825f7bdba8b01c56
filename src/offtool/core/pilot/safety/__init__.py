"""Safety of a toy: small parts, and the tests of the public law."""

from offtool.core.pilot.safety.by_size import SizeInGauge, small_part_by_size
from offtool.core.pilot.safety.held import judge_toy_held
from offtool.core.pilot.safety.judged import ToyTestJudged, judge_toy_drops, judge_toy_load
from offtool.core.pilot.safety.small_parts import (
    GaugeHeld,
    SmallPart,
    judge_small_part,
    small_part_ball,
    small_part_box,
    small_part_rod,
)
from offtool.core.pilot.safety.tests import AskedTest, ToyTestsAsked, toy_tests

__all__ = [
    "AskedTest",
    "GaugeHeld",
    "SizeInGauge",
    "SmallPart",
    "ToyTestJudged",
    "ToyTestsAsked",
    "judge_small_part",
    "judge_toy_drops",
    "judge_toy_held",
    "judge_toy_load",
    "small_part_ball",
    "small_part_box",
    "small_part_by_size",
    "small_part_rod",
    "toy_tests",
]

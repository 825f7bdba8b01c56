"""How long a part cools, and how long a cycle is."""

from offtool.core.planning.cycle.closed_form import CoolingTime, cooling_time_cylinder, cooling_time_plate
from offtool.core.planning.cycle.transient import WallCooling, WallProfile, cooling_time_unequal
from offtool.core.planning.cycle.whole import CycleShare, CycleTime, TakeOut, cycle_time

__all__ = [
    "CoolingTime",
    "CycleShare",
    "CycleTime",
    "TakeOut",
    "WallCooling",
    "WallProfile",
    "cooling_time_cylinder",
    "cooling_time_plate",
    "cooling_time_unequal",
    "cycle_time",
]

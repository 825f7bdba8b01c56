"""The way to an end: steps that wait for one another, which of them decide, and when the end is reached."""

from offtool.core.pilot.way.way import StepOnWay, WayFound, way_to_end

__all__ = ["StepOnWay", "WayFound", "way_to_end"]

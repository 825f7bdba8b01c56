"""Sizes as they stand today: of each tool, the last trial that measured them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from offtool.records.models import Characteristic, Tool, ToolState, Trial
from offtool.records.queries import place_in_time
from offtool.records.queries.finding import latest_state
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence


@dataclass(frozen=True, slots=True, kw_only=True)
class LatestSize:
    """One size by the last trial that measured it, and the steel of its tool as it is now."""

    seen: SizeSeen
    trial: Trial
    state_now: ToolState | None

    @property
    def is_stale(self) -> bool:
        """Whether steel was cut since."""
        return self.state_now is not None and self.state_now.pk != self.trial.state_id


def latest_sizes(characteristics: Collection[Characteristic]) -> dict[int, LatestSize]:
    """The sizes that were measured, by their keys; what no trial measured is left out.

    A part that several tools make is taken from the tool that was tried last.
    """
    found: dict[int, LatestSize] = {}
    for tool, wanted in _by_tool(characteristics):
        state = latest_state(tool)
        for trial in _newest_first(tool):
            missing = [key for key in wanted if key not in found]
            if not missing:
                break
            for seen in TrialEvidence(trial).only(missing):
                found[seen.characteristic.pk] = LatestSize(seen=seen, trial=trial, state_now=state)
    return found


def sizes_in_trials(
    characteristics: Collection[Characteristic], trials: Collection[Trial]
) -> dict[int, LatestSize]:
    """The sizes as these trials measured them; those of other tools as they stand today."""
    found: dict[int, LatestSize] = {}
    for trial in trials:
        state = latest_state(trial.tool)
        for seen in TrialEvidence(trial).only([one.pk for one in characteristics]):
            found[seen.characteristic.pk] = LatestSize(seen=seen, trial=trial, state_now=state)
    missing = [one for one in characteristics if one.pk not in found]
    return found | latest_sizes(missing) if missing else found


def _by_tool(characteristics: Collection[Characteristic]) -> Iterator[tuple[Tool, list[int]]]:
    """Each tool with the sizes it makes; the tool that was tried last comes first."""
    wanted: dict[int, list[int]] = defaultdict(list)
    for one in characteristics:
        wanted[one.part_id].append(one.pk)
    tools = Tool.objects.filter(cavities__part__in=list(wanted)).distinct().select_related("programme")
    for tool in sorted(tools, key=_last_tried, reverse=True):
        parts = set(tool.cavities.values_list("part_id", flat=True))
        yield tool, [key for part in sorted(parts & wanted.keys()) for key in wanted[part]]


def _last_tried(tool: Tool) -> tuple[str, int]:
    days = [one.shot_on.isoformat() for one in tool.trials.all() if one.shot_on is not None]
    return max(days, default=""), tool.pk


def _newest_first(tool: Tool) -> list[Trial]:
    trials = [one for one in tool.trials.select_related("state", "tool") if one.source_files.exists()]
    return sorted(trials, key=place_in_time, reverse=True)

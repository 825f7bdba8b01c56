"""The tools of a programme as the way to the release needs them: steel, last trial, cuts and slots ahead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Count
from django.utils import timezone

from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Correction, Programme, Tool, TrialRequest
from offtool.records.queries import latest_state, place_in_time, waiting_requests


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotAhead:
    """A trial that is asked for: its fixed day, and the day before which it must not be."""

    trial: str
    fixed: date | None
    earliest: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolAhead:
    """One tool: its steel today, its last trial, and what is under way."""

    tool: str
    parts: frozenset[str]
    state: str
    last_trial: str
    last_state: str
    last_is_read: bool
    decided: int
    """Cuts that are decided and not made."""
    slots: tuple[SlotAhead, ...]

    @property
    def needs_trial(self) -> bool:
        """Whether nothing is known of the steel as it is: it was never tried, or cut since."""
        return not self.last_trial or self.last_state != self.state


def tools_ahead(programme: Programme) -> tuple[ToolAhead, ...]:
    """The tools in the order of their codes."""
    waiting = waiting_requests(programme)
    return tuple(
        _tool(tool, [one for one in waiting if one.tool_id == tool.pk])
        for tool in programme.tools.order_by("code")
    )


def _tool(tool: Tool, waiting: list[TrialRequest]) -> ToolAhead:
    trials = tool.trials.select_related("state", "tool").annotate(files=Count("source_files"))
    last = max(trials, key=place_in_time, default=None)
    state = latest_state(tool)
    return ToolAhead(
        tool=tool.code,
        parts=frozenset(tool.cavities.values_list("part__code", flat=True)),
        state=state.label if state is not None else "",
        last_trial=last.name if last is not None else "",
        last_state=last.state.label if last is not None else "",
        last_is_read=last is not None and last.files > 0,
        decided=Correction.objects.filter(feature__tool=tool, status=CorrectionStatus.PROPOSED).count(),
        slots=tuple(_slots(waiting)),
    )


def _slots(waiting: list[TrialRequest]) -> Iterator[SlotAhead]:
    for one in waiting:
        fixed = timezone.localtime(one.starts_at).date() if one.starts_at and one.press_id else None
        yield SlotAhead(trial=one.name, fixed=fixed, earliest=one.earliest)

"""Where in the record an address leads, as far as a page's frame needs it."""

from __future__ import annotations

from offtool.records.queries import find_programme, find_tool, latest_state
from offtool.steps.overview import is_invented
from offtool.web.pages.frame import TrialPlace


def find_place(programme: str, tool: str, trial: str) -> TrialPlace:
    """The place of a trial, which need not be there yet.

    Raises NotInRecord for an unknown programme or tool.
    """
    found = find_tool(find_programme(programme), tool)
    there = found.trials.select_related("state").filter(name=trial).first()
    state = there.state if there else latest_state(found)
    return TrialPlace(
        programme=programme,
        programme_title=found.programme.title,
        invented=is_invented(found.programme),
        tool=tool,
        state=state.label if state else "",
        trial=trial,
        is_new=there is None,
    )

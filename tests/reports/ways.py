"""The way of an invented otter to its release, worked out by the program, for tests of what is shown.

tool("M3")             a tool whose trial ran with the steel of today
way()                  from the invented review of tests.reports.reviews, tools M1 and M3
way(review=...)        from another review; `tools`, `due` and `own` likewise
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from offtool.records.models import Programme
from offtool.steps.review_found import ReleaseReview
from offtool.steps.way_found import WayToRelease
from offtool.steps.way_needed import steps_needed
from offtool.steps.way_to_release import WayGiven, way_from
from offtool.steps.way_tools import ToolAhead
from tests.reports import reviews

PARTS: Mapping[str, frozenset[str]] = {
    "M1": frozenset({"HO-02", "HO-03"}),
    "M3": frozenset({"HO-04", "HO-05"}),
}
OF_JOINTS = {
    ("joint", "shoulder"): frozenset({"HO-04", "HO-02"}),
    ("joint", "tail"): frozenset({"HO-06", "HO-03"}),
}


def tool(code: str, **changed: Any) -> ToolAhead:
    given: dict[str, Any] = {
        "tool": code,
        "parts": PARTS[code],
        "state": "c",
        "last_trial": "T3",
        "last_state": "c",
        "last_is_read": True,
        "decided": 0,
        "slots": (),
    }
    return ToolAhead(**{**given, **changed})


TOOLS = (tool("M1"), tool("M3"))


def way(
    review: ReleaseReview | None = None,
    *,
    tools: Sequence[ToolAhead] = TOOLS,
    due: date | None = date(2026, 6, 15),
    own: Mapping[str, tuple[float, float]] | None = None,
    on: date = reviews.ON,
) -> WayToRelease:
    seen = review if review is not None else reviews.review()
    programme = Programme(slug="harbour-otter", title="Harbour otter", note="Invented.", release_due=due)
    return way_from(
        WayGiven(
            programme=programme,
            on=on,
            review=seen,
            tools=tuple(tools),
            needed=steps_needed(seen, tools, OF_JOINTS),
            own=own or {},
        )
    )

"""A small invented tool at the press: the flipper, one part in four cavities, three states of the steel."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from offtool.records.models import Cavity, Part, Programme, Resin, Tool, ToolState, Trial
from offtool.steps.findings_at_press import look_back
from offtool.steps.look_at_pieces import FlawSeen, LooksKept, PiecesLookedAt, look_at_pieces
from offtool.steps.press_findings import FindingFollowed, PressFindings

SLUG, TOOL = "flipper", "M4"
# after the list of defects is made, which happens when the test runs
NOW = datetime.now(UTC) + timedelta(hours=1)


def make_tool(*, cavities: int = 4, states: str = "abc") -> Tool:
    """The tool with its trials T1, T2, T3, each on the next state."""
    programme = Programme.objects.create(slug=SLUG, title="Flipper", note="Everything here is invented.")
    tool = Tool.objects.create(programme=programme, code=TOOL, name="Flippers")
    add_part(tool, "FL-1", cavities)
    for place, label in enumerate(states, start=1):
        state = ToolState.objects.create(tool=tool, label=label, ordinal=place)
        Trial.objects.create(tool=tool, name=f"T{place}", state=state, shot_on=date(2026, 3, place))
    return tool


def add_part(tool: Tool, code: str, cavities: int) -> None:
    resin, _ = Resin.objects.get_or_create(
        programme=tool.programme,
        code="ABS",
        defaults={"flow_pct": 0.5, "cross_pct": 0.5, "thickness_pct": 0.5},
    )
    part = Part.objects.create(programme=tool.programme, code=code, resin=resin)
    for label in range(1, cavities + 1):
        Cavity.objects.create(tool=tool, part=part, label=str(label))


def look(
    trial: str,
    cavity: str | None,
    pieces: int = 1,
    *flaws: FlawSeen | str,
    shot: int | None = None,
    by: str = "tooling",
    at: datetime | None = None,
    may_be_new: bool = False,
) -> LooksKept:
    """One look; a flaw given as a word is on all pieces."""
    given = tuple(one if isinstance(one, FlawSeen) else FlawSeen(defect=one) for one in flaws)
    one = PiecesLookedAt(cavity=cavity, shot=shot, pieces=pieces, flaws=given)
    return look_at_pieces(SLUG, TOOL, trial, [one], looked_at=at or NOW, looked_by=by, may_be_new=may_be_new)


def seen(defect: str, pieces: int, place: str = "") -> FlawSeen:
    return FlawSeen(defect=defect, pieces=pieces, place=place)


def found(trial: str = "T3") -> PressFindings:
    return look_back(SLUG, TOOL, trial)


def followed(
    trial: str = "T3", *, cavity: str = "2", defect: str = "flash", place: str = ""
) -> FindingFollowed:
    """The one finding of this defect, cavity and place."""
    (one,) = (
        finding
        for finding in found(trial).followed
        if (finding.defect, finding.cavity, finding.place) == (defect, cavity, place)
    )
    return one

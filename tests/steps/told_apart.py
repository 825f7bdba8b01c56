"""The small otter with steel in three states and a second tool: something by which pieces are told apart."""

from __future__ import annotations

from datetime import date

from offtool.records.models import Cavity, Part, Resin, Tool, ToolState
from tests.web import otter

STATES = ("a", "b", "c")
PART = "HO-02"


def make_told_apart() -> Tool:
    """One tool in states a, b and c, one part; a second tool with nothing but its steel."""
    tool = otter.make_programme()
    for place, label in enumerate(STATES[1:], start=2):
        ToolState.objects.create(tool=tool, label=label, ordinal=place, made_on=date(2026, 3, place))
    arm = Part.objects.create(programme=tool.programme, code="HO-05", name="Arm", resin=Resin.objects.get())
    other = Tool.objects.create(programme=tool.programme, code="M3", name="Arms")
    Cavity.objects.create(tool=other, part=arm, label="1")
    ToolState.objects.create(tool=other, label="a", ordinal=1)
    return tool

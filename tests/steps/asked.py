"""A trial that is asked for on the small otter of tests.web: presses, a job that runs, numbers of the tool.

make_asked()                    M2 T2 for sizes and assembly; what is known of press, tool and job is known
make_asked(bare=True)           the same, and nobody has written down a number
"""

from __future__ import annotations

from datetime import date
from typing import Any

from offtool.handbook.terms import TrialPurpose
from offtool.records.models import Job, Press, PressHolds, Tool, TrialRequest
from offtool.records.operations import ask_trial, define_tool_size
from tests.web import otter

ON = date(2026, 3, 23)
NAME = "T2"
PRESS: dict[str, Any] = {
    "clamp_kn": 800.0,
    "barrel_g": 60.0,
    "tie_bars_wide_mm": 360.0,
    "tie_bars_high_mm": 360.0,
    "mould_least_mm": 150.0,
    "mould_most_mm": 380.0,
    "opening_mm": 320.0,
    "daylight_mm": 700.0,
    "ejector_mm": 90.0,
    "dry_cycle_s": 1.8,
    "per_hour": 35.0,
}
TOOL: dict[str, Any] = {
    "wide_mm": 246.0,
    "high_mm": 296.0,
    "thick_mm": 250.0,
    "opening_mm": 200.0,
    "ejector_mm": 40.0,
    "feed": "cold runner",
    "runner_g": 4.0,
    "runner_cm2": 6.0,
    "setup_h": 0.75,
}
WANTS: dict[TrialPurpose, int | None] = {TrialPurpose.SIZES: None, TrialPurpose.ASSEMBLY: 36}


def make_asked(*, bare: bool = False, wants: dict[TrialPurpose, int | None] | None = None) -> TrialRequest:
    """The request, after one trial that was read; two presses hold the tool."""
    tool = otter.make_programme()
    otter.read_trial(otter.readings_csv())
    if not bare:
        define_tool_size(tool, TOOL, made_by="tester")
    for code in ("P1", "P2"):
        press = Press.objects.create(programme=tool.programme, code=code, **({} if bare else PRESS))
        PressHolds.objects.create(press=press, tool=tool)
    return ask(tool, wants or WANTS)


def ask(tool: Tool, wants: dict[TrialPurpose, int | None], **columns: Any) -> TrialRequest:
    """Ask for the trial, in any colour unless something else is said."""
    asked = {"name": NAME, "due": date(2026, 4, 3), "wish": "any colour", "asked_by": "tester", **columns}
    return ask_trial(tool, asked, wants, made_by="tester")


def run_job(press: str = "P1", **columns: Any) -> Job:
    """A job that runs, in the resin of the parts unless something else is said."""
    given = {
        "code": "J-1",
        "product": "rescue boat",
        "what": "deck",
        "colour": "orange",
        "resin": "ABS",
        "lightness": 62.0,
        "a": 46.0,
        "b": 58.0,
        "begins": date(2026, 3, 16),
        "may_stop": True,
        "margin_per_h": 20.0,
        "restart_min": 10.0,
    }
    return Job.objects.create(press=Press.objects.get(code=press), **{**given, **columns})

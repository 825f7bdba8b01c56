"""What findings at the press mean for a trial as a whole: whether it is ready, and what is said of it."""

from __future__ import annotations

from offtool.handbook.terms import WeightClass
from offtool.records.models import Look, Trial
from offtool.steps.findings_at_press import findings_at_press
from offtool.steps.press_findings import PressFindings


def press_of(trial: Trial) -> PressFindings | None:
    """What was seen at the press; None where no piece of the tool was ever looked at."""
    if not Look.objects.filter(trial__tool_id=trial.tool_id).exists():
        return None
    found = findings_at_press(trial)
    return found if found.looks or found.defects else None


def unfinished(press: PressFindings | None) -> int:
    """Open findings that keep a trial from being ready: all that are more than minor."""
    return sum(one.weight_class != WeightClass.MINOR for one in press.open) if press else 0

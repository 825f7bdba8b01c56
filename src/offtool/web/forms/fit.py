"""Numbers of a shot that are tried against the presses and not kept."""

from __future__ import annotations

from django import forms

from offtool.core.planning.press.facts import TOOL_LIMITS
from offtool.steps.tool_at_press import ToolTyped
from offtool.web.forms.fields import NumberField, number_or_blank


def _number(name: str, label: str, help_text: str) -> NumberField:
    most = TOOL_LIMITS[name].at_most
    assert most is not None  # noqa: S101 for the type checker
    return number_or_blank(label, help_text, at_least=0, at_most=most)


class TryShotForm(forms.Form):
    """What one shot weighs, covers and is thick; blank for what the record knows."""

    parts_g = _number("parts_g", "All parts of a shot, g", "Without the runner.")
    projected_cm2 = _number("projected_cm2", "Silhouette of all parts, cm²", "As seen along the opening.")
    wall_mm = _number("wall_mm", "Thickest wall, mm", "It decides how long the shot cools.")
    runner_g = _number("runner_g", "Runner, g", "With its sprue.")
    runner_cm2 = _number("runner_cm2", "Silhouette of the runner, cm²", "Where it is not over the parts.")

    def as_typed(self) -> ToolTyped:
        """What was typed."""
        return ToolTyped(**{name: self.cleaned_data.get(name) for name in self.fields})

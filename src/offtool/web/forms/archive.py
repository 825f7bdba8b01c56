"""The form that begins a register of pieces without any record."""

from __future__ import annotations

from typing import Any

from django import forms

from offtool.handbook.resins import RESINS
from offtool.steps.begin_archive import USUAL_RESIN
from offtool.web.forms.ground import GroundForm


class ArchiveForm(GroundForm):
    """What the pieces are of, and which parts they have."""

    title = forms.CharField(
        label="What the pieces are of",
        max_length=200,
        help_text="Such as a figure's name, or From the attic.",
        error_messages={"required": "Say what the pieces are of."},
    )
    parts = forms.CharField(
        label="Parts they have",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One a line, such as torso, arm. More can be told of a piece part by part.",
    )
    resin = forms.ChoiceField(
        label="Resin",
        choices=[(resin.code, f"{resin.code}, {resin.name}") for resin in RESINS],
        initial=USUAL_RESIN,
        help_text="What they are mostly moulded in, as far as anybody knows.",
    )
    layout = (("", "", ("title", "parts", "resin", "made_by")),)

    def told(self) -> dict[str, Any]:
        """What was filled in, as the step takes it."""
        given = self.cleaned_data
        lines = [one.strip() for one in given["parts"].replace(",", "\n").splitlines()]
        return {"title": given["title"], "parts": [one for one in lines if one], "resin": given["resin"]}

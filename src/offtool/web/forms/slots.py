"""Forms of the plan of trials: the days it covers, slots that are fixed, times that are said."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django import forms
from django.utils.dateparse import parse_datetime

from offtool.handbook.shop_times import DAYS_PLANNED, MOST_DAYS
from offtool.steps.slots_found import TrialSlot
from offtool.web.forms.fields import moment_field, name_field, number_or_blank, your_name_field
from offtool.web.forms.ground import day_field

FIX, RELEASE = "fix", "release"
Slot = tuple[str, str, str, datetime]


class DaysForm(forms.Form):
    """From which day, for how long, and which trial slips."""

    from_day = day_field("From")
    days = forms.IntegerField(
        label="Days", required=False, min_value=1, max_value=MOST_DAYS, help_text=f"Blank for {DAYS_PLANNED}."
    )
    longer = forms.BooleanField(label="Search longer, up to half a minute", required=False)
    slip = forms.ChoiceField(label="What if this trial slips", required=False)
    by_h = number_or_blank("by how many hours", "Blank for 24.", at_least=0.25, at_most=2000)

    def __init__(self, trials: Iterable[str], data: Any = None, *, day: date, **options: Any) -> None:
        super().__init__(data, **options)
        self.fields["from_day"].help_text = f"Blank for {day}."
        self.fields["slip"] = forms.ChoiceField(
            label="What if this trial slips",
            required=False,
            choices=[("", "none"), *((one, one) for one in trials)],
        )


class SlotForm(forms.Form):
    """Slots that are fixed or left open again."""

    do = forms.ChoiceField(choices=[(FIX, FIX), (RELEASE, RELEASE)], widget=forms.HiddenInput)
    slots = forms.CharField(widget=forms.HiddenInput)
    made_by = your_name_field()

    def clean_slots(self) -> list[Slot]:
        """Tool, trial, press and start of each."""
        try:
            rows = json.loads(self.cleaned_data["slots"])
            found = [(str(a), str(b), str(c), parse_datetime(str(d))) for a, b, c, d in rows]
        except (ValueError, TypeError):
            found = []
        slots = [(a, b, c, d) for a, b, c, d in found if d is not None and d.tzinfo is not None]
        if not slots or len(slots) != len(found):
            raise forms.ValidationError("The slots were not understood: look at the plan again.")
        return slots


def slots_typed(slots: Sequence[TrialSlot]) -> str:
    """Slots as the form carries them."""
    return json.dumps([[one.tool, one.name, one.press, one.begins.isoformat()] for one in slots])


class TimeForm(forms.Form):
    """A time from and to."""

    begins = moment_field("From")
    ends = moment_field("To")
    made_by = your_name_field()

    def __init__(self, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for name in ("begins", "ends"):
            self.fields[name].required = True


class EngineerForm(TimeForm):
    """When an engineer is there."""

    who = name_field("Who", required=False)
    field_order = ("begins", "ends", "who", "made_by")


class OffForm(TimeForm):
    """When a press stands."""

    press = forms.ChoiceField(label="Press", error_messages={"required": "Choose the press."})
    why = name_field("Why", "Such as new check ring.", required=False)
    field_order = ("press", "begins", "ends", "why", "made_by")

    def __init__(self, presses: Sequence[str], data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.fields["press"] = forms.ChoiceField(
            label="Press",
            choices=[("", "choose"), *((one, one) for one in presses)],
            error_messages={"required": "Choose the press."},
        )
        self.order_fields(self.field_order)


class BackForm(forms.Form):
    """A time that is taken back."""

    key = forms.IntegerField(widget=forms.HiddenInput)
    of = forms.ChoiceField(choices=[("engineer", ""), ("press", "")], widget=forms.HiddenInput)

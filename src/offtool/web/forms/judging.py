"""Forms for a person's word on readings and on the course of a trial."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from offtool.core.inspection.distribution import FAMILIES
from offtool.core.inspection.distribution.families import CHOSEN
from offtool.handbook.terms import LARGEST_SHOT
from offtool.web.forms.fields import your_name_field


class ShownForm(forms.Form):
    """What the drawings of a size show."""

    cavity = forms.ChoiceField(label="Cavity", required=False)
    family = forms.ChoiceField(
        label="Shape", required=False, choices=[(name, name) for name in (CHOSEN, *FAMILIES)]
    )

    def __init__(self, cavities: Sequence[str], data: Any = None) -> None:
        super().__init__(data)
        labels = [(label, label or "not recorded") for label in cavities]
        self.fields["cavity"] = forms.ChoiceField(
            label="Cavity", required=False, choices=[("", "all, about their own means"), *labels]
        )


def reason_field(help_text: str, *, label: str = "Reason") -> forms.CharField:
    """Why, in a few words."""
    return forms.CharField(
        label=label,
        help_text=help_text,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Say why in a few words."},
    )


class SetAsideForm(forms.Form):
    """Why a look or a gauge study no longer counts."""

    reason = reason_field("It stays to be seen with this reason.", label="Why it no longer counts")
    made_by = your_name_field()


class LeaveOutForm(forms.Form):
    """Which readings are left out, or taken back in, and why."""

    readings = forms.TypedMultipleChoiceField(
        coerce=int, error_messages={"required": "Tick at least one reading."}
    )
    reason = reason_field("Such as: fell before it was measured; typing error, the sheet says 4.012.")
    made_by = your_name_field()

    def __init__(self, readings: Sequence[int], data: Any = None, *, made_by: str = "") -> None:
        super().__init__(data, initial={"made_by": made_by})
        self.ticked: frozenset[str] = frozenset(data.getlist("readings")) if data is not None else frozenset()
        field = self.fields["readings"]
        if isinstance(field, forms.TypedMultipleChoiceField):
            field.choices = [(one, one) for one in readings]


class SettleForm(forms.Form):
    """From which shot the press had settled, against or with what the readings say."""

    settled_from = forms.IntegerField(
        label="First shot that counts",
        required=False,
        min_value=0,
        max_value=LARGEST_SHOT,
        help_text="Blank to go by the readings again.",
        error_messages={"invalid": "Give the number of a shot."},
    )
    reason = reason_field("Such as: hold pressure was raised at shot 19.")
    made_by = your_name_field()

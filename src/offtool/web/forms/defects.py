"""A form that adds a defect to the list, renames it, or takes it off."""

from __future__ import annotations

from typing import Any

from django import forms

from offtool.handbook.terms import WeightClass
from offtool.steps.press_findings import DefectOnList
from offtool.web.forms.fields import name_field, your_name_field


class DefectForm(forms.Form):
    """One defect; a code that is on the list already is changed, a new one is added."""

    code = name_field("Code", "A short word for lists and files, such as whisker-line.")
    name = name_field("Name", "As people call it.")
    meaning = forms.CharField(
        label="What counts as it",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="And what does not.",
    )
    weight_class = forms.ChoiceField(
        label="Class",
        choices=[(one.value, one.value) for one in WeightClass],
        initial=WeightClass.MAJOR.value,
    )
    reason = forms.CharField(label="Why", required=False, help_text="Kept with the change.")
    is_listed = forms.BooleanField(label="Look for it", required=False, initial=True)
    made_by = your_name_field()

    def hold_code(self) -> None:
        """The code stays as it is: another one would be another defect."""
        self.fields["code"].widget.attrs["readonly"] = True

    def as_edit(self) -> dict[str, Any]:
        """What the step asks for, beside the code."""
        given = self.cleaned_data
        return {
            "name": given["name"],
            "meaning": given["meaning"],
            "weight_class": WeightClass(given["weight_class"]),
            "is_listed": given["is_listed"],
            "reason": given["reason"],
            "made_by": given["made_by"],
        }


def filled_with(row: DefectOnList) -> dict[str, Any]:
    """What the form shows of a defect that is to be changed."""
    return {name: getattr(row, name) for name in ("code", "name", "meaning", "weight_class", "is_listed")}

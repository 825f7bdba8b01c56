"""Forms of a correction: which changes are kept, and the steel as it was measured again."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.steps.cut_steel import STEEL_UNCERTAINTY_MM, SteelMeasured
from offtool.steps.steel_changes import KeptCorrection, SteelChange
from offtool.web.forms.fields import NumberField, name_field, your_name_field


def change_key(change: SteelChange | KeptCorrection) -> str:
    """What a tick says: feature and cavity, whatever signs are in their names."""
    return json.dumps([change.feature, change.cavity], ensure_ascii=False)


class KeepChangesForm(forms.Form):
    """Which of the proposed changes are decided."""

    chosen = forms.MultipleChoiceField(error_messages={"required": "Tick at least one change."})
    made_by = your_name_field()

    def __init__(self, open_changes: Sequence[SteelChange], data: Mapping[str, Any] | None = None, **options: Any):
        super().__init__(data, **options)
        choices = [(change_key(change), change.feature) for change in open_changes]
        field = self.fields["chosen"]
        assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 for the type alone
        field.choices = choices
        if self.is_bound:
            given = self.data
            self.ticked = set(given.getlist("chosen") if hasattr(given, "getlist") else given.get("chosen", []))
        else:
            self.ticked = {key for key, _ in choices}

    @property
    def places(self) -> list[tuple[str, str]]:
        """Feature and cavity of each ticked change."""
        return [tuple(json.loads(key)) for key in self.cleaned_data["chosen"]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelRow:
    """One change that is waiting for its steel to be measured again."""

    kept: KeptCorrection
    measured: BoundField
    allowance: BoundField


class SteelForm(forms.Form):
    """The steel as measured after the cut. A row left blank was not cut yet and stays decided."""

    label = name_field("Letter of the new state", "Blank for the next one in the alphabet.", required=False)
    made_on = forms.DateField(
        label="Cut on", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    uncertainty_mm = NumberField(
        label="Uncertainty of a steel measurement, mm",
        initial=f"{STEEL_UNCERTAINTY_MM:g}",
        min_value=0,
        max_value=1,
        help_text="Standard uncertainty.",
    )
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, kept: Sequence[KeptCorrection], data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, prefix="steel")
        self.waiting = [one for one in kept if one.status == "proposed"]
        for one in self.waiting:
            place = f"{one.feature}, cavity {one.cavity}"
            self.fields[f"measured-{one.correction_id}"] = NumberField(
                label=f"Steel measured, mm, {place}", required=False, min_value=0
            )
            self.fields[f"allowance-{one.correction_id}"] = NumberField(
                label=f"Allowance left, mm, {place}", required=False, min_value=0
            )

    @property
    def rows(self) -> Iterator[SteelRow]:
        """A row a change, with its two fields."""
        for one in self.waiting:
            yield SteelRow(
                kept=one,
                measured=self[f"measured-{one.correction_id}"],
                allowance=self[f"allowance-{one.correction_id}"],
            )

    @property
    def remeasured(self) -> dict[tuple[str, str], SteelMeasured]:
        """What was measured, by feature and cavity."""
        given = self.cleaned_data
        return {
            (one.feature, one.cavity): SteelMeasured(
                measured_mm=given[f"measured-{one.correction_id}"],
                uncertainty_mm=given["uncertainty_mm"],
                allowance_mm=given[f"allowance-{one.correction_id}"],
            )
            for one in self.waiting
            if given[f"measured-{one.correction_id}"] is not None
        }

    def clean(self) -> dict[str, Any]:
        """At least one size must have been measured; a lonely allowance says which one is missing."""
        given = super().clean() or {}
        for one in self.waiting:
            names = f"measured-{one.correction_id}", f"allowance-{one.correction_id}"
            if given.get(names[1]) is not None and given.get(names[0]) is None and names[0] not in self.errors:
                self.add_error(names[0], "Give the steel as measured, too.")
        return given

"""Forms of a correction: which changes are kept, and the steel as it was measured again."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict

from offtool.steps.cut_steel import STEEL_UNCERTAINTY_MM, SteelMeasured
from offtool.steps.steel_changes import KeptCorrection, SteelChange
from offtool.web.forms.fields import NumberField, name_field, your_name_field


def change_key(change: SteelChange | KeptCorrection) -> str:
    """What a tick says: feature and cavity, whatever signs are in their names."""
    return json.dumps([change.feature, change.cavity], ensure_ascii=False)


class KeepChangesForm(forms.Form):
    """Which of the proposed changes are decided; all are ticked until someone unticks one."""

    made_by = your_name_field()

    def __init__(
        self, changes: Sequence[SteelChange], data: QueryDict | None = None, *, made_by: str = ""
    ) -> None:
        super().__init__(data, initial={"made_by": made_by})
        keys = [change_key(change) for change in changes]
        self.ticked = set(keys if data is None else data.getlist("chosen"))
        self.fields["chosen"] = forms.MultipleChoiceField(
            choices=[(key, key) for key in keys], error_messages={"required": "Tick at least one change."}
        )

    @property
    def places(self) -> list[tuple[str, str]]:
        """Feature and cavity of each ticked change."""
        return [(feature, cavity) for feature, cavity in map(json.loads, self.cleaned_data["chosen"])]


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

    def as_cut(self) -> dict[str, Any]:
        """What was measured, by feature and cavity, and what is known of the new state."""
        given = self.cleaned_data
        remeasured = {
            (one.feature, one.cavity): SteelMeasured(
                measured_mm=given[f"measured-{one.correction_id}"],
                uncertainty_mm=given["uncertainty_mm"],
                allowance_mm=given[f"allowance-{one.correction_id}"],
            )
            for one in self.waiting
            if given[f"measured-{one.correction_id}"] is not None
        }
        state = {"label": given["label"] or None, "made_on": given["made_on"], "note": given["note"]}
        return {"remeasured": remeasured, **state}

    def clean(self) -> dict[str, Any]:
        """At least one size must have been measured; a lonely allowance says which one is missing."""
        given = super().clean() or {}
        for one in self.waiting:
            measured, allowance = f"measured-{one.correction_id}", f"allowance-{one.correction_id}"
            is_lonely = given.get(allowance) is not None and given.get(measured) is None
            if is_lonely and measured not in self.errors:
                self.add_error(measured, "Give the steel as measured, too.")
        return given

"""Forms of a lot: which part of which samples, or a table that somebody brings."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from offtool.steps.lot_place import LotPlace
from offtool.steps.sentences import count


class LotForm(forms.Form):
    """Which samples are put in order."""

    part = forms.ChoiceField(label="Part", error_messages={"invalid_choice": "Choose one of the parts."})
    samples = forms.CharField(
        label="Only these samples",
        required=False,
        max_length=4000,
        help_text="Numbers with a comma between them; blank for all.",
    )

    def __init__(self, place: LotPlace, data: Any = None) -> None:
        super().__init__(data)
        field = self.fields["part"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = [
            (one.code, f"{one.code} {one.name}".rstrip() + f", {count(one.samples, 'sample')} looked at")
            for one in place.parts
        ]

    @property
    def numbers(self) -> tuple[str, ...]:
        """The samples that are asked for; none for all."""
        return tuple(one.strip() for one in re.split(r"[,;\n]", self.cleaned_data["samples"]) if one.strip())


class LotTableForm(forms.Form):
    """Bring a table."""

    file = forms.FileField(
        label="Table",
        help_text="CSV or XLSX, a row a sample, a column a detail.",
        error_messages={"required": "Choose the file.", "empty": "This file is empty."},
    )
    sheet = forms.CharField(label="Sheet", required=False, max_length=100, help_text="Of a workbook.")

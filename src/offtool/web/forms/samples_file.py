"""Forms of a register that comes as a file: choose it, say its sheet, keep it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from offtool.web.forms.fields import your_name_field
from offtool.web.forms.gauge import StudyFileForm


class SamplesFileForm(StudyFileForm):
    """Choose the file."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].label = "File of the pieces"
        self.fields["file"].help_text = "CSV or XLSX, a row a part of a piece."


class HowSamplesForm(forms.Form):
    """What the file does not say: which of its sheets it is."""

    upload = forms.CharField(widget=forms.HiddenInput)
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any], **options: Any) -> None:
        super().__init__({name: asked.get(name) for name in asked}, auto_id="how_%s", **options)

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return (self.cleaned_data.get("sheet") if self.is_valid() else None) or None


class KeepSamplesForm(forms.Form):
    """Keep what was shown."""

    leave_out = forms.BooleanField(label="Leave out what cannot be read", required=False)
    read_by = your_name_field()

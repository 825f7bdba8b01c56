"""Forms of a gauge: read the file of a study, keep it, set a study aside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import refuse_beyond
from offtool.handbook.terms import LARGEST_NUMBER, LONGEST_FILE_NAME, StudyKind
from offtool.steps.keep_study import StudyAbout
from offtool.web.forms.fields import NumberField, name_field, your_name_field

KINDS = {
    StudyKind.CROSSED: "crossed: everybody, every part",
    StudyKind.NESTED: "nested: measuring destroys",
    StudyKind.REFERENCE: "one reference part",
    StudyKind.LINEARITY: "linearity: several known parts",
}


class StudyFileForm(forms.Form):
    """Choose the file of a study."""

    file = forms.FileField(
        label="File of the study",
        help_text="CSV or XLSX, as it came from the gauge room.",
        allow_empty_file=True,  # the reader says what an empty file lacks
        max_length=LONGEST_FILE_NAME,
        error_messages={"required": "Choose a file first."},
    )

    def clean_file(self) -> UploadedFile[Any]:
        """Refuse what is larger than the reader takes."""
        file: UploadedFile[Any] = self.cleaned_data["file"]
        try:
            refuse_beyond("bytes", file.size or 0, where=file.name or "file")
        except FileRefused as error:
            raise forms.ValidationError(str(error)) from error
        return file


class HowStudyForm(forms.Form):
    """What the file does not say: how the study was laid out, and what was measured."""

    upload = forms.CharField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(
        label="Laid out",
        required=False,
        initial=StudyKind.CROSSED.value,
        choices=[(kind.value, words) for kind, words in KINDS.items()],
    )
    size = forms.ChoiceField(
        label="Size that was measured", required=False, help_text="Its limits are the tolerance."
    )
    tolerance = NumberField(
        label="Tolerance",
        required=False,
        max_value=LARGEST_NUMBER,
        help_text="Upper less lower limit; blank for that of the size.",
    )
    reference = NumberField(
        label="Known size of the reference part",
        required=False,
        max_value=LARGEST_NUMBER,
        help_text="Where the file has no column for it.",
    )
    reference_uncertainty = NumberField(
        label="Its standard uncertainty", required=False, min_value=0, max_value=LARGEST_NUMBER
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any], *, sizes: Sequence[tuple[str, str]], **options: Any) -> None:
        super().__init__({"kind": StudyKind.CROSSED.value, **_first(asked)}, auto_id="how_%s", **options)
        field = self.fields["size"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = [("", "none of the drawing"), *sizes]

    @property
    def about(self) -> StudyAbout:
        """What is told, as the step takes it; as if nothing were told where that is wrong."""
        given = self.cleaned_data if self.is_valid() else {}
        return StudyAbout(
            kind=StudyKind(given.get("kind") or StudyKind.CROSSED.value),
            size=given.get("size") or "",
            tolerance=given.get("tolerance"),
            reference=given.get("reference"),
            reference_uncertainty=given.get("reference_uncertainty") or 0.0,
        )

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return (self.cleaned_data.get("sheet") if self.is_valid() else None) or None


def _first(asked: Mapping[str, Any]) -> dict[str, Any]:
    """One value for each name, also of what a browser sends."""
    return {name: asked.get(name) for name in asked}


class KeepStudyForm(forms.Form):
    """Keep what was shown, under a name."""

    name = name_field("Name of the study", "Such as S1.")
    done_on = forms.DateField(
        label="Measured on", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    note = forms.CharField(label="Note", required=False, help_text="Anything the next reader should know.")
    leave_out = forms.BooleanField(label="Leave out the cells that cannot be read", required=False)
    read_by = your_name_field()

    def about(self, told: StudyAbout) -> StudyAbout:
        """What was told of the study already, with its day and note."""
        return replace(told, done_on=self.cleaned_data["done_on"], note=self.cleaned_data["note"])

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file, what was told of it, and the time."""
        given = self.cleaned_data
        return {"study": given["name"], "leave_out": given["leave_out"], "read_by": given["read_by"]}

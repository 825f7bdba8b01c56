"""Forms of a joint: ask for steel, read the file of a test, keep it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import refuse_beyond
from offtool.handbook.terms import LONGEST_FILE_NAME
from offtool.steps.keep_joint_test import JointTestAbout
from offtool.web.forms.fields import name_field, your_name_field


class AskForm(forms.Form):
    """Who lets a joint ask the correction for steel."""

    made_by = your_name_field()


class JointTestFileForm(forms.Form):
    """Choose the file of a test."""

    file = forms.FileField(
        label="File of the test",
        help_text="CSV or XLSX, as it came from the bench.",
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


class HowJointTestForm(forms.Form):
    """What the file does not say: which trials the pieces are from, and what they were measured with."""

    upload = forms.CharField(widget=forms.HiddenInput)
    inner_trial = forms.ChoiceField(label="Inner pieces are from", required=False)
    outer_trial = forms.ChoiceField(label="Outer pieces are from", required=False)
    gauge = forms.ChoiceField(label="Measured with", required=False)
    done_on = forms.DateField(
        label="Measured on",
        required=False,
        help_text="Trials after that day are passed over.",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(
        self,
        asked: Mapping[str, Any],
        *,
        inner_trials: Sequence[str],
        outer_trials: Sequence[str],
        gauges: Sequence[tuple[str, str]],
        **options: Any,
    ) -> None:
        super().__init__({name: asked.get(name) for name in asked}, auto_id="how_%s", **options)
        newest = ("", "the newest trial of the part")
        self._choices("inner_trial", [newest, *((one, one) for one in inner_trials)])
        self._choices("outer_trial", [newest, *((one, one) for one in outer_trials)])
        self._choices("gauge", [("", "not said"), *gauges])

    def _choices(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = list(choices)

    @property
    def about(self) -> JointTestAbout:
        """What is told, as the step takes it; as if nothing were told where that is wrong."""
        given = self.cleaned_data if self.is_valid() else {}
        return JointTestAbout(
            inner_trial=given.get("inner_trial") or "",
            outer_trial=given.get("outer_trial") or "",
            gauge=given.get("gauge") or "",
            done_on=given.get("done_on"),
        )

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return (self.cleaned_data.get("sheet") if self.is_valid() else None) or None


class KeepJointTestForm(forms.Form):
    """Keep what was shown, under a name."""

    name = name_field("Name of the test", "Such as torque 1.")
    note = forms.CharField(label="Note", required=False, help_text="Anything the next reader should know.")
    leave_out = forms.BooleanField(label="Leave out the cells that cannot be read", required=False)
    read_by = your_name_field()

    def about(self, told: JointTestAbout) -> JointTestAbout:
        """What was told of the test already, with its note."""
        return replace(told, note=self.cleaned_data["note"])

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file, what was told of it, and the time."""
        given = self.cleaned_data
        return {"test": given["name"], "leave_out": given["leave_out"], "read_by": given["read_by"]}

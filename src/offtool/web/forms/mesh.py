"""Forms of a part's shape: choose the file, say its unit and the way the tool opens, keep it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import refuse_beyond
from offtool.handbook.terms import LONGEST_FILE_NAME, LengthUnit
from offtool.steps.read_mesh import AXES, MeshAbout
from offtool.web.forms.fields import number_or_blank, your_name_field

UNITS = {
    LengthUnit.MM: "millimetres",
    LengthUnit.CM: "centimetres",
    LengthUnit.M: "metres",
    LengthUnit.INCH: "inches",
}
OTHER = "other"


class MeshFileForm(forms.Form):
    """Choose the file of a shape."""

    file = forms.FileField(
        label="File of the shape",
        help_text="STL, OBJ or 3MF, as exported from the drawing, one part a file.",
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


class HowMeshForm(forms.Form):
    """What the file does not say: its unit, and the way the tool opens."""

    upload = forms.CharField(widget=forms.HiddenInput)
    unit = forms.ChoiceField(
        label="Unit of its numbers",
        required=False,
        choices=[("", "as the file says"), *((unit.value, words) for unit, words in UNITS.items())],
        help_text="STL and OBJ never say it: ask who made the file, or measure one side.",
    )
    opens = forms.ChoiceField(
        label="The tool opens along",
        required=False,
        choices=[("", "z"), ("y", "y"), ("x", "x"), (OTHER, "another direction, below")],
        help_text="In the axes of the file.",
    )
    along_x = number_or_blank("Direction, x")
    along_y = number_or_blank("Direction, y")
    along_z = number_or_blank("Direction, z")

    def __init__(self, asked: Any) -> None:
        super().__init__(asked, auto_id="how_%s")

    def clean(self) -> dict[str, Any]:
        """A direction of one's own points somewhere."""
        given = super().clean() or {}
        if given.get("opens") == OTHER and not any(given.get(f"along_{axis}") for axis in AXES):
            self.add_error("along_z", "Give the direction, such as 0, 0, 1.")
        return given

    @property
    def about(self) -> MeshAbout:
        """What was told, as the step takes it; what is refused stands as if it were blank."""
        given = self.cleaned_data if self.is_valid() else {}
        direction = AXES.get(given.get("opens") or "z", AXES["z"])
        if given.get("opens") == OTHER:
            x, y, z = (float(given.get(f"along_{axis}") or 0) for axis in AXES)
            direction = (x, y, z)
        return MeshAbout(unit=given.get("unit", ""), direction=direction)


class KeepMeshForm(forms.Form):
    """Keep what was shown."""

    confirmed = forms.BooleanField(
        label="It is right as it is",
        required=False,
        help_text="Its size or its weight is doubted: keep it only where somebody measured it.",
    )
    note = forms.CharField(
        label="Note", required=False, help_text="Such as the number and date of the drawing."
    )
    read_by = your_name_field()

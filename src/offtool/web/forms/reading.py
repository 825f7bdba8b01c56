"""Forms to read a file: choose it, say how it is to be read, and where it is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from offtool.exchange.readings import FileRefused, Layout
from offtool.exchange.readings.limits import refuse_beyond
from offtool.handbook.resins import RESINS
from offtool.handbook.terms import LONGEST_FILE_NAME
from offtool.records.models import Resin
from offtool.steps.read_readings import TrialAbout
from offtool.web.forms.fields import NumberField, moment_field, name_field, your_name_field
from offtool.web.pages.reading import LAYOUTS


class FilesInput(forms.FileInput):
    """A field for one file or several."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """One file or several; cleaned to a list."""

    widget = FilesInput

    def clean(self, data: Any, initial: Any = None) -> Any:
        """Every file by itself, none for an empty choice."""
        sent = data if isinstance(data, list | tuple) else [data] if data else []
        return [super(FilesField, self).clean(file, initial) for file in sent or [None]]


class FileForm(forms.Form):
    """Choose a file, or several."""

    file = FilesField(
        label="File of readings",
        help_text="CSV, XLSX or QIF, as it came from the gauge room. Several files, or a zip, are one trial.",
        allow_empty_file=True,  # the reader says what an empty file lacks
        max_length=LONGEST_FILE_NAME,
        error_messages={"required": "Choose a file first."},
    )

    def clean_file(self) -> list[UploadedFile[Any]]:
        """Refuse what is larger than the reader takes."""
        files: list[UploadedFile[Any]] = self.cleaned_data["file"]
        try:
            for file in files:
                refuse_beyond("bytes", file.size or 0, where=file.name or "file")
            refuse_beyond("bytes together", sum(file.size or 0 for file in files), where="all files")
        except FileRefused as error:
            raise forms.ValidationError(str(error)) from error
        return files


class HowForm(forms.Form):
    """Read the file otherwise than it was recognised."""

    upload = forms.CharField(widget=forms.HiddenInput)
    layout = forms.ChoiceField(
        label="Layout",
        required=False,
        choices=[("", "as recognised"), *((layout.value, LAYOUTS[layout.value]) for layout in Layout)],
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any]) -> None:
        super().__init__(asked, auto_id="how_%s")

    @property
    def how(self) -> dict[str, Any]:
        """The wish as the step takes it."""
        given = self.cleaned_data if self.is_valid() else {}
        layout, sheet = given.get("layout", ""), given.get("sheet", "")
        return {"layout": Layout(layout) if layout else None, "sheet": sheet or None}


class KeepForm(forms.Form):
    """Keep what was shown; `upload`, `layout` and `sheet` name exactly that."""

    upload = forms.CharField(widget=forms.HiddenInput)
    layout = forms.ChoiceField(
        required=False,
        choices=[("", ""), *((layout.value, "") for layout in Layout)],
        widget=forms.HiddenInput,
    )
    sheet = forms.CharField(required=False, max_length=100, widget=forms.HiddenInput)
    leave_out = forms.BooleanField(label="Leave out what cannot be read", required=False)
    read_by = your_name_field()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.order_fields([name for name in self.fields if name != "read_by"])  # the name comes last

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file and the time."""
        given = self.cleaned_data
        return {
            "layout": Layout(given["layout"]) if given["layout"] else None,
            "sheet": given["sheet"] or None,
            "leave_out": given["leave_out"],
            "read_by": given["read_by"],
        }


class KeepReadingsForm(KeepForm):
    """Keep readings in a trial; what is known of the trial besides them."""

    trial = name_field("Trial", "A name that is not there yet makes a new trial on the tool's latest steel.")
    shot_on = forms.DateField(
        label="Shot on", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    press = name_field("Press", required=False)
    colour = name_field("Colour in the barrel", required=False)
    resin_lot = name_field("Resin lot", required=False)
    age_h = NumberField(
        label="Age at measuring, h", required=False, min_value=0,
        help_text="Hours from moulding. Parts shrink on: 16 h and more is usual.",
    )  # fmt: skip
    moulded_at = moment_field("Last shot moulded at", "With the next field it gives the age.")
    measured_at = moment_field("Measuring began at")

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file and the time; blanks leave what is on record."""
        names = ("shot_on", "press", "colour", "resin_lot", "age_h", "moulded_at", "measured_at")
        about = TrialAbout(**{name: self.cleaned_data[name] for name in names})
        return super().keep_as() | {"trial": self.cleaned_data["trial"], "about": about}


class StartForm(KeepForm):
    """Make a programme from a first-article report."""

    named: tuple[str, ...] = ("title", "tool", "part", "trial", "resin", "required_index")
    title = forms.CharField(
        label="Product",
        max_length=200,
        help_text="As people call it.",
        error_messages={"required": "Give the product's name."},
    )
    tool = name_field("Tool", initial="M1")
    part = name_field("Part", initial="P1")
    trial = name_field("Trial", initial="T1")
    resin = forms.ChoiceField(
        label="Resin",
        choices=[(resin.code, f"{resin.code}, {resin.name}") for resin in RESINS],
        help_text="Shrinkage starts from its usual value, until the steel is measured.",
    )
    required_index = NumberField(
        label="Index that every size must show",
        required=False,
        min_value=0.01,
        max_value=10,
        help_text="Such as 1.33; blank for the usual 1.00.",
    )

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file and the time."""
        return super().keep_as() | {name: self.cleaned_data[name] for name in self.named}


class AddPartForm(StartForm):
    """Add a part and its tool to a programme; `resins` are those that the programme has already."""

    named = ("tool", "part", "trial", "resin", "required_index")
    title = None  # type: ignore[assignment]  # so Django leaves out a field: the programme has its title
    tool = name_field("Tool", "The new tool, as the toolmaker calls it.")
    part = name_field("Part", "The new part, as on its drawing.")

    def __init__(self, *args: Any, resins: Sequence[Resin] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        own = {one.code: f"{one.code}, {one.name}".rstrip(", ") for one in resins}
        usual = [(one.code, f"{one.code}, {one.name}") for one in RESINS if one.code not in own]
        field = self.fields["resin"]
        field.choices = [*own.items(), *usual]  # type: ignore[attr-defined]
        field.help_text = (
            "One that the programme has keeps its shrinkage; another starts from its usual value."
        )

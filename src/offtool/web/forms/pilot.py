"""Forms of a pilot: write it down, read a sheet of it, ask for a ramp."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile, UploadedFile
from django.forms.boundfield import BoundField

from offtool.core.values import OfftoolError
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.limits import refuse_beyond
from offtool.handbook.terms import LONGEST_FILE_NAME
from offtool.steps.define_pilot import MOST_HOURS, PilotDefined, PilotPlace
from offtool.steps.keep_pilot_file import SheetAbout, begins_at
from offtool.steps.ramp_found import RampAsked
from offtool.web.forms.fields import name_field, note_field, number_or_blank, your_name_field

PASTED = "pasted.csv"
MOST_PIECES = 100_000


def _day_field(label: str, help_text: str = "") -> forms.DateField:
    return forms.DateField(
        label=label,
        required=False,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Give a day, such as 2026-04-09."},
    )


def _whole_or_blank(label: str, help_text: str = "", *, at_most: int) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=1,
        max_value=at_most,
        help_text=help_text,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "Give a whole number, such as 150.",
            "min_value": "Give 1 or more, or leave it blank.",
            "max_value": f"Give {at_most:,} at most, or leave it blank.",
        },
    )


class PilotForm(forms.Form):
    """A pilot, and the runs that its parts came from."""

    name = name_field("Name", "Such as P1.")
    line = forms.ChoiceField(label="Line", error_messages={"required": "Choose the line."})
    ran_on = _day_field("Ran on")
    pieces = _whole_or_blank("Pieces started into the line", at_most=MOST_PIECES)
    hours = number_or_blank("Hours it ran", "Without breaks.", at_least=0.01, at_most=MOST_HOURS)
    people = _whole_or_blank("People on the line", at_most=10_000)
    trials = forms.MultipleChoiceField(
        label="Parts came from",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="The runs of the tools. A cut of their steel makes the pilot old.",
        error_messages={"invalid_choice": "This run is not in the programme: choose another."},
    )
    note = note_field()
    made_by = your_name_field()

    def __init__(self, place: PilotPlace, data: Any = None, **options: Any) -> None:
        now = place.defined
        first = {"name": place.next_name, "line": next(iter(place.lines), "")}
        initial = _typed(now) if now is not None else first
        super().__init__(data, initial={**initial, **options.pop("initial", {})}, **options)
        self._choices("line", place.lines)
        self._choices("trials", place.trials)
        if now is not None:
            for name in ("name", "line"):
                self.fields[name].disabled = True

    def _choices(self, name: str, choices: tuple[str, ...]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = [(one, one) for one in choices]

    @property
    def first(self) -> tuple[BoundField, ...]:
        """What is known of it, in a few words each."""
        return tuple(self[name] for name in ("name", "line", "ran_on", "pieces", "hours", "people"))

    @property
    def last(self) -> tuple[BoundField, ...]:
        """The runs, a note, and who."""
        return self["trials"], self["note"], self["made_by"]

    def as_defined(self) -> PilotDefined:
        """What the step asks for."""
        given = self.cleaned_data
        names = ("name", "line", "ran_on", "pieces", "hours", "people", "note")
        return PilotDefined(trials=tuple(given["trials"]), **{name: given[name] for name in names})


def _typed(now: PilotDefined) -> dict[str, Any]:
    numbers = {"hours": f"{now.hours:g}" if now.hours is not None else ""}
    return {
        "name": now.name,
        "line": now.line,
        "ran_on": now.ran_on,
        "pieces": now.pieces,
        "people": now.people,
        "trials": list(now.trials),
        "note": now.note,
        **numbers,
    }


class SheetFileForm(forms.Form):
    """Choose a sheet, or paste its cells."""

    file = forms.FileField(
        label="File of the sheet",
        required=False,
        help_text="CSV or XLSX, as it was written on the line.",
        allow_empty_file=True,  # the reader says what an empty file lacks
        max_length=LONGEST_FILE_NAME,
    )
    pasted = forms.CharField(
        label="or its cells",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "autocomplete": "off"}),
        help_text="Copied from a spreadsheet with their headings. They are kept as they are pasted.",
    )

    def clean(self) -> dict[str, Any]:
        """One of the two; what is pasted becomes a file of its own."""
        given = super().clean() or {}
        file, pasted = given.get("file"), str(given.get("pasted") or "")
        if file is not None and pasted.strip():
            self.add_error("pasted", "Give the file or its cells, not both.")
        elif file is None and not pasted.strip() and not self.errors:
            self.add_error("file", "Choose a file first, or paste its cells.")
        elif file is None and pasted.strip():
            given["file"] = SimpleUploadedFile(PASTED, pasted.encode())
        return given

    def clean_file(self) -> UploadedFile[Any] | None:
        """Refuse what is larger than the reader takes."""
        file: UploadedFile[Any] | None = self.cleaned_data.get("file")
        try:
            if file is not None:
                refuse_beyond("bytes", file.size or 0, where=file.name or "file")
        except FileRefused as error:
            raise forms.ValidationError(str(error)) from error
        return file


class HowSheetForm(forms.Form):
    """What a sheet does not say itself."""

    upload = forms.CharField(widget=forms.HiddenInput)
    begins = forms.CharField(
        label="Hour 1 began at",
        required=False,
        max_length=20,
        help_text="Such as 8:00, where the hours are times on the clock.",
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any], **options: Any) -> None:
        super().__init__({name: asked.get(name) for name in asked}, auto_id="how_%s", **options)

    def clean_begins(self) -> str:
        """A time on the clock."""
        begins = str(self.cleaned_data["begins"])
        try:
            begins_at(begins)
        except OfftoolError as error:
            raise forms.ValidationError("Write it on the clock, such as 8:00.") from error
        return begins

    @property
    def about(self) -> SheetAbout:
        """What is told, as the step takes it; as if nothing were told where that is wrong."""
        given = self.cleaned_data if self.is_valid() else {}
        return SheetAbout(begins=given.get("begins") or "")

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return (self.cleaned_data.get("sheet") if self.is_valid() else None) or None


class KeepSheetForm(forms.Form):
    """Keep what was shown."""

    name = name_field("Name of the sheet", "Such as 1, or the shift.")
    note = forms.CharField(label="Note", required=False, help_text="Anything the next reader should know.")
    leave_out = forms.BooleanField(label="Leave out what cannot be taken", required=False)
    read_by = your_name_field()

    def about_sheet(self, told: SheetAbout) -> SheetAbout:
        """What was told of the sheet already, with its note."""
        return replace(told, note=self.cleaned_data["note"])

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file, what was told of it, and the time."""
        given = self.cleaned_data
        return {"called": given["name"], "leave_out": given["leave_out"], "read_by": given["read_by"]}


class RampForm(forms.Form):
    """What is asked of a ramp; nothing of it is kept."""

    quantity = _whole_or_blank("Good pieces wanted", "Blank: as with the line.", at_most=10**9)
    starts_on = _day_field("Production starts on", "Blank: as with the line, else the next working day.")
    hours_per_day = number_or_blank("Hours a day", "Blank: as with the line.", at_least=0.01, at_most=24)
    planned_per_h = number_or_blank(
        "Good pieces an hour, planned", "Blank: as with the line.", at_least=0.01, at_most=10**6
    )
    planned_yield = number_or_blank(
        "Yield in the end, planned, %", "Such as 98; blank: as with the line.", at_least=1, at_most=100
    )
    days_to_half = number_or_blank(
        "Days until half the missing yield is gained", "Working days; blank: 5.", at_least=0.1, at_most=1000
    )

    def as_asked(self) -> RampAsked:
        """What the step asks for; as if nothing were asked where that is wrong."""
        given = self.cleaned_data if self.is_valid() else {}
        percent = given.get("planned_yield")
        starts: date | None = given.get("starts_on")
        return RampAsked(
            quantity=given.get("quantity"),
            starts_on=starts,
            hours_per_day=given.get("hours_per_day"),
            planned_per_h=given.get("planned_per_h"),
            planned_yield=percent / 100 if percent is not None else None,
            days_to_half=given.get("days_to_half"),
        )

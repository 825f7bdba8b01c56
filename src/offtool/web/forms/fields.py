"""Fields that several forms share."""

from __future__ import annotations

from typing import Any

from django import forms

from offtool.handbook.terms import LARGEST_NUMBER, LONGEST_NAME


class NumberField(forms.FloatField):
    """A number as people write it: with a point or a comma, with any minus sign."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("error_messages", {"invalid": "Give a number, such as 4.02."})
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(**options)

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # as FloatField itself
        """4,02 and −0.02 are numbers; 1,234.5 is told from 1,2345 by nobody and refused."""
        if isinstance(value, str):
            value = value.strip().replace("−", "-")
            if "." not in value and value.count(",") == 1:
                value = value.replace(",", ".")
        return super().to_python(value)


def number_or_blank(
    label: str, help_text: str = "", *, at_least: float | None = None, at_most: float = LARGEST_NUMBER
) -> NumberField:
    """A number that may be left blank, and what to do where it is out of its range."""
    too_large = "No size is as large as that: mend the number, or leave it blank."
    return NumberField(
        label=label,
        help_text=help_text,
        required=False,
        min_value=at_least,
        max_value=at_most,
        error_messages={
            "invalid": "Give a number, such as 4.02.",
            "min_value": f"Give {at_least or 0:g} or more, or leave it blank.",
            "max_value": too_large
            if at_most == LARGEST_NUMBER
            else f"Give {at_most:g} at most, or leave it blank.",
        },
    )


def note_field() -> forms.CharField:
    """Anything that stands beside, as long as it is."""
    return forms.CharField(
        label="Note",
        required=False,
        help_text="Anything the next reader should know.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )


def name_field(label: str, help_text: str = "", **options: Any) -> forms.CharField:
    """A short name, as long as the record takes it."""
    said = {"required": "Give a name.", "max_length": f"At most {LONGEST_NAME} signs are kept."}
    return forms.CharField(
        label=label, help_text=help_text, max_length=LONGEST_NAME, error_messages=said, **options
    )


def your_name_field() -> forms.CharField:
    """Who does it, for those who ask later."""
    return name_field("Your name", "Kept beside what was done.", required=False)


def moment_field(label: str, help_text: str = "") -> forms.DateTimeField:
    """A time of day on a day, in the zone of the pages."""
    return forms.DateTimeField(
        label=label,
        help_text=help_text,
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        error_messages={"invalid": "Give day and time, such as 2026-03-02 14:30."},
    )

"""Forms of a line: what is asked of it, its plan, places that are adopted, what is said of a station."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django import forms

from offtool.handbook.line_numbers import LINE_NUMBERS, STATION_NUMBERS, LineNumber
from offtool.steps.define_line import StationSaid
from offtool.steps.line_known import LineKnown, StationKnown
from offtool.web.forms.fields import name_field, note_field, number_or_blank, your_name_field
from offtool.web.forms.ground import GroundForm, day_field, typed, whole_or_blank

LEAST_SECONDS, MOST_SECONDS = 0.5, 60.0
BETWEEN = ";"


def line_number_field(number: LineNumber) -> forms.Field:
    """A number of a line, as it is typed; which ones are possible, the step says at the field."""
    help_text = f"{number.help[:1].upper()}{number.help[1:]}." if number.help else ""
    if number.whole:
        return whole_field(number.label, help_text)
    return number_or_blank(number.label, help_text)


def whole_field(label: str, help_text: str = "") -> forms.IntegerField:
    """A whole number from 0, or nothing."""
    return forms.IntegerField(
        label=label,
        help_text=help_text,
        required=False,
        max_value=10**9,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "Give a whole number, or leave it blank."},
    )


def numbers_said(numbers: Mapping[str, LineNumber], given: Mapping[str, Any]) -> dict[str, Any]:
    """What was typed, as the record keeps it."""
    return {name: number.kept(given[name]) for name, number in numbers.items()}


def numbers_typed(numbers: Mapping[str, LineNumber], known: object) -> dict[str, str]:
    """What is kept, as it is typed."""
    return {name: typed(number.typed(getattr(known, name))) for name, number in numbers.items()}


class AskForm(forms.Form):
    """What is asked of the line; all blank: the plan."""

    rate = number_or_blank("Pieces an hour", "Then: the fewest stations for them.")
    people = whole_or_blank("People", "Then: the best rate that they make.")
    stations = whole_or_blank("Stations", "With people: these are shared out over so many stations.")
    seconds = number_or_blank("Search for, s", "Blank for 3.", at_least=LEAST_SECONDS, at_most=MOST_SECONDS)

    def clean(self) -> dict[str, Any]:
        """A rate finds the stations; stations and people find the rate."""
        given = super().clean() or self.cleaned_data
        if given.get("rate") is not None and given["rate"] <= 0:
            self.add_error("rate", "Give more than 0, or leave it blank.")
        elif given.get("rate") is not None and (given.get("people") or given.get("stations")):
            self.add_error("rate", "Give the rate, or people and stations, not both.")
        return given


class AdoptForm(forms.Form):
    """The places that are adopted, each task's station."""

    places = forms.CharField(widget=forms.HiddenInput)
    people = forms.CharField(widget=forms.HiddenInput, required=False)
    made_by = your_name_field()

    def clean_places(self) -> dict[str, int]:
        """Task and station of each."""
        try:
            found = {str(task): int(at) for task, at in json.loads(self.cleaned_data["places"]).items()}
        except (ValueError, TypeError, AttributeError) as error:
            raise forms.ValidationError("The places were not understood: look at the line again.") from error
        return found

    def clean_people(self) -> dict[int, int]:
        """Station and people of those that are manned otherwise than now."""
        try:
            typed = json.loads(self.cleaned_data["people"] or "{}").items()
            return {int(station): int(people) for station, people in typed}
        except (ValueError, TypeError, AttributeError) as error:
            raise forms.ValidationError("The people were not understood: look at the line again.") from error


def places_typed(places: Mapping[str, int] | Mapping[int, int]) -> str:
    """Places, or the people at stations, as the form carries them."""
    return json.dumps(places, ensure_ascii=False)


class LineForm(GroundForm):
    """What is planned of a line."""

    name = name_field("Line", "As people call it, such as main line.")
    starts_on = day_field("First day of production")
    two_sided = forms.BooleanField(
        label="At every station two people face each other",
        required=False,
    )
    note = note_field()

    def __init__(self, known: LineKnown | None, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for name, number in LINE_NUMBERS.items():
            self.fields[name] = line_number_field(number)
        named = () if known is not None else ("name",)
        if known is not None:
            del self.fields["name"]
        self.layout = (
            ("", "", (*named, "planned_per_h", "people", "hours_per_day", "two_sided")),
            (
                "Yield and money",
                "",
                ("planned_first_yield", "planned_final_yield", "piece_cost", "minute_cost"),
            ),
            (
                "The ramp",
                "From the pilot to the planned rate.",
                ("quantity", "starts_on", "learning_low", "learning_high"),
            ),
            ("", "", ("note", "made_by")),
        )

    def said(self) -> dict[str, Any]:
        """The plan as the step takes it."""
        given = self.cleaned_data
        plain = {name: given[name] for name in ("starts_on", "two_sided", "note")}
        return numbers_said(LINE_NUMBERS, given) | plain


def line_typed(known: LineKnown) -> dict[str, Any]:
    """A line as its form is filled."""
    plain = {name: getattr(known, name) for name in ("starts_on", "two_sided", "note")}
    return {**numbers_typed(LINE_NUMBERS, known), **plain}


SIDED = {"": None, "yes": True, "no": False}
AT_ONCE = ("people", "fixtures")
STOPS = ("works_s", "stands_s")
BEFORE = ("places", "cure_s")
FAILS = ("fails", "rounds")
LEARNS = ("learning", "made_before")


class StationForm(GroundForm):
    """What is said of a station."""

    number = forms.IntegerField(
        label="Number",
        help_text="Its place on the line, from 1.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Give its number.", "invalid": "Give a whole number, such as 3."},
    )
    name = name_field("Name", "As people call it, such as paint.", required=False)
    two_sided = forms.TypedChoiceField(
        label="Two people face each other",
        required=False,
        coerce=lambda said: SIDED[said],
        empty_value=None,
        choices=[("", "as the line"), ("yes", "yes"), ("no", "no")],
    )
    has = forms.MultipleChoiceField(
        label="Equipment that stands there",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Equipment that stands nowhere may be put where it is needed.",
    )
    rework_to = forms.TypedChoiceField(
        label="What fails goes back to", required=False, coerce=int, empty_value=None
    )
    take_out = forms.BooleanField(label="Take out what is said of this station", required=False)

    def __init__(self, known: LineKnown, now: StationKnown | None, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for name, number in STATION_NUMBERS.items():
            self.fields[name] = line_number_field(number)
        self.now = now
        if now is not None:
            del self.fields["number"]
        else:
            del self.fields["take_out"]
        self.choices("has", [(one.name, one.name) for one in known.equipment])
        at = [(one.number, f"{one.number} {one.name}".rstrip()) for one in known.stations]
        self.choices("rework_to", [("", "nowhere: it is scrapped"), *at])
        if not known.equipment:
            del self.fields["has"]
        first = tuple(
            name for name in ("number", "name", "people", "two_sided", "fixtures") if name in self.fields
        )
        has = ("has",) if "has" in self.fields else ()
        last = ("take_out",) if now is not None else ()
        self.layout = (
            ("", "", (*first, *has)),
            ("Before it", "", BEFORE),
            ("What fails there", "", ("fails", "rework_to", "rounds")),
            ("When it stops", "Both times, or neither.", STOPS),
            ("Learning", "", LEARNS),
            ("", "", (*last, "made_by")),
        )

    def said(self) -> StationSaid:
        """The station as the step takes it."""
        given = self.cleaned_data
        columns = numbers_said(STATION_NUMBERS, given) | {
            "name": given["name"],
            "two_sided": given["two_sided"],
        }
        number = self.now.number if self.now is not None else given["number"]
        has = tuple(given["has"]) if "has" in given else None
        return StationSaid(number=number, columns=columns, has=has, rework_to=given["rework_to"])


def station_typed(now: StationKnown) -> dict[str, Any]:
    """A station as its form is filled."""
    sided = {said: word for word, said in SIDED.items()}[now.two_sided]
    plain = {"name": now.name, "two_sided": sided, "has": list(now.has), "rework_to": now.rework_to}
    return {**numbers_typed(STATION_NUMBERS, now), **plain}

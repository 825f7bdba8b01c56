"""Forms of the register: enter a piece with its parts, change what is said of it, send photographs of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from django import forms

from offtool.handbook.terms import LARGEST_SHOT
from offtool.steps.keep_sample import PartSaid, SampleSaid
from offtool.steps.samples_place import SamplesPlace
from offtool.web.forms.fields import name_field, note_field, your_name_field
from offtool.web.forms.judging import reason_field

NOT_SAID = ("", "not said")
MOST_PARTS = 40
"""Of one piece on one form."""


class SaidForm(forms.Form):
    """What is said of a piece and may change."""

    name = name_field("What it is", "Such as otter without paint.", required=False)
    place = name_field("Where it lies", "Room, drawer, bag.", required=False)
    holder = name_field("Who has it", required=False)
    found_on = forms.DateField(
        label="Taken or found on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Give a day, such as 2026-03-14."},
    )
    purpose = name_field("Kept for", "Such as limit sample, assembly, archive.", required=False)
    disposition = name_field("What is to become of it", "Such as keep, send back.", required=False)
    build = forms.ChoiceField(
        label="Build on its tag", required=False, help_text="Only what a tag or a card says."
    )
    note = note_field()
    made_by = your_name_field()

    def __init__(self, place: SamplesPlace, data: Mapping[str, Any] | None = None, **options: Any) -> None:
        super().__init__(data, **options)
        if place.builds:
            self.fields["build"].choices = [NOT_SAID, *place.builds]  # type: ignore[attr-defined]
        else:
            del self.fields["build"]

    def columns(self) -> dict[str, Any]:
        """What is said, by the record's columns."""
        return {name: value for name, value in self.cleaned_data.items() if name not in NOT_COLUMNS}


NOT_COLUMNS = ("made_by", "reason", "number")


class SampleForm(SaidForm):
    """A piece for the register."""

    number = name_field("Number", "As on its label; each piece has its own.")
    field_order = ("number", "name", "place", "holder", "found_on", "purpose", "disposition", "build")

    def as_said(self, parts: Sequence[PartSaid]) -> SampleSaid:
        """The piece with its parts."""
        return SampleSaid(number=self.cleaned_data["number"], parts=tuple(parts), **self.columns())


class ChangeSampleForm(SaidForm):
    """What is said of a piece, to be changed."""

    reason = reason_field("Such as: moved to the new cabinet. What was said before stays in the history.")
    reason.required = False
    reason.label = "Why"
    field_order = ("name", "place", "holder", "found_on", "purpose", "disposition", "build", "note", "reason")


class PartForm(forms.Form):
    """A part of a piece, and what its tag says; blank where there is no tag."""

    part = forms.ChoiceField(label="Part", error_messages={"required": "Choose which part it is."})
    label = name_field("Called", "Where a piece has two alike: left arm.", required=False)
    run = forms.ChoiceField(label="Run on its tag", required=False)
    state = forms.ChoiceField(label="Steel on its tag", required=False)
    cavity = name_field("Cavity", "As moulded in, or on the tag.", required=False)
    shot = forms.IntegerField(
        label="Shot",
        required=False,
        min_value=0,
        max_value=LARGEST_SHOT,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "Give a whole number.", "min_value": "Shots are counted from 0."},
    )
    colour = name_field("Colour in words", required=False)

    def __init__(self, place: SamplesPlace, data: Mapping[str, Any] | None = None, **options: Any) -> None:
        super().__init__(data, use_required_attribute=False, **options)
        self.place = place
        self._choose("part", [("", "choose"), *place.parts])
        self._choose("run", [NOT_SAID, *((key, one.words) for key, one in place.runs.items())])
        self._choose("state", [NOT_SAID, *((key, one.words) for key, one in place.states.items())])

    def clean(self) -> dict[str, Any]:
        """Run, steel and cavity are those of one tool, which makes the part."""
        given = super().clean() or self.cleaned_data
        if not given.get("part"):
            return given
        tool = self._tool(given)
        making = self.place.tools_of(given["part"])
        if tool and making and tool not in making:
            field = "run" if given.get("run") else "state"
            self.add_error(field, f"{tool} does not make {given['part']}: {', '.join(making)} does.")
        if given.get("cavity"):
            self._clean_cavity(given, tool or (making[0] if len(making) == 1 else ""))
        return given

    def as_said(self) -> PartSaid:
        """The part as its tag says it."""
        given = self.cleaned_data
        run = self.place.runs.get(given["run"])
        state = self.place.states.get(given["state"])
        return PartSaid(
            part=given["part"],
            label=given["label"],
            tool=self._tool(given),
            trial=run.run if run else "",
            state=state.state if state else "",
            cavity=given["cavity"],
            shot=given["shot"],
            colour=given["colour"],
            note=given.get("note", ""),
        )

    @property
    def is_tagged(self) -> bool:
        """Whether anything of a tag is filled in, so that it must not stay folded."""
        return any(self[name].value() or self[name].errors for name in ("run", "state", "cavity", "shot"))

    def _tool(self, given: Mapping[str, Any]) -> str:
        run, state = self.place.runs.get(given.get("run", "")), self.place.states.get(given.get("state", ""))
        if run and state and run.tool != state.tool and "state" not in self.errors:
            self.add_error("state", f"The run is one of {run.tool}: choose a state of {run.tool}.")
        return run.tool if run else state.tool if state else ""

    def _clean_cavity(self, given: Mapping[str, Any], tool: str) -> None:
        known = self.place.cavities.get((tool, given["part"]), ())
        if not tool:
            self.add_error("cavity", "Several tools make this part: choose the run on its tag, too.")
        elif given["cavity"] not in known:
            said = f"{tool} has the cavities {', '.join(known)}." if known else f"{tool} has no cavity of it."
            self.add_error("cavity", f"No cavity {given['cavity']} makes this part: {said}")

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]


class ChangePartForm(PartForm):
    """A part that is there, to be changed, or a new one on a piece that is there."""

    note = note_field()
    reason = reason_field("Such as: the tag lay under the foot. What was said before stays in the history.")
    reason.required = False
    reason.label = "Why"
    made_by = your_name_field()


def typed_of_part(said: PartSaid) -> dict[str, Any]:
    """A part as it is said, as the form has it."""
    told = {one.name: getattr(said, one.name) for one in fields(said)}
    run = f"{said.tool}/{said.trial}" if said.tool else ""
    return told | {"run": run, "state": f"{said.tool}/{said.state}" if said.state else ""}


class PartRows:
    """The parts of a new piece, a row each; a row in which nothing is chosen is passed over."""

    def __init__(
        self,
        place: SamplesPlace,
        count: int,
        data: Mapping[str, Any] | None = None,
        *,
        typed: Mapping[str, Any] | None = None,
    ) -> None:
        self.rows = [
            PartForm(
                place,
                data,
                prefix=f"part{i}",
                empty_permitted=True,
                initial=_of_row(typed or {}, f"part{i}-"),
            )
            for i in range(min(count, MOST_PARTS))
        ]

    def is_valid(self) -> bool:
        """Whether every row that is filled can be kept; no two parts are called alike."""
        if any(one.errors for one in self.rows):
            return False
        seen: set[str] = set()
        for one in self.filled:
            label = one.cleaned_data["label"] or one.cleaned_data["part"]
            if label in seen:
                one.add_error("label", f"Two parts are called {label}: call them left arm and right arm.")
            seen.add(label)
        return not any(one.errors for one in self.rows)

    @property
    def filled(self) -> list[PartForm]:
        """The rows in which something is said."""
        return [one for one in self.rows if one.has_changed()]

    def as_said(self) -> list[PartSaid]:
        """The parts."""
        return [one.as_said() for one in self.filled]


def _of_row(typed: Mapping[str, Any], prefix: str) -> dict[str, Any]:
    return {name.removeprefix(prefix): value for name, value in typed.items() if name.startswith(prefix)}


class ManyFilesInput(forms.ClearableFileInput):
    """Several photographs at once."""

    allow_multiple_selected = True


class PhotographForm(forms.Form):
    """Photographs of a piece, or of one part of it."""

    photographs = forms.Field(  # any number of files: each is checked as it is kept
        label="Photographs",
        help_text="JPEG, PNG or WebP. Where and when each was taken is removed before it is kept.",
        widget=ManyFilesInput(attrs={"accept": "image/*", "multiple": True}),
        required=False,
    )
    part = forms.ChoiceField(label="It shows", required=False)
    note = name_field("What it shows, in words", required=False)
    made_by = your_name_field()

    def __init__(self, labels: Sequence[str], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        choices = [("", "the whole piece"), *((label, label) for label in labels)]
        self.fields["part"].choices = choices  # type: ignore[attr-defined]

"""The form of a detail: with which state of the steel it came, or for each state whether it is there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.core.values import OfftoolError
from offtool.handbook.terms import DetailKind
from offtool.steps.define_ground import DetailSaid, states_with
from offtool.steps.ground_found import DetailKnown, DetailsKnown
from offtool.web.forms.fields import name_field, note_field
from offtool.web.forms.ground import GroundForm, Section

THERE, NOT_THERE, LOST = "there", "not there", "sheet lost"
WORDS = {True: THERE, False: NOT_THERE, None: LOST}
NOBODY_KNOWS = ("", "nobody knows")
STILL_THERE = ("", "it is still there")
KINDS = {
    DetailKind.STAYS: "it stays: steel removed, engraved, textured",
    DetailKind.COMES_AND_GOES: "it comes and goes: insert, date wheel, welded spot",
}


class DetailForm(GroundForm):
    """A detail of a part; the tools that make the part each have their states."""

    code = name_field("Short name", "Such as date-mark; it stands in lists and files.")
    name = name_field("Name in words", "Such as date mark in the foot.", required=False)
    kind = forms.ChoiceField(
        label="Once it is there",
        choices=[(one.value, words) for one, words in KINDS.items()],
        widget=forms.RadioSelect,
        initial=DetailKind.STAYS.value,
    )
    where = forms.CharField(
        label="Where, and how to look",
        required=False,
        help_text="Such as: inside the left foot, with a lens.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    note = note_field()

    def __init__(self, known: Sequence[DetailsKnown], data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.known = tuple(known)
        for place, one in enumerate(self.known):
            self._ask_states(place, one)

    def _ask_states(self, place: int, known: DetailsKnown) -> None:
        """Which states have it, of one tool."""
        for number, label in enumerate(known.states):
            self.fields[f"state_{place}_{number}"] = forms.ChoiceField(
                label=f"{known.tool}, state {label}",
                choices=[(one, one) for one in WORDS.values()],
                initial=LOST,
            )

    @property
    def sections(self) -> Iterator[Section]:
        """What it is, then its states tool by tool."""
        yield Section(heading="", fields=self._fields("code", "name", "kind", "where"))
        for place, one in enumerate(self.known):
            names = [name for name in self.fields if name.startswith(self._prefixes(place))]
            yield Section(heading=f"Steel of {one.tool}", fields=self._fields(*names), help_text=self.hint)
        yield Section(heading="", fields=self._fields("note", "made_by"))

    hint = "Sheet lost: the record says nothing of this state, which is another thing than not there."

    def _prefixes(self, place: int) -> tuple[str, ...]:
        return (f"state_{place}_",)

    def _fields(self, *names: str) -> tuple[BoundField, ...]:
        return tuple(self[name] for name in names)

    def said(self) -> DetailSaid:
        """The detail as the step takes it."""
        given = self.cleaned_data
        told = {name: given[name] for name in ("code", "name", "kind", "where", "note")}
        in_states = {one.tool: self._states(place, one) for place, one in enumerate(self.known)}
        return DetailSaid(part=self.known[0].part, **told, in_states=in_states)

    def _states(self, place: int, known: DetailsKnown) -> dict[str, bool | None]:
        meant = {words: is_there for is_there, words in WORDS.items()}
        return {
            label: meant[self.cleaned_data[f"state_{place}_{number}"]]
            for number, label in enumerate(known.states)
        }


class NewDetailForm(DetailForm):
    """A new detail: with which state it came, and with which it went."""

    hint = "From that state on all later states have it, until it was taken out."

    def _ask_states(self, place: int, known: DetailsKnown) -> None:
        states = [(one, f"state {one}") for one in known.states]
        self.fields[f"came_{place}"] = forms.ChoiceField(
            label="It came with", required=False, choices=[NOBODY_KNOWS, *states]
        )
        self.fields[f"went_{place}"] = forms.ChoiceField(
            label="Taken out again with", required=False, choices=[STILL_THERE, *states[1:]]
        )
        self.fields[f"lost_{place}"] = forms.MultipleChoiceField(
            label="States of which the sheet is lost",
            required=False,
            choices=states,
            widget=forms.CheckboxSelectMultiple,
        )

    def _prefixes(self, place: int) -> tuple[str, ...]:
        return (f"came_{place}", f"went_{place}", f"lost_{place}")

    def _states(self, place: int, known: DetailsKnown) -> dict[str, bool | None]:
        given = self.cleaned_data
        return states_with(
            known.states,
            came=given[f"came_{place}"],
            went=given[f"went_{place}"],
            lost=given[f"lost_{place}"],
        )

    def refuse(self, error: OfftoolError) -> None:
        """What is wrong with a state stands at the state."""
        if error.where in ("came", "went"):
            error = OfftoolError(error.what, where=f"{error.where}_0", remedy=error.remedy)
        super().refuse(error)


def detail_typed(known: Sequence[DetailsKnown], code: str) -> dict[str, Any]:
    """A detail as its form is filled."""
    rows = [next(row for row in one.details if row.code == code) for one in known]
    filled = {
        f"state_{place}_{number}": WORDS[is_there]
        for place, row in enumerate(rows)
        for number, is_there in enumerate(row.in_states)
    }
    return {**_about(rows[0]), **filled}


def _about(row: DetailKnown) -> dict[str, str]:
    return {name: getattr(row, name) for name in ("code", "name", "kind", "where", "note")}

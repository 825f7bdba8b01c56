"""Forms of the safety of a toy: for whom it is, the file of a test, and what is to be shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django import forms

from offtool.handbook.toy_law import MARKETS, TOY_TESTS_NAMED
from offtool.steps.keep_toy_test import ToyTestAbout, ToyTestPlace
from offtool.steps.toy_market import MarketKnown
from offtool.web.forms.fields import NumberField, name_field, number_or_blank
from offtool.web.forms.gauge import KeepStudyForm, StudyFileForm
from offtool.web.forms.ground import GroundForm, day_field
from offtool.web.forms.sampling import PerCentField

MONTHS = 1200.0


class MarketForm(GroundForm):
    """Where the toy is sold, for which ages, what it weighs, by when it should be released."""

    markets = forms.MultipleChoiceField(
        label="Sold in",
        required=False,
        choices=[(code, words) for code, words in MARKETS.items()],
        widget=forms.CheckboxSelectMultiple,
        help_text="Every place; the law of each is told.",
    )
    from_months = number_or_blank(
        "Youngest age, months", "Three years are 36 months.", at_least=0, at_most=MONTHS
    )
    to_months = number_or_blank(
        "Oldest age, months", "Blank where no end is said.", at_least=0, at_most=MONTHS
    )
    mass_kg = number_or_blank("Mass of the whole toy, kg", "As it is sold, without its box.", at_least=0)
    release_due = day_field("Should be released by", "Blank: nobody has said it.")
    layout = (
        ("", "", ("markets",)),
        ("For which children", "The age that the law would give it.", ("from_months", "to_months")),
        ("", "", ("mass_kg", "release_due", "made_by")),
    )

    def said(self) -> dict[str, Any]:
        """The columns as the step takes them."""
        given = self.cleaned_data
        plain = {name: given[name] for name in ("from_months", "to_months", "mass_kg", "release_due")}
        return {"markets": " ".join(given["markets"]), **plain}


def market_typed(known: MarketKnown) -> dict[str, Any]:
    """What is known as the form is filled."""
    numbers = {name: getattr(known, name) for name in ("from_months", "to_months", "mass_kg")}
    filled = {name: "" if value is None else f"{value:g}" for name, value in numbers.items()}
    return {"markets": list(known.markets), "release_due": known.release_due, **filled}


class ShareForm(forms.Form):
    """What own pieces are to show."""

    share = PerCentField(
        label="Share that must stand, %",
        required=False,
        min_value=1,
        max_value=99.99,
        help_text="90 when blank.",
        error_messages={
            "invalid": "Give per cent, such as 90.",
            "min_value": "Give 1 or more.",
            "max_value": "No number of pieces shows that all stand: give less than 100.",
        },
    )


class ToyFileForm(StudyFileForm):
    """Choose the file of a toy test."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].label = "File of the test"
        self.fields["file"].help_text = "CSV or XLSX, a row a piece, as it was written at the bench."


class HowToyForm(forms.Form):
    """What the file does not say: whose law, which test, when, and how far it fell."""

    upload = forms.CharField(widget=forms.HiddenInput)
    market = forms.ChoiceField(label="By the law of", required=False)
    test = forms.ChoiceField(
        label="Test",
        required=False,
        choices=[("", "the one of the file"), *((key, words) for key, words in TOY_TESTS_NAMED.items())],
    )
    done_on = forms.DateField(
        label="Tried on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="What changed since hangs on it.",
    )
    drops = forms.IntegerField(
        label="Falls of each piece",
        required=False,
        min_value=1,
        max_value=1000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="Where the file has no column for it.",
    )
    height_m = NumberField(
        label="Height of each fall, m",
        required=False,
        min_value=0.001,
        max_value=100,
        help_text="Where the file has no column for it.",
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any], *, place: ToyTestPlace, **options: Any) -> None:
        super().__init__({name: asked.get(name) for name in asked}, auto_id="how_%s", **options)
        field = self.fields["market"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        only = len(place.markets) == 1
        field.choices = [("", "that of the programme" if only else "choose"), *MARKETS.items()]

    @property
    def about(self) -> ToyTestAbout:
        """What is told, as the step takes it; as if nothing were told where that is wrong."""
        given = self.cleaned_data if self.is_valid() else {}
        return ToyTestAbout(
            market=given.get("market") or "",
            test=given.get("test") or "",
            drops=given.get("drops"),
            height_m=given.get("height_m"),
            done_on=given.get("done_on"),
        )

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return (self.cleaned_data.get("sheet") if self.is_valid() else None) or None


class KeepToyForm(KeepStudyForm):
    """Keep what was shown, under a name; the day was told already."""

    name = name_field("Name of the test", "Such as L1.")
    done_on = None  # type: ignore[assignment]  # Django's way to leave out a field of the base

    def about_toy(self, told: ToyTestAbout) -> ToyTestAbout:
        """What was told of it already, with the note."""
        return replace(told, note=self.cleaned_data["note"])

    def keep_toy_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file, what was told of it, and the time."""
        given = self.cleaned_data
        return {"test_name": given["name"], "leave_out": given["leave_out"], "read_by": given["read_by"]}

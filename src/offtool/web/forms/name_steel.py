"""A form that names the steel of a size: what it is, where it sits, and what it measures in each cavity."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.handbook.terms import Half, Stated
from offtool.steps.cut_steel import STEEL_UNCERTAINTY_MM
from offtool.steps.name_steel import Shape, SizeWithoutSteel, SteelNamed
from offtool.web.forms.fields import NumberField, name_field

CHOOSE = ("", "choose")
UNCHOSEN = {"required": "Choose one."}


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityFields:
    """The two fields of one cavity."""

    cavity: str
    measured: BoundField
    allowance: BoundField


class NameSteelForm(forms.Form):
    """The steel of one size. Nothing is chosen beforehand: each answer decides which way the part goes."""

    feature = name_field("Name of the steel", "As on the tool drawing, such as CP3.")
    shape = forms.ChoiceField(
        label="What it is",
        choices=[(shape.value, shape.value.capitalize()) for shape in Shape],
        widget=forms.RadioSelect,
        error_messages=UNCHOSEN,
    )
    half = forms.ChoiceField(
        label="Where it sits",
        choices=[CHOOSE, *((half, half) for half in Half)],
        error_messages=UNCHOSEN,
    )
    stated = forms.ChoiceField(
        label="How its size is given",
        choices=[CHOOSE, *((stated, stated) for stated in Stated)],
        help_text="Corrections are given the same way.",
        error_messages=UNCHOSEN,
    )
    drawn_mm = NumberField(
        label="Drawn size, mm",
        required=False,
        min_value=0,
        help_text="On the tool drawing; without it, steel left on purpose cannot be told apart.",
    )
    uncertainty_mm = NumberField(
        label="Uncertainty of measuring it, mm",
        initial=f"{STEEL_UNCERTAINTY_MM:g}",
        min_value=0,
        max_value=1,
        help_text="Standard uncertainty.",
    )
    can_add = forms.BooleanField(label="Steel can be added by a new pin or insert", required=False)

    def __init__(self, size: SizeWithoutSteel, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.cavities = size.cavities
        for place, cavity in enumerate(size.cavities):
            self.fields[f"measured-{place}"] = NumberField(
                label=f"Steel measured, mm, cavity {cavity}", required=False, min_value=0
            )
            self.fields[f"allowance-{place}"] = NumberField(
                label=f"Allowance, mm, cavity {cavity}", required=False, min_value=0
            )

    @property
    def rows(self) -> Iterator[CavityFields]:
        """A row a cavity."""
        for place, cavity in enumerate(self.cavities):
            yield CavityFields(
                cavity=cavity, measured=self[f"measured-{place}"], allowance=self[f"allowance-{place}"]
            )

    def as_named(self) -> dict[str, Any]:
        """What the step asks for, beside the size; a cavity left blank was not measured."""
        given = self.cleaned_data
        measured = {
            cavity: SteelNamed(
                measured_mm=given[f"measured-{place}"],
                allowance_mm=given[f"allowance-{place}"] or 0.0,
                uncertainty_mm=given["uncertainty_mm"],
            )
            for place, cavity in enumerate(self.cavities)
            if given[f"measured-{place}"] is not None
        }
        return {
            "feature": given["feature"],
            "shape": Shape(given["shape"]),
            "half": Half(given["half"]),
            "stated": Stated(given["stated"]),
            "measured": measured,
            "drawn_mm": given["drawn_mm"],
            "can_add": given["can_add"],
        }

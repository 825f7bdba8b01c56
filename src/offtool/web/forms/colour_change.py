"""Forms of a change of colour: what is asked, and what a file of measured shots does not say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.core.planning.colour_change import Plastic
from offtool.handbook.colour_changes import USUAL_LIMIT_DE
from offtool.handbook.measured_colour import LIGHTNESS, OBSERVERS, SIDEWAYS, USUAL_OBSERVER, Illuminant
from offtool.steps.colour_change import ColourAsked
from offtool.steps.colour_found import ColourPlace, PlasticSeen
from offtool.steps.colour_plastics import typed_plastic
from offtool.steps.keep_colour_change import ChangeAbout, ChangePlace
from offtool.web.forms.fields import NumberField, name_field, number_or_blank
from offtool.web.forms.gauge import KeepStudyForm, StudyFileForm

OLD, NEW = "old", "new"
AXES = ("lightness", "a", "b")
MOST_SHOTS, MOST_GRAMS, MOST_SECONDS, MOST_MONEY = 10_000.0, 100_000.0, 3600.0, 1e6


class ColourForm(forms.Form):
    """From which plastic to which, on which press; what is left blank is looked up, or taken and said."""

    press = forms.ChoiceField(label="Press", required=False)
    old = forms.ChoiceField(label="In the barrel", required=False)
    new = forms.ChoiceField(label="Shall be", required=False)
    tool = forms.ChoiceField(label="Tool", required=False, help_text="Its feed and its shot count.")
    shot_g = number_or_blank("Weight of one shot, g", "With its runner.", at_least=0.01, at_most=MOST_GRAMS)
    cycle_s = number_or_blank("Cycle, s", at_least=0.5, at_most=MOST_SECONDS)
    limit_de = number_or_blank("Limit, ΔE00", "Blank: 1, a good match.", at_least=0.05, at_most=100)
    trial_shots = number_or_blank(
        "Shots of the trial", "Blank: as its purposes take.", at_least=1, at_most=MOST_SHOTS
    )
    worth_per_shot = number_or_blank(
        "What a shot in the product's colour is worth",
        "Money; blank: not known.",
        at_least=0,
        at_most=MOST_MONEY,
    )
    old_name = name_field("Called", required=False)
    old_lightness = number_or_blank("CIELAB L*", at_least=0, at_most=LIGHTNESS["at_most"])
    old_a = number_or_blank("CIELAB a*", at_least=SIDEWAYS["at_least"], at_most=SIDEWAYS["at_most"])
    old_b = number_or_blank("CIELAB b*", at_least=SIDEWAYS["at_least"], at_most=SIDEWAYS["at_most"])
    old_resin = name_field("Resin", "Such as ABS.", required=False)
    new_name = name_field("Called", required=False)
    new_lightness = number_or_blank("CIELAB L*", at_least=0, at_most=LIGHTNESS["at_most"])
    new_a = number_or_blank("CIELAB a*", at_least=SIDEWAYS["at_least"], at_most=SIDEWAYS["at_most"])
    new_b = number_or_blank("CIELAB b*", at_least=SIDEWAYS["at_least"], at_most=SIDEWAYS["at_most"])
    new_resin = name_field("Resin", "Such as ABS.", required=False)
    on = forms.DateField(
        label="On", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Which jobs run that day.",
    )  # fmt: skip

    def __init__(self, place: ColourPlace, data: Any = None) -> None:
        super().__init__(data, initial={"on": place.on})
        listed = [(one.key, _said(one)) for one in place.plastics]
        self._choices("press", [("", "the first that runs"), *place.presses])
        self._choices(OLD, [("", "what runs on the press"), *listed])
        self._choices(NEW, [("", "the first trial that waits"), *listed])
        self._choices("tool", [("", "that of the trial"), *((one, one) for one in place.tools)])

    def _choices(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = choices
        field.error_messages["invalid_choice"] = "Choose one of the list."

    def clean(self) -> dict[str, Any]:
        """A typed colour is whole or not there."""
        given = super().clean() or {}
        for which in (OLD, NEW):
            typed = [given.get(f"{which}_{axis}") for axis in AXES]
            if any(one is not None for one in typed) and any(one is None for one in typed):
                absent = AXES[typed.index(None)]
                if f"{which}_{absent}" not in self.errors:
                    self.add_error(f"{which}_{absent}", "A colour has L*, a* and b*: give all three or none.")
        return given

    @property
    def first(self) -> tuple[BoundField, ...]:
        """What is asked about first."""
        return self["press"], self[OLD], self[NEW]

    @property
    def numbers(self) -> tuple[BoundField, ...]:
        names = ("tool", "shot_g", "cycle_s", "limit_de", "trial_shots", "worth_per_shot", "on")
        return tuple(self[name] for name in names)

    @property
    def typed_old(self) -> tuple[BoundField, ...]:
        return self._typed(OLD)

    @property
    def typed_new(self) -> tuple[BoundField, ...]:
        return self._typed(NEW)

    def _typed(self, which: str) -> tuple[BoundField, ...]:
        return tuple(self[f"{which}_{name}"] for name in ("name", *AXES, "resin"))

    @property
    def says_more(self) -> bool:
        """Whether a colour is typed, or is wrong."""
        return any(one.value() or one.errors for one in (*self.typed_old, *self.typed_new))

    def day(self, today: date) -> date:
        """The day whose jobs count."""
        return (self.cleaned_data.get("on") if self.is_valid() else None) or today

    def as_asked(self) -> ColourAsked:
        """What the step asks for."""
        given = self.cleaned_data
        return ColourAsked(
            press=given["press"],
            old=given[OLD],
            new=given[NEW],
            typed_old=self._plastic(OLD),
            typed_new=self._plastic(NEW),
            tool=given["tool"],
            shot_g=given["shot_g"],
            cycle_s=given["cycle_s"],
            limit_de=given["limit_de"] or USUAL_LIMIT_DE,
            trial_shots=given["trial_shots"],
            worth_per_shot=given["worth_per_shot"],
        )

    def _plastic(self, which: str) -> Plastic | None:
        given = self.cleaned_data
        lightness, a, b = (given[f"{which}_{axis}"] for axis in AXES)
        if lightness is None:
            return None
        return typed_plastic(given[f"{which}_name"], (lightness, a, b), given[f"{which}_resin"])


def _said(seen: PlasticSeen) -> str:
    resin = f", {seen.plastic.resin}" if seen.plastic.resin else ""
    colour = "" if seen.plastic.lab is not None else ", not measured"
    return f"{seen.plastic.name}{resin}, {seen.where}{colour}"


class ShotsFileForm(StudyFileForm):
    """Choose the file of measured shots."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].help_text = "CSV or XLSX, a row a shot: shot, L, a, b."


def _colour_number(label: str, *, low: float, high: float) -> NumberField:
    return NumberField(
        label=label,
        min_value=low,
        max_value=high,
        error_messages={
            "required": "Give L*, a* and b* of this colour.",
            "invalid": "Give a number, such as 38.2.",
            "min_value": f"Give {low:g} or more.",
            "max_value": f"Give {high:g} at most.",
        },
    )


class HowChangeForm(forms.Form):
    """What the file does not say: both colours, the shot, what went through before."""

    upload = forms.CharField(widget=forms.HiddenInput)
    old_name = name_field("Old colour is called", required=False)
    old_lightness = _colour_number("Old L*", low=0, high=LIGHTNESS["at_most"])
    old_a = _colour_number("Old a*", low=SIDEWAYS["at_least"], high=SIDEWAYS["at_most"])
    old_b = _colour_number("Old b*", low=SIDEWAYS["at_least"], high=SIDEWAYS["at_most"])
    new_name = name_field("New colour is called", required=False)
    new_lightness = _colour_number("New L*", low=0, high=LIGHTNESS["at_most"])
    new_a = _colour_number("New a*", low=SIDEWAYS["at_least"], high=SIDEWAYS["at_most"])
    new_b = _colour_number("New b*", low=SIDEWAYS["at_least"], high=SIDEWAYS["at_most"])
    shot_g = NumberField(
        label="Weight of one shot, g",
        min_value=0.01,
        max_value=MOST_GRAMS,
        help_text="With its runner.",
        error_messages={
            "required": "Weigh one shot with its runner.",
            "invalid": "Give a number, such as 18.5.",
            "min_value": "Give 0.01 g or more.",
            "max_value": "No shot is as heavy as that.",
        },
    )
    purge_kg = number_or_blank(
        "Through into the open before shot 1, kg",
        "New material only; blank: none.",
        at_least=0,
        at_most=10_000,
    )
    resin = name_field("Resin", "Such as ABS.", required=False)
    tool = forms.ChoiceField(label="Tool in the press", required=False)
    illuminant = forms.ChoiceField(
        label="Light", required=False, choices=[(one.value, one.value) for one in Illuminant]
    )
    observer = forms.ChoiceField(
        label="Eye, degrees",
        required=False,
        choices=[(one, str(one)) for one in sorted(OBSERVERS, reverse=True)],
    )
    done_on = forms.DateField(
        label="Changed on", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any], *, place: ChangePlace, **options: Any) -> None:
        told = {name: asked.get(name) for name in asked}
        filled = any(name in asked for name in (f"{OLD}_lightness", "shot_g"))
        super().__init__(told if filled else None, initial=told, auto_id="how_%s", **options)
        field = self.fields["tool"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = [("", "not recorded"), *((one, one) for one in place.tools)]

    @property
    def about(self) -> ChangeAbout:
        """What is told, as the step takes it. Ask only where the form is valid."""
        given = self.cleaned_data
        return ChangeAbout(
            old_lab=tuple(given[f"{OLD}_{axis}"] for axis in AXES),
            new_lab=tuple(given[f"{NEW}_{axis}"] for axis in AXES),
            shot_g=given["shot_g"],
            old_name=given["old_name"],
            new_name=given["new_name"],
            tool=given["tool"],
            resin=given["resin"],
            purge_kg=given["purge_kg"] or 0.0,
            illuminant=given["illuminant"] or Illuminant.D65.value,
            observer=int(given["observer"] or USUAL_OBSERVER),
            done_on=given["done_on"],
        )

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return self.cleaned_data.get("sheet") or None


class KeepChangeForm(KeepStudyForm):
    """Keep what was shown, under a name; the day was told already."""

    name = name_field("Name of the change", "Such as yellow to brown, March.")
    done_on = None  # type: ignore[assignment]  # how Django leaves out a field of a parent form

    def about_change(self, told: ChangeAbout) -> ChangeAbout:
        """What was told of the change already, with its note."""
        return replace(told, note=self.cleaned_data["note"])

    def keep_as(self) -> dict[str, Any]:
        """What the step asks for, beside the file, what was told of it, and the time."""
        given = self.cleaned_data
        return {"change": given["name"], "leave_out": given["leave_out"], "read_by": given["read_by"]}

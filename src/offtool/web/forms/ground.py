"""Forms of what pieces are told apart by: runs, builds, presses and jobs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.core.values import OfftoolError
from offtool.handbook.measured_colour import OBSERVERS, USUAL_OBSERVER, USUAL_SPREAD_DE, Illuminant
from offtool.handbook.sheet_numbers import (
    CLAMP_AND_BARREL,
    MOULD_SPACE,
    PRESS_SHEET,
    TIME_AND_MONEY,
    SheetNumber,
)
from offtool.handbook.terms import Stage
from offtool.steps.define_ground import BuildSaid, ColourSaid, JobSaid, PressSaid, RunSaid
from offtool.steps.ground_found import (
    BuildKnown,
    ColourKnown,
    GroundFound,
    JobKnown,
    PressKnown,
    RunKnown,
    ToolKnown,
)
from offtool.steps.sentences import sentence
from offtool.web.forms.fields import (
    NumberField,
    name_field,
    note_field,
    number_or_blank,
    your_name_field,
)

STAGES = [(one.value, one.value) for one in Stage]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Fields that belong together, under a heading where there is one."""

    heading: str
    fields: tuple[BoundField, ...]
    help_text: str = ""


def day_field(label: str, help_text: str = "", *, required: bool = False) -> forms.DateField:
    """A day."""
    return forms.DateField(
        label=label,
        help_text=help_text,
        required=required,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Give a day, such as 2026-03-14.", "required": "Give the day."},
    )


def whole_or_blank(label: str, help_text: str = "") -> forms.IntegerField:
    """A number of pieces, or nothing."""
    return forms.IntegerField(
        label=label,
        help_text=help_text,
        required=False,
        min_value=1,
        max_value=10**9,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "Give a whole number.", "min_value": "Give 1 or more, or leave it blank."},
    )


class GroundForm(forms.Form):
    """A form in sections; an error of a step stands at the field it speaks of."""

    made_by = your_name_field()
    layout: Sequence[tuple[str, str, Sequence[str]]] = ()
    """Heading, what to know, and the names of its fields."""

    @property
    def sections(self) -> Iterator[Section]:
        """The fields as they stand on the page."""
        for heading, help_text, names in self.layout:
            fields = tuple(self[name] for name in names)
            yield Section(heading=heading, fields=fields, help_text=help_text)

    def refuse(self, error: OfftoolError) -> None:
        """Show what cannot be at its field; at the top where it speaks of none."""
        said = sentence(f"{error.what}; {error.remedy}" if error.remedy else error.what)
        self.add_error(error.where if error.where in self.fields else None, said)

    def choices(self, name: str, choices: Sequence[Any]) -> None:
        """Give a field its choices."""
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = choices

    @property
    def measured(self) -> ColourSaid:
        """The colour as measured."""
        names = ("lightness", "a", "b", "spread_de")
        return ColourSaid(**{name: self.cleaned_data[name] for name in names})


class ColourFields(forms.Form):
    """A colour in words and in numbers."""

    colour = name_field("Colour in words", "As people call it, such as mint.", required=False)
    lightness = number_or_blank("CIELAB L*", "0 to 100.", at_least=0, at_most=120)
    a = number_or_blank("CIELAB a*", at_least=-200, at_most=200)
    b = number_or_blank("CIELAB b*", at_least=-200, at_most=200)
    spread_de = number_or_blank(
        "Spread, ΔE00", f"Standard deviation of the pieces; blank: {USUAL_SPREAD_DE:g}.", at_most=100
    )


def colour_of(known: ColourKnown) -> dict[str, Any]:
    """A colour as its fields are filled."""
    return {
        "colour": known.words,
        "lightness": typed(known.lightness),
        "a": typed(known.a),
        "b": typed(known.b),
        "spread_de": typed(known.spread_de),
    }


def typed(value: float | None) -> str:
    """A number as somebody would type it."""
    return "" if value is None else f"{value:.12g}"


MEASURED = ("lightness", "a", "b", "spread_de")


class RunForm(ColourFields, GroundForm):
    """A run of a tool: when, on which steel, how far the product had come, in which colour."""

    name = name_field("Run", "T0, T1 … in your firm's own counting.")
    state = forms.ChoiceField(label="Steel, state", error_messages={"required": "Choose the state."})
    stage = forms.ChoiceField(
        label="Stage",
        required=False,
        choices=[("", "by its name"), *STAGES],
        help_text="How far the product had come; the same letters mean different things in different firms.",
    )
    shot_on = day_field("Shot on")
    ended_on = day_field("Until", "Of a run that took several days.")
    pieces = whole_or_blank("Pieces", "How many were made or kept.")
    press = name_field("Press", "As it is called under presses, so that its jobs are found.", required=False)
    interrupted = forms.ChoiceField(
        label="Job that it interrupted",
        required=False,
        help_text="Its colour was in the barrel. Enter jobs under presses.",
    )
    layout = (
        ("", "", ("name", "state", "stage", "shot_on", "ended_on", "pieces")),
        ("Press and colour", "", ("press", "interrupted", "colour")),
        (
            "Colour as measured",
            "CIELAB for D65 and 10 degrees; blank where nobody measured it.",
            MEASURED,
        ),
        ("", "", ("made_by",)),
    )

    def __init__(self, ground: GroundFound, tool: ToolKnown, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.tool = tool.tool
        self.choices("state", [("", "choose"), *((one, one) for one in tool.states)])
        self.choices("interrupted", [("", "none, or not known"), *_jobs(ground)])

    def said(self) -> RunSaid:
        """The run as the step takes it."""
        given = self.cleaned_data
        told = {
            name: given[name]
            for name in ("name", "state", "stage", "shot_on", "ended_on", "pieces", "press", "colour")
        }
        job = json.loads(given["interrupted"]) if given["interrupted"] else None
        return RunSaid(
            tool=self.tool, **told, measured=self.measured, interrupted=(job[0], job[1]) if job else None
        )


def _jobs(ground: GroundFound) -> Iterator[tuple[str, str]]:
    for press in ground.presses:
        for job in press.jobs:
            what = ", ".join(filter(None, (job.product, job.colour.words)))
            yield job_key((press.code, job.code)), f"{press.code} {job.code}" + (f": {what}" if what else "")


def job_key(names: tuple[str, str] | None) -> str:
    """Press and number of a job as one choice."""
    return json.dumps(names) if names else ""


def run_typed(run: RunKnown) -> dict[str, Any]:
    """A run as its form is filled."""
    return {
        "name": run.name,
        "state": run.state,
        "stage": run.stage.value if run.stage_is_said else "",
        "shot_on": run.shot_on,
        "ended_on": run.ended_on,
        "pieces": run.pieces,
        "press": run.press,
        "interrupted": job_key(run.interrupted),
        **colour_of(run.colour),
    }


def sheet_field(number: SheetNumber) -> NumberField:
    """A number of a press or a tool, with where it is to be read."""
    ends = number.ends
    return number_or_blank(
        number.label,
        f"{number.read_at[:1].upper()}{number.read_at[1:]}.",
        at_least=ends.get("at_least", ends.get("above")),
        at_most=ends["at_most"],
    )


class PressForm(GroundForm):
    """A press, the tools it can hold, and the numbers of its sheet."""

    code = name_field("Press", "As it is called on the floor, such as P3.")
    name = name_field("In words", "Such as 80 t, electric.", required=False)
    holds = forms.MultipleChoiceField(
        label="Tools that it can hold",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="A tool that no press is said to hold may go on any.",
    )
    workdays = name_field(
        "Days it runs", "Such as Mon Tue Wed Thu Fri; blank: Monday to Saturday.", required=False
    )
    note = note_field()
    layout = (
        ("", "", ("code", "name", "holds")),
        (
            "Room for the mould",
            "From the press's own sheet. What is left blank is not judged, and the plan says so.",
            MOULD_SPACE,
        ),
        ("Clamp and barrel", "", CLAMP_AND_BARREL),
        ("When it runs, and what it costs", "", (*TIME_AND_MONEY[:2], "workdays", *TIME_AND_MONEY[2:])),
        ("", "", ("note", "made_by")),
    )

    def __init__(self, ground: GroundFound, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for name, number in PRESS_SHEET.items():
            self.fields[name] = sheet_field(number)
        self.choices("holds", [(one.tool, f"{one.tool} {one.name}".rstrip()) for one in ground.tools])

    def said(self) -> PressSaid:
        """The press as the step takes it."""
        given = self.cleaned_data
        told = {name: given[name] for name in ("code", "name", "note")}
        numbers = {name: given[name] for name in (*PRESS_SHEET, "workdays")}
        return PressSaid(**told, holds=tuple(given["holds"]), numbers=numbers)


def press_typed(press: PressKnown) -> dict[str, Any]:
    """A press as its form is filled."""
    own = {name: typed(value) for name, value in press.numbers.items()}
    told = {"code": press.code, "name": press.name, "note": press.note, "holds": list(press.holds)}
    return {**told, **own, "workdays": press.workdays}


class JobForm(ColourFields, GroundForm):
    """A job that ran on a press."""

    press = forms.ChoiceField(label="Press", error_messages={"required": "Choose the press."})
    code = name_field("Number of the job")
    product = name_field("Product", "Such as wheelbarrow.", required=False)
    what = name_field("Which part of it", required=False)
    begins = day_field("Began on", required=True)
    ends = day_field("Ended on", "Blank while it runs.")
    illuminant = forms.ChoiceField(label="Light", choices=[(one.value, one.value) for one in Illuminant])
    observer = forms.TypedChoiceField(
        label="Eye", coerce=int, choices=[(one, f"{one} degrees") for one in OBSERVERS]
    )
    resin = name_field("Resin", "Such as ABS or PP: the way to another resin takes longer.", required=False)
    may_stop = forms.TypedChoiceField(
        label="May a trial interrupt it?",
        required=False,
        coerce=lambda said: {"yes": True, "no": False}.get(said),
        empty_value=None,
        choices=[("", "nobody has said"), ("yes", "yes"), ("no", "no")],
        help_text="Ask whoever promised the parts. Where nobody has said, it is not interrupted.",
    )
    margin_per_h = number_or_blank(
        "Contribution an hour",
        "What is lost for each hour that it stands: the shop's calculation.",
        at_least=0,
    )
    restart_min = number_or_blank(
        "Back to good parts, minutes",
        "From the way back in, without the colour; last time's, at the press.",
        at_least=0,
    )
    note = note_field()
    layout = (
        ("", "", ("press", "code", "product", "what", "begins", "ends")),
        (
            "What a trial costs it",
            "A trial that comes between stops it, and it starts again afterwards.",
            ("may_stop", "margin_per_h", "restart_min", "resin"),
        ),
        (
            "Its colour",
            "Without numbers a colour is known only by its word, and cannot be matched.",
            ("colour", *MEASURED, "illuminant", "observer"),
        ),
        ("", "", ("note", "made_by")),
    )

    def __init__(self, ground: GroundFound, data: Any = None, **options: Any) -> None:
        initial = {"illuminant": Illuminant.D65.value, "observer": USUAL_OBSERVER}
        super().__init__(data, initial={**initial, **options.pop("initial", {})}, **options)
        presses = [(one.code, f"{one.code} {one.name}".rstrip()) for one in ground.presses]
        self.choices("press", [("", "choose"), *presses])

    def said(self) -> JobSaid:
        """The job as the step takes it."""
        given = self.cleaned_data
        names = ("press", "code", "product", "what", "colour", "begins", "ends", "illuminant", "observer")
        planned = ("resin", "may_stop", "margin_per_h", "restart_min")
        told = {name: given[name] for name in (*names, *planned, "note")}
        return JobSaid(**told, measured=self.measured)


def job_typed(press: PressKnown, job: JobKnown) -> dict[str, Any]:
    """A job as its form is filled."""
    names = ("code", "product", "what", "begins", "ends", "illuminant", "observer", "resin", "note")
    return {
        "press": press.code,
        **{name: getattr(job, name) for name in names},
        **colour_of(job.colour),
        "may_stop": {True: "yes", False: "no", None: ""}[job.may_stop],
        "margin_per_h": typed(job.margin_per_h),
        "restart_min": typed(job.restart_min),
    }


class BuildForm(GroundForm):
    """A build and the runs its parts came from."""

    code = name_field("Build", "Such as EP1.")
    stage = forms.ChoiceField(label="Stage", choices=STAGES, initial=Stage.ENGINEERING.value)
    built_on = day_field("Built on")
    pieces = whole_or_blank("Pieces", "How many were built.")
    runs = forms.MultipleChoiceField(
        label="Parts came from",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: any run up to its stage is taken to be possible.",
    )
    note = note_field()
    layout = (("", "", ("code", "stage", "built_on", "pieces", "runs", "note", "made_by")),)

    def __init__(self, ground: GroundFound, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.choices(
            "runs",
            [
                (job_key((tool.tool, run.name)), f"{run.name} of {tool.tool}, state {run.state}")
                for tool in ground.tools
                for run in tool.runs
            ],
        )

    def said(self) -> BuildSaid:
        """The build as the step takes it."""
        given = self.cleaned_data
        told = {name: given[name] for name in ("code", "stage", "built_on", "pieces", "note")}
        runs = [json.loads(one) for one in given["runs"]]
        return BuildSaid(**told, runs=tuple((tool, run) for tool, run in runs))


def build_typed(build: BuildKnown) -> dict[str, Any]:
    """A build as its form is filled."""
    names = ("code", "built_on", "pieces", "note")
    told = {name: getattr(build, name) for name in names}
    return {**told, "stage": build.stage.value, "runs": [job_key(one) for one in build.runs]}

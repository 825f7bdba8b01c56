"""Forms of planning: the own numbers of a tool, and a trial that is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.handbook.sheet_numbers import TOOL_MELT, TOOL_SHEET, TOOL_SPACE
from offtool.handbook.terms import ColourWish, Feed, TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES
from offtool.steps.ask_trial import RequestKnown, RequestSaid
from offtool.steps.own_numbers import NumbersKnown
from offtool.steps.prices import PricesKnown
from offtool.web.forms.fields import name_field, note_field, number_or_blank, your_name_field
from offtool.web.forms.ground import GroundForm, day_field, sheet_field, typed, whole_or_blank

TICK, PIECES = "for_", "pieces_"


class ToolNumbersForm(GroundForm):
    """What a press and a plan ask of a tool."""

    feed = forms.ChoiceField(
        label="Feed",
        required=False,
        choices=[(one.value, one.value or "not said") for one in Feed],
        help_text="A hot runner holds melt of the old colour too.",
    )
    layout = (
        (
            "Room it needs",
            "As it hangs in the press, closed. What is left blank is not judged, and the plan says so.",
            TOOL_SPACE,
        ),
        ("Melt", "", ("feed", *TOOL_MELT[:-1])),
        ("Time", "", (TOOL_MELT[-1],)),
        ("", "", ("made_by",)),
    )

    def __init__(self, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for name, number in TOOL_SHEET.items():
            self.fields[name] = sheet_field(number)

    def said(self) -> dict[str, float | str | None]:
        """The numbers as the step takes them."""
        return {name: self.cleaned_data[name] for name in (*TOOL_SHEET, "feed")}


class PricesForm(GroundForm):
    """What money is given in, and what a kg of each resin costs."""

    currency = name_field("Money is given in", "Such as USD; it is only shown beside.", required=False)

    def __init__(self, known: PricesKnown, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.resins = {f"price_{place}": one.resin for place, one in enumerate(known.prices)}
        for field, one in zip(self.resins, known.prices, strict=True):
            label = f"A kg of {one.resin}"
            self.fields[field] = number_or_blank(label, "The last invoice; blank: not known.", at_least=0)
        self.layout = (("", "", ("currency", *self.resins)), ("", "", ("made_by",)))

    def said(self) -> dict[str, float | None]:
        """The price of each resin."""
        return {resin: self.cleaned_data[field] for field, resin in self.resins.items()}


def prices_typed(known: PricesKnown) -> dict[str, str]:
    """The prices as their form is filled."""
    prices = {f"price_{place}": typed(one.price_per_kg) for place, one in enumerate(known.prices)}
    return {"currency": known.currency, **prices}


def tool_typed(known: NumbersKnown) -> dict[str, str]:
    """The numbers of a tool as their form is filled."""
    return {"feed": known.word, **{one.name: typed(one.value) for one in known.numbers}}


@dataclass(frozen=True, slots=True, kw_only=True)
class PurposeFields:
    """One purpose: its tick, its number of pieces, and what it means."""

    tick: BoundField
    pieces: BoundField
    says: str


class RequestForm(GroundForm):
    """A trial that is asked for: what it is to show, when, and in which colour."""

    name = name_field("Trial", "The next in your firm's own counting, such as T4.")
    earliest = day_field("Not before", "Such as the day the steel is back.")
    due = day_field("To be run by", "Blank where nothing waits for it.")
    late_per_day = number_or_blank(
        "Cost of a day's delay",
        "What waits for it: the line, the launch; blank where nobody can say.",
        at_least=0,
    )
    hours = number_or_blank(
        "Hours on the press",
        "Both tool changes inside; a change of colour and the restart of the job on top. Blank: computed.",
        at_least=0,
        at_most=1000,
    )
    needs_engineer = forms.BooleanField(
        label="An engineer must see it", required=False, help_text="It is then run when one is there."
    )
    wish = forms.ChoiceField(
        label="Colour",
        choices=[(one.value, one.value) for one in ColourWish],
        help_text="Any colour costs least; sinks and flow lines are seen on a light one.",
    )
    colour = name_field("Product's colour in words", "Such as otter brown.", required=False)
    lightness = number_or_blank("CIELAB L*", "0 to 100.", at_least=0, at_most=120)
    a = number_or_blank("CIELAB a*", at_least=-200, at_most=200)
    b = number_or_blank("CIELAB b*", at_least=-200, at_most=200)
    resin = name_field("Resin", "Blank: that of the parts.", required=False)
    note = note_field()
    layout = (
        ("", "", ("name", "earliest", "due", "late_per_day", "hours", "needs_engineer")),
        (
            "Colour",
            "The product's colour as measured, for D65 and 10 degrees; blank where it is not measured.",
            ("wish", "colour", "lightness", "a", "b", "resin"),
        ),
        ("", "", ("note", "made_by")),
    )

    def __init__(self, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for purpose in TrialPurpose:
            key = purpose.name.lower()
            self.fields[TICK + key] = forms.BooleanField(label=purpose.value, required=False)
            self.fields[PIECES + key] = whole_or_blank("Pieces")

    @property
    def purposes(self) -> Iterator[PurposeFields]:
        """The purposes as they stand on the page."""
        for purpose in TrialPurpose:
            key = purpose.name.lower()
            usual = TRIAL_PURPOSES[purpose]
            says = f"{usual.says}; usually {usual.usual} {usual.counted.value}"
            yield PurposeFields(tick=self[TICK + key], pieces=self[PIECES + key], says=says)

    def clean(self) -> dict[str, Any]:
        """A number of pieces without its tick is taken for a slip, and said."""
        given = super().clean() or {}
        for purpose in TrialPurpose:
            key = purpose.name.lower()
            if given.get(PIECES + key) and not given.get(TICK + key):
                self.add_error(PIECES + key, f"Tick {purpose.value} too, or leave the number blank.")
        return given

    def said(self, tool: str) -> RequestSaid:
        """The request as the step takes it."""
        given = self.cleaned_data
        names = ("name", "earliest", "due", "hours", "wish", "colour", "lightness", "a", "b", "resin")
        told = {name: given[name] for name in (*names, "late_per_day", "needs_engineer", "note")}
        wanted = [one for one in TrialPurpose if given[TICK + one.name.lower()]]
        return RequestSaid(
            tool=tool,
            purposes={one: given[PIECES + one.name.lower()] for one in wanted},
            asked_by=given["made_by"],
            **told,
        )


def request_typed(known: RequestKnown) -> dict[str, Any]:
    """A request as its form is filled."""
    plain = ("name", "earliest", "due", "wish", "colour", "resin", "needs_engineer", "note")
    numbers = ("hours", "lightness", "a", "b", "late_per_day")
    ticks: dict[str, Any] = {}
    for want in known.purposes:
        key = want.purpose.name.lower()
        ticks |= {TICK + key: True, PIECES + key: want.pieces or ""}
    return {
        **{name: getattr(known, name) for name in plain},
        **{name: typed(getattr(known, name)) for name in numbers},
        **ticks,
    }


def new_request(name: str) -> dict[str, Any]:
    """What a new request is filled with: the next name, and an engineer who sees it."""
    return {"name": name, "needs_engineer": True, "wish": ColourWish.ANY.value}


class WithdrawForm(forms.Form):
    """A trial that is no longer asked for, and why."""

    because = forms.CharField(
        label="Why", help_text="It is kept with the history.", error_messages={"required": "Say why."}
    )
    made_by = your_name_field()

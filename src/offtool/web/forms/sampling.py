"""Forms of a sampling plan: one a question; shares are typed in per cent, as the limits of the tables are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from django import forms

from offtool.core.pilot.sampling.asked import Counted
from offtool.core.pilot.sampling.standard import Level
from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.exchange.lots_found import lots_in_text
from offtool.handbook.sampling_plans import LEVELS, PIECES_UP_TO, QUALITY_LEVELS
from offtool.steps.sampling_asked import (
    LARGEST_OUTSIDE,
    LARGEST_RISK,
    LEAST_SURE,
    MOST_FLAWS,
    Ask,
    Asked,
    FindAsked,
    LotAsked,
    LotsAsked,
    MeasuredAsked,
    OwnAsked,
    ZeroAsked,
    both_shares,
    share_of,
    share_that_holds,
)
from offtool.web.forms.fields import NumberField

USUAL_LEVEL = "II"
LEVELS_SAID = {"I": "I, fewer pieces", "II": "II, usual", "III": "III, more pieces"}
SEVERITIES = (
    ("normal", "normal: to begin with"),
    ("tightened", "tightened: after lots were refused"),
    ("reduced", "reduced: after a long good run"),
)


class PerCentField(NumberField):
    """A share as people say it: 2.5, or 2.5 %."""

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # as NumberField itself
        """The number without its sign."""
        return super().to_python(value.strip().removesuffix("%") if isinstance(value, str) else value)


def _whole(label: str, help_text: str = "", *, required: bool = True) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        help_text=help_text,
        required=required,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "Give a whole number, such as 125.", "required": "Give a whole number."},
    )


def _per_cent(label: str, help_text: str = "", *, required: bool = True) -> PerCentField:
    said = {"invalid": "Give per cent, such as 2.5.", "required": "Give per cent, such as 2.5."}
    return PerCentField(label=label, help_text=help_text, required=required, error_messages=said)


def _choice(label: str, choices: Any, help_text: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, help_text=help_text, required=False)


def _level() -> forms.ChoiceField:
    usual_first = sorted(LEVELS, key=lambda one: (one != USUAL_LEVEL, one not in LEVELS_SAID))
    said = [(one, LEVELS_SAID.get(one, f"{one}, where the test destroys the piece")) for one in usual_first]
    return _choice("Inspection level", said, "How much is looked at for a lot of a size.")


def _aql() -> forms.TypedChoiceField:
    said = [
        (f"{one:g}", f"{one:g} %" if one <= PIECES_UP_TO else f"{one:g} flaws on 100 pieces")
        for one in QUALITY_LEVELS
    ]
    return forms.TypedChoiceField(
        label="Quality limit (AQL)",
        choices=[("", "choose"), *said],
        coerce=float,
        help_text="What is agreed for the sort of fault; what can hurt someone is not left to a sample.",
        error_messages={
            "required": "Choose the limit that was agreed.",
            "invalid_choice": "%(value)s is not on the list of quality limits: choose one of it.",
        },
    )


_LOT_HELP = "Blank where it is large beside the sample."
_GOOD_HELP = "Should pass."
_BAD_HELP = "Should not pass."


class SamplingForm(forms.Form):
    """One question; `asked` is what the step takes."""

    ask: Ask

    def asked(self) -> Asked:
        """What was asked. Raises OfftoolError for what cannot be."""
        raise NotImplementedError

    def _both(self, *, below: float = 100.0) -> tuple[float | None, float | None]:
        given = self.cleaned_data
        return both_shares(given["good"], given["bad"], below=below)


class LotForm(SamplingForm):
    """A lot by the public tables."""

    ask = "lot"
    lot = _whole("Pieces in the lot")
    aql = _aql()
    level = _level()
    severity = _choice("Inspection", SEVERITIES, "The lots before say which: see the last question.")
    bad = _per_cent("A bad lot, per cent bad", "Blank: where one lot in ten still passes.", required=False)

    def asked(self) -> LotAsked:
        given = self.cleaned_data
        return LotAsked(
            lot=given["lot"],
            level=cast("Level", given["level"] or USUAL_LEVEL),
            aql=given["aql"],
            severity=given["severity"] or "normal",
            bad=share_of("bad", given["bad"], below=MOST_FLAWS if given["aql"] > PIECES_UP_TO else 100),
        )


class OwnForm(SamplingForm):
    """A plan of one's own."""

    ask = "own"
    pieces = _whole("Pieces looked at")
    accept = _whole("Accept with up to", "Bad pieces, or flaws.")
    good = _per_cent("A good lot, per cent bad", "Blank: where 95 lots of 100 pass.", required=False)
    bad = _per_cent("A bad lot, per cent bad", "Blank: where 10 lots of 100 pass.", required=False)
    lot = _whole("Pieces in the lot", _LOT_HELP, required=False)
    counted = _choice(
        "What is counted",
        [("pieces", "bad pieces"), ("flaws", "flaws, of which a piece may have several")],
        "Of flaws per cent means flaws on 100 pieces.",
    )

    def asked(self) -> OwnAsked:
        given = self.cleaned_data
        counted = cast("Counted", given["counted"] or "pieces")
        good, bad = self._both(below=MOST_FLAWS if counted == "flaws" else 100)
        return OwnAsked(
            pieces=given["pieces"],
            accept=given["accept"],
            lot=given["lot"],
            good=good,
            bad=bad,
            counted=counted,
        )


class _RisksForm(SamplingForm):
    good = _per_cent("A good lot, per cent bad", _GOOD_HELP)
    bad = _per_cent("A bad lot, per cent bad", _BAD_HELP)
    producer_risk = _per_cent("Good lots refused, of 100", "At most; 5 when blank.", required=False)
    consumer_risk = _per_cent("Bad lots passed, of 100", "At most; 10 when blank.", required=False)

    @property
    def _risks(self) -> dict[str, float]:
        given = {
            name: share_of(name, self.cleaned_data[name], below=LARGEST_RISK)
            for name in ("producer_risk", "consumer_risk")
        }
        return {name: risk for name, risk in given.items() if risk is not None}

    def _shares(self, *, below: float = 100.0) -> dict[str, float]:
        good, bad = self._both(below=below)
        return {"good": good or 0.0, "bad": bad or 0.0}


class FindForm(_RisksForm):
    """A plan for two risks."""

    ask = "find"
    lot = _whole("Pieces in the lot", _LOT_HELP, required=False)

    def asked(self) -> FindAsked:
        return FindAsked(lot=self.cleaned_data["lot"], **self._shares(), **self._risks)


class ZeroForm(SamplingForm):
    """A test without failures."""

    ask = "zero"
    reliability = _per_cent("Must hold, per cent of the pieces", "Such as 95.")
    confidence = _per_cent("Confidence, per cent", "95 when blank.", required=False)
    failures = _whole("Failures that are allowed", "0 when blank.", required=False)
    lot = _whole("Pieces in the lot", _LOT_HELP, required=False)

    def asked(self) -> ZeroAsked:
        given = self.cleaned_data
        confidence = share_of("confidence", given["confidence"], above=LEAST_SURE)
        return ZeroAsked(
            reliability=share_that_holds("reliability", given["reliability"]),
            confidence=0.95 if confidence is None else confidence,
            failures=given["failures"] or 0,
            lot=given["lot"],
        )


class MeasuredForm(_RisksForm):
    """One size, measured."""

    ask = "measured"
    spread = _choice(
        "Standard deviation",
        [("unknown", "from the sample"), ("known", "known beforehand, and steady")],
    )
    limits = _choice("Limits of the size", [("one", "one side"), ("two", "both sides")])
    pieces = _whole("Pieces measured", "Only for a plan of your own.", required=False)
    factor = NumberField(
        label="Standard deviations from mean to limit",
        required=False,
        help_text="At least, for the lot to pass; only for a plan of your own.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["good"].label = "A good lot, per cent outside"
        self.fields["bad"].label = "A bad lot, per cent outside"

    def asked(self) -> MeasuredAsked:
        given = self.cleaned_data
        return MeasuredAsked(
            spread=given["spread"] or "unknown",
            limits=given["limits"] or "one",
            pieces=given["pieces"],
            factor=given["factor"],
            **self._shares(below=LARGEST_OUTSIDE),
            **self._risks,
        )


class LotsForm(SamplingForm):
    """Lots that came before."""

    ask = "lots"
    aql = _aql()
    level = _level()
    found = forms.CharField(
        label="Lots, the oldest first",
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="A line a lot: its size and the bad pieces found, such as 2000; 1.",
        error_messages={"required": "Write a line for each lot."},
    )
    lot = _whole("Pieces in each lot", "Where the lines say only what was found.", required=False)
    reduced_allowed = _choice(
        "Smaller samples after a long good run",
        [("no", "not agreed"), ("yes", "agreed, and production is steady")],
    )

    def asked(self) -> LotsAsked:
        given = self.cleaned_data
        try:
            lots = lots_in_text(given["found"], lot=given["lot"])
        except OfftoolError as error:
            raise ImpossibleInput("found", error.where, "", error.what, error.remedy) from error
        return LotsAsked(
            lots=lots.lots,
            found=lots.found,
            level=cast("Level", given["level"] or USUAL_LEVEL),
            aql=given["aql"],
            reduced_allowed=given["reduced_allowed"] == "yes",
        )


FORMS: Mapping[Ask, type[SamplingForm]] = {
    form.ask: form for form in (LotForm, OwnForm, FindForm, ZeroForm, MeasuredForm, LotsForm)
}
FIELDS = {"lots": "found"}
"""Where an error of the step stands on the form, where the form calls it otherwise."""

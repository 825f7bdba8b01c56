"""The form of how many working days the steps to the release take in this shop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.forms.boundfield import BoundField

from offtool.handbook.release_steps import LONGEST_DAYS
from offtool.steps.step_days import Days, StepDaysKnown, StepKnown
from offtool.web.forms.fields import number_or_blank
from offtool.web.forms.ground import GroundForm, day_field, typed

LOW, HIGH = "low_", "high_"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepFields:
    """One kind of step with its two fields."""

    known: StepKnown
    low: BoundField
    high: BoundField


class StepDaysForm(GroundForm):
    """Days at least and at most for every kind of step; both blank: those of the handbook."""

    release_due = day_field("Release is asked for by", "Blank: no day is asked for.")
    layout = (("", "", ("release_due", "made_by")),)

    def __init__(self, known: StepDaysKnown, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.known = known
        for one in known.steps:
            for side, words in ((LOW, "at least"), (HIGH, "at most")):
                label = f"{one.title}: working days {words}"
                self.fields[side + one.step] = number_or_blank(label, at_least=0, at_most=LONGEST_DAYS)

    @property
    def steps(self) -> Iterator[StepFields]:
        """The steps as they stand on the page."""
        for one in self.known.steps:
            yield StepFields(known=one, low=self[LOW + one.step], high=self[HIGH + one.step])

    def said(self) -> dict[str, Days]:
        """The days of each step as the step takes them."""
        given = self.cleaned_data
        return {one.step: (given[LOW + one.step], given[HIGH + one.step]) for one in self.known.steps}


def step_days_typed(known: StepDaysKnown) -> dict[str, Any]:
    """The days as their form is filled: those said here; the handbook's stand beside."""
    days = {
        side + one.step: typed(value)
        for one in known.steps
        if one.is_own
        for side, value in ((LOW, one.low_days), (HIGH, one.high_days))
    }
    return {"release_due": known.due, **days}

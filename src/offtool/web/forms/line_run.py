"""How a line is run: how long, how often, with which times, from which seed, and whether more is tried."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms

from offtool.steps.run_line import RUNS, SEED, LineRunChoices
from offtool.web.forms.fields import number_or_blank

MOST_HOURS, MOST_RUNS, LARGEST_SEED = 100.0, 500, 2**31
"""What a page may ask; the command has no such end."""
START, STOP = "start", "stop"


class LineRunForm(forms.Form):
    """The settings of a run; all may be left blank."""

    hours = number_or_blank("Hours of a run", at_least=0.1, at_most=MOST_HOURS)
    runs = forms.IntegerField(
        label="Runs",
        required=False,
        min_value=2,
        max_value=MOST_RUNS,
        help_text=f"Blank for {RUNS}. Four times as many halve the intervals.",
        error_messages={"invalid": "Give a whole number, such as 40."},
    )
    pilot = forms.ChoiceField(label="Times of", required=False)
    seed = forms.IntegerField(
        label="Seed of the random numbers",
        required=False,
        min_value=0,
        max_value=LARGEST_SEED,
        help_text=f"Blank for {SEED}. Another gives another answer within the intervals.",
        error_messages={"invalid": "Give a whole number, such as 1."},
    )
    more = forms.BooleanField(label="Try one more of each thing", required=False)

    def __init__(self, choices: LineRunChoices, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        if not data:
            self.fields["more"].widget.attrs["checked"] = True  # what a longer run is mostly for
        self.fields["hours"].help_text = f"Blank for {choices.hours:g}."
        times = [("", "the tasks"), *((one, f"pilot {one}") for one in choices.pilots)]
        self.fields["pilot"] = forms.ChoiceField(label="Times of", required=False, choices=times)
        self.order_fields(("hours", "runs", "pilot", "seed", "more"))

    @property
    def asks_long(self) -> bool:
        """Whether runs were asked for, and not only an answer at once."""
        return bool(self.cleaned_data["runs"] or self.cleaned_data["more"])

    def settings(self) -> dict[str, Any]:
        """What was given, as the step takes it."""
        given = self.cleaned_data
        return {
            "hours": given["hours"],
            "runs": given["runs"] or RUNS,
            "seed": SEED if given["seed"] is None else given["seed"],
            "pilot": given["pilot"],
            "more": given["more"],
        }

    def query(self) -> str:
        """The same settings as an address."""
        return urlencode(self.asked())

    def asked(self) -> dict[str, Any]:
        """The fields as they were filled, with the number of runs."""
        given = self.cleaned_data
        asked = {name: given[name] for name in ("hours", "pilot", "seed") if given[name] not in (None, "")}
        return {**asked, "runs": given["runs"] or RUNS, **({"more": "on"} if given["more"] else {})}

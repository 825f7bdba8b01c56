"""Forms of a table of tasks: choose it, say its sheet and its unit, keep it."""

from __future__ import annotations

from typing import Any

from django import forms

from offtool.exchange.line_tasks import TIMES
from offtool.web.forms.fields import name_field
from offtool.web.forms.gauge import StudyFileForm
from offtool.web.forms.samples_file import HowSamplesForm, KeepSamplesForm


class LineFileForm(StudyFileForm):
    """Choose the file."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].label = "File of the tasks"
        self.fields["file"].help_text = "CSV or XLSX, a row a task."


class HowLineForm(HowSamplesForm):
    """Which sheet of a workbook it is, and in what its times are."""

    unit = forms.ChoiceField(
        label="Times without a unit are",
        required=False,
        choices=[("", "not said"), *TIMES.items()],
        help_text="Where the headings and cells do not say it.",
    )

    @property
    def unit_asked(self) -> str | None:
        """The unit that is said here."""
        return (self.cleaned_data.get("unit") if self.is_valid() else None) or None


class HowNewLineForm(HowLineForm):
    """The same of a line that is not there yet."""

    line = name_field("Name of the line", "As people call it, such as main line.", required=False)

    @property
    def line_asked(self) -> str:
        """The name that is given."""
        return (self.cleaned_data.get("line") if self.is_valid() else "") or ""


class KeepLineForm(KeepSamplesForm):
    """Keep what was shown."""

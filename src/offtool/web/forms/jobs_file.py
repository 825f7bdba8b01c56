"""Forms of a list of jobs that comes as a file: choose it, say its sheet, keep it."""

from __future__ import annotations

from typing import Any

from offtool.web.forms.gauge import StudyFileForm
from offtool.web.forms.samples_file import HowSamplesForm, KeepSamplesForm


class JobsFileForm(StudyFileForm):
    """Choose the file."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].label = "File of the jobs"
        self.fields["file"].help_text = "CSV or XLSX, a row a job."


class HowJobsForm(HowSamplesForm):
    """Which sheet of a workbook it is."""


class KeepJobsForm(KeepSamplesForm):
    """Keep what was shown."""

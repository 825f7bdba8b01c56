"""Reading the tasks of a line from a table."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_http_methods

from offtool.steps.know_line import know_line, know_programme
from offtool.steps.line_known import LineKnown
from offtool.steps.read_line import LineTasksPreview, keep_line_table, preview_line
from offtool.web.answer import in_words
from offtool.web.forms.line_table import HowLineForm, HowNewLineForm, KeepLineForm, LineFileForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.line_place import LinePlace, line_frame
from offtool.web.pages.line_table import LineFileShown, line_file_shown, line_kept_in_words
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at

edits = require_http_methods(["GET", "HEAD", "POST"])


class LineDesk(StudyDesk):
    """The tasks of one line; of one that is not there yet the name is asked for."""

    headline, next_name = "Read the tasks of the line from a table.", ""
    file_form, keep_form = LineFileForm, KeepLineForm
    choose_template, show_template = "line_file.html", "line_read.html"

    def __init__(self, known: LineKnown) -> None:
        self.known, self.place = known, LinePlace.of(known)

    def frame(self, *, as_json: str = "") -> Frame:
        return line_frame(self.place, here="Tasks from a table", as_json=as_json)

    def how(self, asked: QueryDict) -> HowLineForm:
        return HowLineForm(asked) if self.known.line else HowNewLineForm(asked)

    def _where(self, how: Any) -> dict[str, Any]:
        """Which line, which sheet, which unit."""
        line = self.known.line or how.line_asked
        return {
            "programme": self.known.programme,
            "line": line.strip(),
            "sheet": how.sheet_asked,
            "unit": how.unit_asked,
        }

    def preview(self, upload: Upload, how: HowLineForm) -> LineTasksPreview:
        return preview_line(upload.content, upload.name, **self._where(how))

    def shown(self, preview: LineTasksPreview) -> LineFileShown:
        return line_file_shown(preview)

    def keep(self, upload: Upload, how: HowLineForm, form: KeepLineForm, *, now: datetime) -> tuple[str, str]:
        kept = keep_line_table(
            upload.content,
            upload.name,
            **self._where(how),
            leave_out=form.cleaned_data["leave_out"],
            read_by=form.cleaned_data["read_by"],
        )
        return line_kept_in_words(kept), self.place.of_line(kept.line)


@edits
@in_words
def read_line(request: HttpRequest, programme: str, line: str) -> HttpResponse:
    """A table is chosen, sent, shown, or kept."""
    return read_at(request, LineDesk(know_line(programme, line)))


@edits
@in_words
def read_new_line(request: HttpRequest, programme: str) -> HttpResponse:
    """The same for a line that is not there yet."""
    return read_at(request, LineDesk(know_programme(programme)))

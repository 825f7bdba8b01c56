"""Reading a sheet of a pilot: its counts, defects, times or audits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_http_methods

from offtool.handbook.terms import PilotFileKind
from offtool.records.queries import find_programme
from offtool.steps.keep_pilot_file import keep_pilot_file, next_name, preview_pilot_file
from offtool.steps.overview import is_invented
from offtool.steps.pilot_file_preview import PilotFilePreview
from offtool.steps.pilot_in_record import pilot_named
from offtool.steps.pilot_layouts import PILOT_SHEETS, PilotSheet
from offtool.web.answer import in_words
from offtool.web.forms.pilot import HowSheetForm, KeepSheetForm, SheetFileForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.pilot_place import PilotPlace
from offtool.web.pages.pilot_sheet import SheetShown, sheet_kept_in_words, sheet_shown
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFrame(Frame):
    """The frame of a page that says how a sheet is laid out."""

    sheet: PilotSheet


class PilotSheetDesk(StudyDesk):
    """The sheets of one kind of one pilot."""

    file_form, keep_form = SheetFileForm, KeepSheetForm
    choose_template, show_template = "pilot_sheet_file.html", "pilot_sheet.html"

    def __init__(self, programme: str, pilot: str, kind: PilotFileKind) -> None:
        found = find_programme(programme)
        kept = pilot_named(found, pilot)
        self.kind, self.sheet = kind, PILOT_SHEETS[kind]
        self.headline = f"Read the {kind} of pilot {kept.name}."
        self.next_name = next_name(kept, kind)
        self.place = PilotPlace(
            programme=found.slug,
            programme_title=found.title,
            invented=is_invented(found),
            line=kept.line.name,
            pilot=kept.name,
        )

    def frame(self, *, as_json: str = "") -> SheetFrame:
        frame = self.place.frame(here=f"Read the {self.kind}", as_json=as_json)
        return SheetFrame(
            title=frame.title,
            crumbs=frame.crumbs,
            invented=frame.invented,
            as_json=frame.as_json,
            sheet=self.sheet,
        )

    def how(self, asked: QueryDict) -> HowSheetForm:
        return HowSheetForm(asked)

    def _told(self, how: HowSheetForm) -> dict[str, Any]:
        return {
            "programme": self.place.programme,
            "pilot": self.place.pilot,
            "kind": self.kind,
            "sheet": how.sheet_asked,
        }

    def preview(self, upload: Upload, how: HowSheetForm) -> PilotFilePreview:
        return preview_pilot_file(upload.content, upload.name, about=how.about, **self._told(how))

    def shown(self, preview: PilotFilePreview) -> SheetShown:
        return sheet_shown(preview, self.sheet)

    def keep(
        self, upload: Upload, how: HowSheetForm, form: KeepSheetForm, *, now: datetime
    ) -> tuple[str, str]:
        about = form.about_sheet(how.about)
        kept = keep_pilot_file(
            upload.content, upload.name, about=about, read_at=now, **self._told(how), **form.keep_as()
        )
        return sheet_kept_in_words(kept), self.place.address("pilot")


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_pilot_file(request: HttpRequest, programme: str, pilot: str, kind: str) -> HttpResponse:
    """A sheet is chosen or pasted, shown, or kept."""
    if kind not in {one.value for one in PilotFileKind}:
        raise Http404
    return read_at(request, PilotSheetDesk(programme, pilot, PilotFileKind(kind)))

"""Reading the file of a weld study."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_http_methods

from offtool.steps.keep_weld_study import keep_weld_study, preview_weld_study
from offtool.steps.seam_place import WeldPlace, place_of_weld_study
from offtool.steps.weld_study_preview import WeldStudyPreview
from offtool.web.answer import in_words
from offtool.web.forms.seams import HowWeldForm, KeepWeldForm, WeldFileForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.seams import SeamPlace
from offtool.web.pages.weld_study import WeldStudyShown, weld_study_kept_in_words, weld_study_shown
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


class WeldStudyDesk(StudyDesk):
    """The runs of one seam."""

    file_form, keep_form = WeldFileForm, KeepWeldForm
    choose_template, show_template = "weld_study_file.html", "weld_study.html"

    def __init__(self, place: WeldPlace) -> None:
        self.place = place
        self.headline = f"Read a weld study of seam {place.seam}."
        self.next_name = place.next_name
        self.seam = SeamPlace(
            programme=place.programme,
            programme_title=place.programme_title,
            invented=place.invented,
            seam=place.seam,
        )

    def frame(self, *, as_json: str = "") -> Frame:
        return self.seam.frame(here="Read a weld study", as_json=as_json)

    def how(self, asked: QueryDict) -> HowWeldForm:
        return HowWeldForm(asked, place=self.place)

    def preview(self, upload: Upload, how: HowWeldForm) -> WeldStudyPreview:
        return preview_weld_study(
            upload.content,
            upload.name,
            programme=self.place.programme,
            seam=self.place.seam,
            about=how.about,
            sheet=how.sheet_asked,
        )

    def shown(self, preview: WeldStudyPreview) -> WeldStudyShown:
        return weld_study_shown(preview)

    def keep(self, upload: Upload, how: HowWeldForm, form: KeepWeldForm, *, now: datetime) -> tuple[str, str]:
        kept = keep_weld_study(
            upload.content,
            upload.name,
            programme=self.place.programme,
            seam=self.place.seam,
            about=form.about_weld(how.about),
            sheet=how.sheet_asked,
            read_at=now,
            **form.keep_as(),
        )
        return weld_study_kept_in_words(kept), self.seam.address("seam")


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_weld_study(request: HttpRequest, programme: str, seam: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, WeldStudyDesk(place_of_weld_study(programme, seam)))

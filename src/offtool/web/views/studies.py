"""Reading the file of a gauge study."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_http_methods

from offtool.steps.keep_study import StudyPlace, keep_study, place_of_study, preview_study
from offtool.steps.study_preview import StudyPreview
from offtool.web.answer import in_words
from offtool.web.forms.gauge import HowStudyForm, KeepStudyForm, StudyFileForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.gauge import GaugePlace
from offtool.web.pages.study import StudyShown, study_kept_in_words, study_shown
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


class GaugeStudyDesk(StudyDesk):
    """The studies of one gauge."""

    file_form, keep_form = StudyFileForm, KeepStudyForm
    choose_template, show_template = "study_file.html", "study.html"

    def __init__(self, place: StudyPlace) -> None:
        self.place = place
        self.headline = f"Read a study of gauge {place.gauge}."
        self.next_name = place.next_name
        self.gauge = GaugePlace(
            programme=place.programme,
            programme_title=place.programme_title,
            invented=place.invented,
            gauge=place.gauge,
        )

    def frame(self, *, as_json: str = "") -> Frame:
        return self.gauge.frame(here="Read a study", as_json=as_json)

    def how(self, asked: QueryDict) -> HowStudyForm:
        return HowStudyForm(asked, sizes=self.place.sizes)

    def preview(self, upload: Upload, how: HowStudyForm) -> StudyPreview:
        return preview_study(
            upload.content,
            upload.name,
            programme=self.place.programme,
            gauge=self.place.gauge,
            about=how.about,
            sheet=how.sheet_asked,
        )

    def shown(self, preview: StudyPreview) -> StudyShown:
        return study_shown(preview)

    def keep(
        self, upload: Upload, how: HowStudyForm, form: KeepStudyForm, *, now: datetime
    ) -> tuple[str, str]:
        kept = keep_study(
            upload.content,
            upload.name,
            programme=self.place.programme,
            gauge=self.place.gauge,
            about=form.about(how.about),
            sheet=how.sheet_asked,
            read_at=now,
            **form.keep_as(),
        )
        goes_on = f"{self.gauge.address('gauge')}?{urlencode({'study': kept.study})}"
        return study_kept_in_words(kept), goes_on


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_study(request: HttpRequest, programme: str, gauge: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, GaugeStudyDesk(place_of_study(programme, gauge)))

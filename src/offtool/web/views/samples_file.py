"""Reading a register of samples from a file."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from offtool.steps.samples_from_file import SamplesPreview, keep_samples, preview_samples
from offtool.steps.samples_place import SamplesPlace, place_of_samples
from offtool.web.answer import in_words
from offtool.web.forms.samples_file import HowSamplesForm, KeepSamplesForm, SamplesFileForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.sample_new import place_of
from offtool.web.pages.samples_file import SamplesFileShown, samples_file_shown, samples_kept_in_words
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


class SamplesDesk(StudyDesk):
    """The register of one programme."""

    headline, next_name = "Read a file of pieces into the register.", ""
    file_form, keep_form = SamplesFileForm, KeepSamplesForm
    choose_template, show_template = "samples_file.html", "samples_read.html"

    def __init__(self, place: SamplesPlace) -> None:
        self.place = place

    def frame(self, *, as_json: str = "") -> Frame:
        return place_of(self.place).frame(here="Read a file", as_json=as_json)

    def how(self, asked: QueryDict) -> HowSamplesForm:
        return HowSamplesForm(asked)

    def preview(self, upload: Upload, how: HowSamplesForm) -> SamplesPreview:
        of = {"programme": self.place.programme, "sheet": how.sheet_asked}
        return preview_samples(upload.content, upload.name, **of)  # type: ignore[arg-type]

    def shown(self, preview: SamplesPreview) -> SamplesFileShown:
        return samples_file_shown(preview)

    def keep(
        self, upload: Upload, how: HowSamplesForm, form: KeepSamplesForm, *, now: datetime
    ) -> tuple[str, str]:
        kept = keep_samples(
            upload.content,
            upload.name,
            programme=self.place.programme,
            sheet=how.sheet_asked,
            leave_out=form.cleaned_data["leave_out"],
            registered_at=now,
            registered_by=form.cleaned_data["read_by"],
        )
        return samples_kept_in_words(kept), reverse("samples", args=[self.place.programme])


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_samples(request: HttpRequest, programme: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, SamplesDesk(place_of_samples(programme)))

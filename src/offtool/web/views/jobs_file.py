"""Reading the running jobs from a file."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from offtool.steps.jobs_from_file import JobsPreview, keep_jobs, preview_jobs
from offtool.steps.shop_times import ShopTimes, shop_times
from offtool.web.answer import in_words
from offtool.web.forms.jobs_file import HowJobsForm, JobsFileForm, KeepJobsForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.jobs_file import JobsFileShown, jobs_file_shown, jobs_kept_in_words
from offtool.web.pages.slots import plan_frame
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


class JobsDesk(StudyDesk):
    """The jobs of one programme's presses."""

    headline, next_name = "Read the running jobs from a file.", ""
    file_form, keep_form = JobsFileForm, KeepJobsForm
    choose_template, show_template = "jobs_file.html", "jobs_read.html"

    def __init__(self, place: ShopTimes) -> None:
        self.place = place

    def frame(self, *, as_json: str = "") -> Frame:
        place = self.place
        return plan_frame(
            place.programme, place.programme_title, place.invented, here="Jobs from a file", as_json=as_json
        )

    def how(self, asked: QueryDict) -> HowJobsForm:
        return HowJobsForm(asked)

    def preview(self, upload: Upload, how: HowJobsForm) -> JobsPreview:
        return preview_jobs(
            upload.content, upload.name, programme=self.place.programme, sheet=how.sheet_asked
        )

    def shown(self, preview: JobsPreview) -> JobsFileShown:
        return jobs_file_shown(preview)

    def keep(self, upload: Upload, how: HowJobsForm, form: KeepJobsForm, *, now: datetime) -> tuple[str, str]:
        kept = keep_jobs(
            upload.content,
            upload.name,
            programme=self.place.programme,
            sheet=how.sheet_asked,
            leave_out=form.cleaned_data["leave_out"],
            read_by=form.cleaned_data["read_by"],
        )
        return jobs_kept_in_words(kept), reverse("slots", args=[self.place.programme])


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_jobs(request: HttpRequest, programme: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, JobsDesk(shop_times(programme)))

"""Reading the file of a joint test."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_http_methods

from offtool.steps.joint_places import JointTestPlace, place_of_joint_test
from offtool.steps.joint_test_preview import JointTestPreview
from offtool.steps.keep_joint_test import keep_joint_test, preview_joint_test
from offtool.web.answer import in_words
from offtool.web.forms.joints import HowJointTestForm, JointTestFileForm, KeepJointTestForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.joint_test import JointTestShown, joint_test_kept_in_words, joint_test_shown
from offtool.web.pages.joints import JointPlace
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


class JointTestDesk(StudyDesk):
    """The readings of one joint."""

    file_form, keep_form = JointTestFileForm, KeepJointTestForm
    choose_template, show_template = "joint_test_file.html", "joint_test.html"

    def __init__(self, place: JointTestPlace) -> None:
        self.place = place
        self.headline = f"Read a test of joint {place.joint}."
        self.next_name = place.next_name
        self.joint = JointPlace(
            programme=place.programme,
            programme_title=place.programme_title,
            invented=place.invented,
            joint=place.joint,
        )

    def frame(self, *, as_json: str = "") -> Frame:
        return self.joint.frame(here="Read a test", as_json=as_json)

    def how(self, asked: QueryDict) -> HowJointTestForm:
        place = self.place
        return HowJointTestForm(
            asked, inner_trials=place.inner_trials, outer_trials=place.outer_trials, gauges=place.gauges
        )

    def preview(self, upload: Upload, how: HowJointTestForm) -> JointTestPreview:
        return preview_joint_test(
            upload.content,
            upload.name,
            programme=self.place.programme,
            joint=self.place.joint,
            about=how.about,
            sheet=how.sheet_asked,
        )

    def shown(self, preview: JointTestPreview) -> JointTestShown:
        return joint_test_shown(preview)

    def keep(
        self, upload: Upload, how: HowJointTestForm, form: KeepJointTestForm, *, now: datetime
    ) -> tuple[str, str]:
        kept = keep_joint_test(
            upload.content,
            upload.name,
            programme=self.place.programme,
            joint=self.place.joint,
            about=form.about(how.about),
            sheet=how.sheet_asked,
            read_at=now,
            **form.keep_as(),
        )
        return joint_test_kept_in_words(kept), self.joint.address("joint")


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_joint_test(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, JointTestDesk(place_of_joint_test(programme, joint)))

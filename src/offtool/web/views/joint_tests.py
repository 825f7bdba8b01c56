"""Reading the file of a joint test, in two steps: first shown as it is understood, then kept."""

from __future__ import annotations

import time
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.joint_places import JointTestPlace, place_of_joint_test
from offtool.steps.joint_test_preview import JointTestPreview
from offtool.steps.keep_joint_test import keep_joint_test, preview_joint_test
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.forms.joints import HowJointTestForm, JointTestFileForm, KeepJointTestForm
from offtool.web.pages.joint_test import (
    JointTestFilePage,
    JointTestPage,
    joint_test_kept_in_words,
    joint_test_shown,
)
from offtool.web.pages.joints import JointPlace
from offtool.web.uploads import Upload, UploadGone, find_upload, forget_upload, hold_upload
from offtool.web.your_name import remember_name, remembered_name

HERE = "Read a test"


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_joint_test(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    """Which of the steps this is: a file is chosen, sent, shown, or kept."""
    place = place_of_joint_test(programme, joint)
    try:
        if request.method == "POST":
            return _keep(request, place) if "upload" in request.POST else _hold(request, place)
        if "upload" in request.GET:
            return _show(request, place, request.GET)
    except UploadGone as error:
        return _choose(request, place, JointTestFileForm(), refusal=str(error))
    return _choose(request, place, JointTestFileForm())


def _shown(place: JointTestPlace) -> JointPlace:
    return JointPlace(
        programme=place.programme,
        programme_title=place.programme_title,
        invented=place.invented,
        joint=place.joint,
    )


def _choose(
    request: HttpRequest, place: JointTestPlace, form: JointTestFileForm, *, refusal: str = ""
) -> HttpResponse:
    page = JointTestFilePage(
        frame=_shown(place).frame(here=HERE),
        headline=f"Read a test of joint {place.joint}.",
        refusal=refusal,
        form=form,
    )
    return answer(
        request, "joint_test_file.html", page, status=NOT_POSSIBLE if refusal or form.errors else 200
    )


def _hold(request: HttpRequest, place: JointTestPlace) -> HttpResponse:
    """The file was sent: put it aside and go on to its preview."""
    form = JointTestFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _choose(request, place, form)
    slip = hold_upload(form.cleaned_data["file"], now=time.time())
    return redirect(f"{request.path}?{urlencode({'upload': slip})}")


def _how(place: JointTestPlace, asked: QueryDict) -> HowJointTestForm:
    return HowJointTestForm(
        asked, inner_trials=place.inner_trials, outer_trials=place.outer_trials, gauges=place.gauges
    )


def _show(
    request: HttpRequest, place: JointTestPlace, asked: QueryDict, form: KeepJointTestForm | None = None
) -> HttpResponse:
    """The file as it is understood, with the form that keeps it."""
    upload = find_upload(asked.get("upload", ""))
    how = _how(place, asked)
    preview, refusal = _preview(request, place, upload, how)
    told = {name: asked.get(name, "") for name in how.fields}
    initial = {"name": place.next_name, "read_by": remembered_name(request)}
    page = JointTestPage(
        frame=_shown(place).frame(
            here=HERE, as_json="?" + urlencode({**told, "format": "json"}) if preview else ""
        ),
        file=upload.name,
        refusal=refusal,
        preview=joint_test_shown(preview) if preview else None,
        how_form=how,
        keep_form=form or KeepJointTestForm(initial=initial),
        told=tuple(told.items()),
        again=request.path,
    )
    return answer(request, "joint_test.html", page, preview, status=NOT_POSSIBLE if refusal or form else 200)


def _preview(
    request: HttpRequest, place: JointTestPlace, upload: Upload, how: HowJointTestForm
) -> tuple[JointTestPreview | None, str]:
    """The preview, or why there is none; where JSON is asked for, the error is raised."""
    try:
        return (
            preview_joint_test(
                upload.content,
                upload.name,
                programme=place.programme,
                joint=place.joint,
                about=how.about,
                sheet=how.sheet_asked,
            ),
            "",
        )
    except OfftoolError as error:
        if wants_json(request):
            raise
        return None, str(error)


def _keep(request: HttpRequest, place: JointTestPlace) -> HttpResponse:
    """Keep what was shown, and go to the verdict; what cannot be kept is shown again with the reason."""
    upload = find_upload(request.POST["upload"])
    how, form = _how(place, request.POST), KeepJointTestForm(request.POST)
    if form.is_valid() and how.is_valid():
        try:
            kept = keep_joint_test(
                upload.content,
                upload.name,
                programme=place.programme,
                joint=place.joint,
                about=form.about(how.about),
                sheet=how.sheet_asked,
                read_at=timezone.now(),
                **form.keep_as(),
            )
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            forget_upload(upload)
            remember_name(request, form.cleaned_data["read_by"])
            messages.success(request, joint_test_kept_in_words(kept))
            return redirect(_shown(place).address("joint"))
    if not how.is_valid():
        form.add_error(None, "Mend what the file does not say, in the margin, and show it so first.")
    return _show(request, place, request.POST, form)

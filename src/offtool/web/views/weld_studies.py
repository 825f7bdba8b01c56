"""Reading the file of a weld study, in two steps: first shown as it is understood, then kept."""

from __future__ import annotations

import time
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.keep_weld_study import keep_weld_study, preview_weld_study
from offtool.steps.seam_place import WeldPlace, place_of_weld_study
from offtool.steps.weld_study_preview import WeldStudyPreview
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.forms.seams import HowWeldForm, KeepWeldForm, WeldFileForm
from offtool.web.pages.seams import SeamPlace
from offtool.web.pages.weld_study import (
    WeldStudyFilePage,
    WeldStudyPage,
    weld_study_kept_in_words,
    weld_study_shown,
)
from offtool.web.uploads import Upload, UploadGone, find_upload, forget_upload, hold_upload
from offtool.web.your_name import remember_name, remembered_name

HERE = "Read a weld study"


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_weld_study(request: HttpRequest, programme: str, seam: str) -> HttpResponse:
    """Which of the steps this is: a file is chosen, sent, shown, or kept."""
    place = place_of_weld_study(programme, seam)
    try:
        if request.method == "POST":
            return _keep(request, place) if "upload" in request.POST else _hold(request, place)
        if "upload" in request.GET:
            return _show(request, place, request.GET)
    except UploadGone as error:
        return _choose(request, place, WeldFileForm(), refusal=str(error))
    return _choose(request, place, WeldFileForm())


def _shown(place: WeldPlace) -> SeamPlace:
    return SeamPlace(
        programme=place.programme,
        programme_title=place.programme_title,
        invented=place.invented,
        seam=place.seam,
    )


def _choose(request: HttpRequest, place: WeldPlace, form: WeldFileForm, *, refusal: str = "") -> HttpResponse:
    page = WeldStudyFilePage(
        frame=_shown(place).frame(here=HERE),
        headline=f"Read a weld study of seam {place.seam}.",
        refusal=refusal,
        form=form,
    )
    status = NOT_POSSIBLE if refusal or form.errors else 200
    return answer(request, "weld_study_file.html", page, status=status)


def _hold(request: HttpRequest, place: WeldPlace) -> HttpResponse:
    """The file was sent: put it aside and go on to its preview."""
    form = WeldFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _choose(request, place, form)
    slip = hold_upload(form.cleaned_data["file"], now=time.time())
    return redirect(f"{request.path}?{urlencode({'upload': slip})}")


def _show(
    request: HttpRequest, place: WeldPlace, asked: QueryDict, form: KeepWeldForm | None = None
) -> HttpResponse:
    """The file as it is understood, with the form that keeps it."""
    upload = find_upload(asked.get("upload", ""))
    how = HowWeldForm(asked, place=place)
    preview, refusal = _preview(request, place, upload, how)
    told = {name: asked.get(name, "") for name in how.fields}
    initial = {"name": place.next_name, "read_by": remembered_name(request)}
    page = WeldStudyPage(
        frame=_shown(place).frame(
            here=HERE, as_json="?" + urlencode({**told, "format": "json"}) if preview else ""
        ),
        file=upload.name,
        refusal=refusal,
        preview=weld_study_shown(preview) if preview else None,
        how_form=how,
        keep_form=form or KeepWeldForm(initial=initial),
        told=tuple(told.items()),
        again=request.path,
    )
    return answer(request, "weld_study.html", page, preview, status=NOT_POSSIBLE if refusal or form else 200)


def _preview(
    request: HttpRequest, place: WeldPlace, upload: Upload, how: HowWeldForm
) -> tuple[WeldStudyPreview | None, str]:
    """The preview, or why there is none; where JSON is asked for, the error is raised."""
    try:
        return (
            preview_weld_study(
                upload.content,
                upload.name,
                programme=place.programme,
                seam=place.seam,
                about=how.about,
                sheet=how.sheet_asked,
            ),
            "",
        )
    except OfftoolError as error:
        if wants_json(request):
            raise
        return None, str(error)


def _keep(request: HttpRequest, place: WeldPlace) -> HttpResponse:
    """Keep what was shown, and go to the verdict; what cannot be kept is shown again with the reason."""
    upload = find_upload(request.POST["upload"])
    how, form = HowWeldForm(request.POST, place=place), KeepWeldForm(request.POST)
    if form.is_valid() and how.is_valid():
        try:
            kept = keep_weld_study(
                upload.content,
                upload.name,
                programme=place.programme,
                seam=place.seam,
                about=form.about_weld(how.about),
                sheet=how.sheet_asked,
                read_at=timezone.now(),
                **form.keep_as(),
            )
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            forget_upload(upload)
            remember_name(request, form.cleaned_data["read_by"])
            messages.success(request, weld_study_kept_in_words(kept))
            return redirect(_shown(place).address("seam"))
    if not how.is_valid():
        form.add_error(None, "Mend what the file does not say, in the margin, and show it so first.")
    return _show(request, place, request.POST, form)

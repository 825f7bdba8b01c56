"""Reading a file, in two steps: first shown as it is understood, then kept."""

from __future__ import annotations

import time
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.records.queries import find_programme
from offtool.steps.reading_preview import ReadingPreview
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.desks import AddPartDesk, Desk, StartDesk, TrialDesk
from offtool.web.forms.reading import FileForm, HowForm, KeepForm
from offtool.web.pages.reading import FilePage, PreviewPage, kept_in_words, preview_shown
from offtool.web.uploads import Upload, UploadGone, find_upload, forget_upload, hold_upload
from offtool.web.whereabouts import find_place
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """Read a file into a trial, which may be new."""
    return _read(request, TrialDesk(find_place(programme, tool, trial)))


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def start(request: HttpRequest) -> HttpResponse:
    """Start with nothing but a first-article report."""
    return _read(request, StartDesk())


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def add_part(request: HttpRequest, programme: str) -> HttpResponse:
    """Add a part and its tool to a programme from the part's first-article report."""
    return _read(request, AddPartDesk(find_programme(programme)))


def _read(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Which of the steps this is: a file is chosen, sent, shown, or kept."""
    try:
        if request.method == "POST":
            return _keep(request, desk) if "upload" in request.POST else _hold(request, desk)
        if "upload" in request.GET:
            return _show(request, desk, request.GET)
    except UploadGone as error:
        return _choose(request, desk, FileForm(), refusal=str(error))
    return _choose(request, desk, FileForm())


def _choose(request: HttpRequest, desk: Desk, form: FileForm, *, refusal: str = "") -> HttpResponse:
    page = FilePage(frame=desk.frame(), headline=desk.headline, lead=desk.lead, refusal=refusal, form=form)
    return answer(request, "file.html", page, status=NOT_POSSIBLE if refusal or form.errors else 200)


def _hold(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Files were sent: put them aside and go on to their preview."""
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _choose(request, desk, form)
    slip = hold_upload(*form.cleaned_data["file"], now=time.time())
    return redirect(f"{request.path}?{urlencode({'upload': slip})}")


def _show(request: HttpRequest, desk: Desk, asked: QueryDict, form: KeepForm | None = None) -> HttpResponse:
    """The file as it is understood, with the form that keeps it."""
    upload = find_upload(asked.get("upload", ""))
    how = HowForm(asked)
    preview, refusal = _preview(request, desk, upload, how)
    given = {name: asked.get(name, "") for name in ("upload", "layout", "sheet")}
    filled = {**given, **desk.initial(), "read_by": remembered_name(request)}
    page = PreviewPage(
        frame=desk.frame("?" + urlencode({**given, "format": "json"}) if preview else ""),
        preview=preview_shown(preview, is_start=desk.is_start) if preview else None,
        file=upload.name, refusal=refusal, how_form=how, keep_form=form or desk.keep_form(initial=filled),
        again=request.path,
    )  # fmt: skip
    return answer(request, "preview.html", page, preview, status=NOT_POSSIBLE if refusal or form else 200)


def _preview(
    request: HttpRequest, desk: Desk, upload: Upload, how: HowForm
) -> tuple[ReadingPreview | None, str]:
    """The preview, or why there is none; where JSON is asked for, the error is raised."""
    try:
        return desk.preview(upload, how.how), ""
    except OfftoolError as error:
        if wants_json(request):
            raise
        return None, str(error)


def _keep(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Keep what was shown, and go to the verdict; what cannot be kept is shown again with the reason."""
    upload = find_upload(request.POST["upload"])
    form = desk.keep_form(request.POST)
    if form.is_valid():
        try:
            kept = desk.keep(upload, form, now=timezone.now())
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            forget_upload(upload)
            remember_name(request, form.cleaned_data["read_by"])
            messages.success(request, kept_in_words(kept))
            return redirect("trial", kept.programme, kept.tool, kept.trial)
    return _show(request, desk, request.POST, form)

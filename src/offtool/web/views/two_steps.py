"""Reading the file of a study or a test in two steps: first shown as it is understood, then kept.

A desk says what is read there: the forms, the pages, and the steps that show and keep it.
"""

from __future__ import annotations

import time
from abc import ABC, abstractmethod
from datetime import datetime
from typing import Any, Protocol
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone

from offtool.core.values import OfftoolError
from offtool.web.answer import NOT_POSSIBLE, answer, put_at_field, wants_json
from offtool.web.pages.frame import Frame
from offtool.web.pages.two_steps import FilePage, PreviewPage
from offtool.web.uploads import Upload, UploadGone, find_upload, forget_upload, hold_upload
from offtool.web.your_name import remember_name, remembered_name


class How(Protocol):
    """The form that says what the file does not."""

    fields: dict[str, forms.Field]

    def is_valid(self) -> bool: ...


class StudyDesk(ABC):
    """Where one sort of file is shown and kept."""

    headline: str
    next_name: str
    file_form: type[forms.Form]
    keep_form: type[forms.Form]
    choose_template: str
    show_template: str

    @abstractmethod
    def frame(self, *, as_json: str = "") -> Frame:
        """The frame of both pages."""

    @abstractmethod
    def how(self, asked: QueryDict) -> Any:
        """The form of what the file does not say, filled with what is asked."""

    @abstractmethod
    def preview(self, upload: Upload, how: Any) -> Any:
        """How the file is understood. Raises OfftoolError."""

    @abstractmethod
    def shown(self, preview: Any) -> Any:
        """A preview in words."""

    @abstractmethod
    def keep(self, upload: Upload, how: Any, form: Any, *, now: datetime) -> tuple[str, str]:
        """Keep it; what was done, in words, and the address to go on to. Raises OfftoolError."""


def read_at(request: HttpRequest, desk: StudyDesk) -> HttpResponse:
    """Which of the steps this is: a file is chosen, sent, shown, or kept."""
    try:
        if request.method == "POST":
            return _keep(request, desk) if "upload" in request.POST else _hold(request, desk)
        if "upload" in request.GET:
            return _show(request, desk, request.GET)
    except UploadGone as error:
        return _choose(request, desk, desk.file_form(), refusal=str(error))
    return _choose(request, desk, desk.file_form())


def _choose(request: HttpRequest, desk: StudyDesk, form: forms.Form, *, refusal: str = "") -> HttpResponse:
    page = FilePage(frame=desk.frame(), headline=desk.headline, refusal=refusal, form=form)
    status = NOT_POSSIBLE if refusal or form.errors else 200
    return answer(request, desk.choose_template, page, status=status)


def _hold(request: HttpRequest, desk: StudyDesk) -> HttpResponse:
    """The file was sent: put it aside and go on to its preview."""
    form = desk.file_form(request.POST, request.FILES)
    if not form.is_valid():
        return _choose(request, desk, form)
    slip = hold_upload(form.cleaned_data["file"], now=time.time())
    return redirect(f"{request.path}?{urlencode({'upload': slip})}")


def _show(
    request: HttpRequest, desk: StudyDesk, asked: QueryDict, form: forms.Form | None = None
) -> HttpResponse:
    """The file as it is understood, with the form that keeps it."""
    upload = find_upload(asked.get("upload", ""))
    how = desk.how(asked)
    preview, refusal = _preview(request, desk, upload, how)
    told = {name: asked.get(name, "") for name in how.fields}
    initial = {"name": desk.next_name, "read_by": remembered_name(request)}
    page = PreviewPage(
        frame=desk.frame(as_json="?" + urlencode({**told, "format": "json"}) if preview else ""),
        file=upload.name,
        refusal=refusal,
        preview=desk.shown(preview) if preview else None,
        how_form=how,
        keep_form=form or desk.keep_form(initial=initial),
        told=tuple(told.items()),
        again=request.path,
    )
    return answer(request, desk.show_template, page, preview, status=NOT_POSSIBLE if refusal or form else 200)


def _preview(request: HttpRequest, desk: StudyDesk, upload: Upload, how: How) -> tuple[Any, str]:
    """The preview, or None and why there is none; where JSON is asked for, the error is raised."""
    try:
        return desk.preview(upload, how), ""
    except OfftoolError as error:
        if wants_json(request):
            raise
        return None, str(error)


def _keep(request: HttpRequest, desk: StudyDesk) -> HttpResponse:
    """Keep what was shown, and go to the verdict; what cannot be kept is shown again with the reason."""
    upload = find_upload(request.POST["upload"])
    how, form = desk.how(request.POST), desk.keep_form(request.POST)
    if form.is_valid() and how.is_valid():
        try:
            done, goes_on = desk.keep(upload, how, form, now=timezone.now())
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            forget_upload(upload)
            remember_name(request, form.cleaned_data["read_by"])
            messages.success(request, done)
            return redirect(goes_on)
    if not how.is_valid():
        form.add_error(None, "Mend what the file does not say, in the margin, and show it so first.")
    return _show(request, desk, request.POST, form)

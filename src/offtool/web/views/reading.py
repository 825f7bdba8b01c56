"""Reading a file, in two steps: first shown as it is understood, then kept."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.read_readings import keep_readings, preview_readings
from offtool.steps.reading_preview import ReadingPreview, ReadingsKept
from offtool.steps.start_from_report import preview_start, start_from_report
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.reading import FileForm, HowForm, KeepForm, KeepReadingsForm, StartForm
from offtool.web.pages.frame import Frame, TrialPlace
from offtool.web.pages.reading import FilePage, PreviewPage, preview_shown, read_frame, start_frame
from offtool.web.uploads import Upload, UploadGone, find_upload, forget_upload, hold_upload
from offtool.web.whereabouts import find_place
from offtool.web.your_name import remember_name, remembered_name


@dataclass(frozen=True, slots=True)
class IntoTrial:
    """A file goes into a trial of a tool."""

    place: TrialPlace
    form = KeepReadingsForm
    is_start = False

    @property
    def frame(self) -> Frame:
        return read_frame(self.place)

    @property
    def headline(self) -> str:
        return f"Read a file into trial {self.place.trial} of tool {self.place.tool}."

    @property
    def initial(self) -> dict[str, str]:
        return {"trial": self.place.trial}

    def preview(self, upload: Upload, how: dict[str, Any]) -> ReadingPreview:
        where = {"programme": self.place.programme, "tool": self.place.tool, "trial": self.place.trial}
        return preview_readings(upload.content, upload.name, **where, **how)

    def keep(self, upload: Upload, form: KeepReadingsForm) -> ReadingsKept:
        return keep_readings(
            upload.content, upload.name, programme=self.place.programme, tool=self.place.tool,
            trial=form.cleaned_data["trial"], about=form.about, read_at=timezone.now(), **form.keep_as(),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class NewProgramme:
    """A first-article report makes programme, part, tool and first trial."""

    form = StartForm
    is_start = True
    frame = start_frame()
    headline = "Start from a first-article report."

    @property
    def initial(self) -> dict[str, str]:
        return {}

    def preview(self, upload: Upload, how: dict[str, Any]) -> ReadingPreview:
        return preview_start(upload.content, upload.name, **how)

    def keep(self, upload: Upload, form: StartForm) -> ReadingsKept:
        return start_from_report(upload.content, upload.name, read_at=timezone.now(), **form.keep_as())


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """Read a file into a trial, which may be new."""
    return _read(request, IntoTrial(find_place(programme, tool, trial)))


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def start(request: HttpRequest) -> HttpResponse:
    """Start with nothing but a first-article report."""
    return _read(request, NewProgramme())

"""The safety of a toy: for whom it is, what the law asks, and the tests on own pieces."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlencode

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import ToyTestRun
from offtool.records.queries import find_programme
from offtool.steps.keep_toy_test import (
    ToyTestPlace,
    ToyTestPreview,
    keep_toy_test,
    place_of_toy_test,
    preview_toy_test,
    toy_test_aside,
    toy_test_named,
)
from offtool.steps.toy_judged import SHARE
from offtool.steps.toy_market import know_market, say_market
from offtool.steps.toy_safety import know_safety
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.download import as_download
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.toy import (
    HowToyForm,
    KeepToyForm,
    MarketForm,
    ShareForm,
    ToyFileForm,
    market_typed,
)
from offtool.web.pages.frame import Frame
from offtool.web.pages.toy import safety_frame, safety_page
from offtool.web.pages.toy_test import (
    ToyTestShown,
    market_page,
    toy_test_kept_in_words,
    toy_test_shown,
)
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at
from offtool.web.your_name import remember_name, remembered_name

edits = require_http_methods(["GET", "HEAD", "POST"])


@edits
@in_words
def safety(request: HttpRequest, programme: str) -> HttpResponse:
    """How it stands against the law, by own tests and by the shapes; a test is set aside here."""
    if request.method == "POST":
        return _set_aside(request, programme)
    form = ShareForm(request.GET if "share" in request.GET else None)
    share = form.cleaned_data["share"] if form.is_valid() else None
    if form.errors and wants_json(request):
        raise OfftoolError(str(form.errors["share"][0]), where="share")
    found = know_safety(programme, timezone.localdate(), share=share / 100 if share else SHARE)
    asked = {"share": f"{share:g}"} if share else {}
    as_json = "?" + urlencode({**asked, "format": "json"})
    page = safety_page(found, form, made_by=remembered_name(request), as_json=as_json)
    return answer(request, "toy_safety.html", page, found, status=NOT_POSSIBLE if form.errors else 200)


def _set_aside(request: HttpRequest, programme: str) -> HttpResponse:
    """Set a test aside and show the page again; what is refused is shown at its form."""
    kept = toy_test_named(find_programme(programme), request.POST.get("run", ""))
    form = SetAsideForm(request.POST, auto_id=f"run{kept.pk}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            toy_test_aside(programme, kept.name, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Test {kept.name} is set aside.")
            return redirect("safety", programme)
    found = know_safety(programme, timezone.localdate())
    page = safety_page(found, ShareForm(), refused={kept.name: form})
    return answer(request, "toy_safety.html", page, status=NOT_POSSIBLE)


@edits
@in_words
def market(request: HttpRequest, programme: str) -> HttpResponse:
    """For whom the toy is: shown, and kept."""
    known = know_market(programme)
    filled = {**market_typed(known), "made_by": remembered_name(request)}
    form = MarketForm(request.POST if request.method == "POST" else None, initial=filled)
    if form.is_valid() and _said(form, programme):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, "For whom it is, is kept.")
        return redirect("safety", programme)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "ground_form.html", market_page(known, form), known, status=status)


def _said(form: MarketForm, programme: str) -> bool:
    try:
        say_market(programme, form.said(), made_by=form.cleaned_data["made_by"])
    except OfftoolError as error:
        put_at_field(form, error)
        return False
    return True


class ToyTestDesk(StudyDesk):
    """The toy tests of a programme."""

    file_form, keep_form = ToyFileForm, KeepToyForm
    choose_template, show_template = "toy_test_file.html", "toy_test.html"
    headline = "Read a test of the law on your own pieces."

    def __init__(self, place: ToyTestPlace) -> None:
        self.place = place
        self.next_name = place.next_name

    def frame(self, *, as_json: str = "") -> Frame:
        place = self.place
        here = "Read a test"
        return safety_frame(
            place.programme, place.programme_title, place.invented, here=here, as_json=as_json
        )

    def how(self, asked: QueryDict) -> HowToyForm:
        return HowToyForm(asked, place=self.place)

    def preview(self, upload: Upload, how: HowToyForm) -> ToyTestPreview:
        return preview_toy_test(
            upload.content,
            upload.name,
            programme=self.place.programme,
            about=how.about,
            sheet=how.sheet_asked,
        )

    def shown(self, preview: ToyTestPreview) -> ToyTestShown:
        return toy_test_shown(preview)

    def keep(self, upload: Upload, how: HowToyForm, form: KeepToyForm, *, now: datetime) -> tuple[str, str]:
        kept = keep_toy_test(
            upload.content,
            upload.name,
            programme=self.place.programme,
            about=form.about_toy(how.about),
            sheet=how.sheet_asked,
            read_at=now,
            **form.keep_toy_as(),
        )
        return toy_test_kept_in_words(kept), reverse("safety", args=[self.place.programme])


@edits
@in_words
def read_toy_test(request: HttpRequest, programme: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, ToyTestDesk(place_of_toy_test(programme)))


@require_safe
@in_words
def toy_test_file(request: HttpRequest, programme: str, run: int) -> FileResponse:
    """The file of a test, byte for byte as it came."""
    found = ToyTestRun.objects.filter(pk=run, programme__slug=programme).first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.file_name)

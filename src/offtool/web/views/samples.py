"""The register of samples: searched, and added to, a piece at a time."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.steps.identify_sample import list_samples
from offtool.steps.keep_sample import register_sample
from offtool.steps.samples_place import SamplesPlace, place_of_samples
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.samples import PartRows, SampleForm
from offtool.web.pages.sample_new import new_sample_page
from offtool.web.pages.samples import samples_page
from offtool.web.your_name import remember_name, remembered_name

FIRST_ROWS, MORE_ROWS = 3, 3
"""So many parts can be named on a new form, and so many more at a press of a button."""


@require_safe
@in_words
def samples(request: HttpRequest, programme: str) -> HttpResponse:
    """The register, or what a search leaves of it."""
    found = list_samples(programme, words=request.GET.get("words", "").strip())
    return answer(request, "samples.html", samples_page(found), found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def new_sample(request: HttpRequest, programme: str) -> HttpResponse:
    """Enter a piece, with its parts and their tags."""
    place = place_of_samples(programme)
    if request.method != "POST":
        initial = {"number": place.next_number, "made_by": remembered_name(request)}
        page = new_sample_page(place, SampleForm(place, initial=initial), PartRows(place, FIRST_ROWS))
        return answer(request, "sample_new.html", page)
    if "more" in request.POST:
        return _with_more_rows(request, place)
    form, parts = SampleForm(place, request.POST), PartRows(place, _rows(request), request.POST)
    if parts.is_valid() & form.is_valid() and (number := _kept(request, place, form, parts)):
        return redirect("sample", programme, number)
    return answer(request, "sample_new.html", new_sample_page(place, form, parts), status=NOT_POSSIBLE)


def _with_more_rows(request: HttpRequest, place: SamplesPlace) -> HttpResponse:
    """The form as it was typed, with more rows for parts; nothing is judged yet."""
    typed = request.POST.dict()
    rows = PartRows(place, _rows(request) + MORE_ROWS, typed=typed)
    page = new_sample_page(place, SampleForm(place, initial=typed), rows)
    return answer(request, "sample_new.html", page)


def _rows(request: HttpRequest) -> int:
    written = request.POST.get("rows", "")
    return int(written) if written.isdecimal() and len(written) < 4 else FIRST_ROWS


def _kept(request: HttpRequest, place: SamplesPlace, form: SampleForm, parts: PartRows) -> str:
    """The number it was kept under; empty where it was refused, with the reason at the form."""
    by = form.cleaned_data["made_by"]
    said = form.as_said(parts.as_said())
    try:
        number = register_sample(place.programme, said, at=timezone.now(), by=by)
    except OfftoolError as error:
        put_at_field(form, error, {said.number: "number"})
        return ""
    remember_name(request, by)
    messages.success(request, f"Sample {number} is registered.")
    return number

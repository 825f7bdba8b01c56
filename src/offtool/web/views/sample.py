"""One sample: what it is and why; what is said of it and of its parts; what no longer counts."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import (
    add_sample_part,
    change_sample_part,
    change_what_is_said,
    part_as_said,
    set_aside,
)
from offtool.steps.sample_found import SampleFound
from offtool.steps.sample_history import changes_of_sample
from offtool.steps.samples_place import place_of_samples
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.samples import ChangePartForm, ChangeSampleForm, PhotographForm, typed_of_part
from offtool.web.pages.sample import place_of_sample, sample_page
from offtool.web.pages.sample_look import sample_aside_page
from offtool.web.pages.sample_new import change_sample_page, sample_part_page
from offtool.web.your_name import remember_name, remembered_name


@require_safe
@in_words
def sample(request: HttpRequest, programme: str, sample: str) -> HttpResponse:
    """The card of a piece as a page."""
    found = identify_sample(programme, sample)
    labels = [one.label for one in found.parts]
    form = PhotographForm(labels, initial={"made_by": remembered_name(request)}, auto_id="photo_%s")
    origin = request.GET.get("origin", "")
    page = sample_page(found, changes_of_sample(programme, sample), form, origin=origin)
    return answer(request, "sample.html", page, found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def change_sample(request: HttpRequest, programme: str, sample: str) -> HttpResponse:
    """Where it lies, who has it, what it is kept for."""
    offered, found = place_of_samples(programme), identify_sample(programme, sample)
    form = ChangeSampleForm(offered, request.POST or None, initial=_said(request, found))
    if form.is_valid():
        given = form.cleaned_data
        try:
            change_what_is_said(
                programme, sample, form.columns(), by=given["made_by"], reason=given["reason"]
            )
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            return _done(request, programme, sample, given["made_by"], "The change is kept.")
    page = change_sample_page(offered, sample, form)
    return answer(request, "sample_new.html", page, status=NOT_POSSIBLE if form.errors else 200)


def _said(request: HttpRequest, found: SampleFound) -> dict[str, object]:
    """What is said of it now, as the form has it."""
    names = ("name", "place", "holder", "purpose", "disposition", "note", "found_on", "build")
    told: dict[str, object] = {name: getattr(found, name) for name in names}
    return told | {"made_by": remembered_name(request)}


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def new_sample_part(request: HttpRequest, programme: str, sample: str) -> HttpResponse:
    """Add a part, with what its tag says."""
    offered = place_of_samples(programme)
    identify_sample(programme, sample)
    form = ChangePartForm(offered, request.POST or None, initial={"made_by": remembered_name(request)})
    if form.is_valid():
        by = form.cleaned_data["made_by"]
        try:
            add_sample_part(programme, sample, form.as_said(), by=by)
        except OfftoolError as error:
            form.add_error("label", str(error))
        else:
            return _done(request, programme, sample, by, "The part is added.")
    page = sample_part_page(offered, sample, form)
    return answer(request, "sample_part.html", page, status=NOT_POSSIBLE if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def change_part(request: HttpRequest, programme: str, sample: str, label: str) -> HttpResponse:
    """Change a part, or what its tag says."""
    offered, said = place_of_samples(programme), part_as_said(programme, sample, label)
    initial = typed_of_part(said) | {"made_by": remembered_name(request)}
    form = ChangePartForm(offered, request.POST or None, initial=initial)
    if form.is_valid():
        given = form.cleaned_data
        try:
            change_sample_part(
                programme, sample, label, form.as_said(), by=given["made_by"], reason=given["reason"]
            )
        except OfftoolError as error:
            form.add_error("part", str(error))
        else:
            return _done(request, programme, sample, given["made_by"], "The change is kept.")
    page = sample_part_page(offered, sample, form, label)
    return answer(request, "sample_part.html", page, status=NOT_POSSIBLE if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def set_observation_aside(
    request: HttpRequest, programme: str, sample: str, kind: str, key: int
) -> HttpResponse:
    """Say why something that was seen no longer counts."""
    found = identify_sample(programme, sample)
    seen = next((one for one in found.observations if (one.kind, one.key) == (kind, key)), None)
    if seen is None:
        raise Http404
    form = SetAsideForm(request.POST or None, initial={"made_by": remembered_name(request)})
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_aside(programme, sample, kind, key, given["reason"], by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            return _done(request, programme, sample, given["made_by"], "It is set aside; it counts no more.")
    page = sample_aside_page(found, place_of_sample(found), seen, form)
    return answer(request, "sample_aside.html", page, status=NOT_POSSIBLE if form.errors else 200)


def _done(request: HttpRequest, programme: str, sample: str, by: str, said: str) -> HttpResponse:
    """Say what was done, and show the sample."""
    remember_name(request, by)
    messages.success(request, said)
    return redirect("sample", programme, sample)

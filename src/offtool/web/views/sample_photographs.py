"""Photographs of a sample: sent in, and shown without where and when they were taken."""

from __future__ import annotations

from typing import Any

from csp.constants import NONE, SELF, UNSAFE_INLINE
from csp.decorators import csp_replace
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from offtool.core.values import OfftoolError
from offtool.exchange.pictures import SHOWN, THUMBNAIL, refuse_large_picture
from offtool.records.queries import find_programme, find_sample, find_sample_photograph
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import photograph_sample as keep_photograph
from offtool.steps.sample_found import SampleFound
from offtool.steps.sample_history import changes_of_sample
from offtool.steps.sentences import count
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.samples import PhotographForm
from offtool.web.pages.sample import sample_page
from offtool.web.pictures import shown_picture
from offtool.web.your_name import remember_name

A_LONE_PICTURE = {"default-src": [NONE], "img-src": [SELF], "style-src": [UNSAFE_INLINE]}
"""A browser that shows a picture by itself lays it out in a style of its own, to fit the phone."""


@require_POST
@in_words
def photograph_sample(request: HttpRequest, programme: str, sample: str) -> HttpResponse:
    """Keep photographs; what is none is said at the form."""
    found = identify_sample(programme, sample)
    labels = [one.label for one in found.parts]
    form = PhotographForm(labels, request.POST, request.FILES, auto_id="photo_%s")
    sent = request.FILES.getlist("photographs")
    if not sent:
        form.add_error("photographs", "Choose a photograph first.")
    if form.is_valid() and _kept(request, found, form, sent):
        return redirect(f"{request.path.removesuffix('photographs/')}#photographs")
    now = identify_sample(programme, sample)  # with those that were kept before the refused one
    page = sample_page(now, changes_of_sample(programme, sample), form)
    return answer(request, "sample.html", page, status=NOT_POSSIBLE)


def _kept(
    request: HttpRequest, found: SampleFound, form: PhotographForm, sent: list[UploadedFile[Any]]
) -> bool:
    """Whether all were kept; those before one that is refused are."""
    given = form.cleaned_data
    told = {"part": given["part"], "note": given["note"], "at": timezone.now(), "by": given["made_by"]}
    kept = 0
    for one in sent:
        name = one.name or "photograph"
        try:
            refuse_large_picture(one.size or 0, name)
            keep_photograph(found.programme, found.number, one.read(), name, **told)
        except OfftoolError as error:
            before = f" Those before it are kept: {count(kept, 'photograph')}." if kept else ""
            form.add_error("photographs", f"{error}.{before}")
            break
        kept += 1
    if form.errors:
        return False
    remember_name(request, given["made_by"])
    messages.success(request, f"{count(kept, 'photograph')} {'is' if kept == 1 else 'are'} kept.")
    return True


@require_safe
@csp_replace(A_LONE_PICTURE)  # type: ignore[arg-type]  # it takes any view
@in_words
def sample_photograph(request: HttpRequest, programme: str, sample: str, key: int) -> HttpResponse:
    """A photograph to look at closely."""
    return _picture(request, programme, sample, key, longest=SHOWN)


@require_safe
@in_words
def sample_thumbnail(request: HttpRequest, programme: str, sample: str, key: int) -> HttpResponse:
    """A photograph in a list."""
    return _picture(request, programme, sample, key, longest=THUMBNAIL)


def _picture(request: HttpRequest, programme: str, sample: str, key: int, *, longest: int) -> HttpResponse:
    found = find_sample_photograph(find_sample(find_programme(programme), sample), key)
    return shown_picture(request, found, key, longest=longest)

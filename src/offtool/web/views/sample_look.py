"""A sample is looked at, at the drawer: one form, one save; only what was filled in is kept."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.look_at_sample import SampleToLookAt, keep_what_was_found, sample_to_look_at
from offtool.steps.sentences import count
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.sample_look import LookHeadForm, LookSheet
from offtool.web.pages.sample_look import sample_look_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def look_at_sample(request: HttpRequest, programme: str, sample: str) -> HttpResponse:
    """What tells most first, then everything by part."""
    place = sample_to_look_at(programme, sample)
    sent = request.POST.dict() if request.method == "POST" else None
    head = LookHeadForm(sent, initial={"looked_by": remembered_name(request)})
    sheet = LookSheet(place, sent)
    if sheet.is_sent and head.is_valid() and _kept(request, place, head, sheet):
        return redirect("sample", programme, sample)
    page = sample_look_page(place, head, sheet)
    return answer(request, "sample_look.html", page, status=NOT_POSSIBLE if sheet.is_sent else 200)


def _kept(request: HttpRequest, place: SampleToLookAt, head: LookHeadForm, sheet: LookSheet) -> bool:
    """Whether it was kept; the reason why not stands on the sheet."""
    found, colours = sheet.found()
    if sheet.error:
        return False
    note, by = head.cleaned_data["note"], head.cleaned_data["looked_by"]
    try:
        kept = keep_what_was_found(
            place.programme, place.number, found, colours, note=note, at=timezone.now(), by=by
        )
    except OfftoolError as error:
        sheet.error = str(error)
        return False
    remember_name(request, by)
    messages.success(request, f"{count(kept, 'thing')} {'is' if kept == 1 else 'are'} kept.")
    return True

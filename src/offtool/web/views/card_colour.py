"""The colour of a piece from a photograph: marked, shown, kept."""

from __future__ import annotations

import time
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.colour_from_photograph import (
    PhotographColours,
    PhotographPlace,
    colours_from_photograph,
    keep_photograph_colours,
    place_of_photograph,
)
from offtool.steps.sentences import count
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.card_colour import MarksForm
from offtool.web.pages.card_colour import card_colour_page
from offtool.web.uploads import Upload, UploadGone, find_upload, hold_upload
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def card_colour(request: HttpRequest, programme: str, sample: str, key: int) -> HttpResponse:
    """The photograph to be marked; what the marks come to; and the colours are kept."""
    place = place_of_photograph(programme, sample, key)
    if request.method != "POST":
        form = MarksForm(place, initial={"made_by": remembered_name(request)})
        return answer(request, "card_colour.html", card_colour_page(place, form))
    card, data = _card(request)
    form = MarksForm(place, data, request.FILES)
    if card is None and data["card_slip"]:
        form.add_error("card", str(UploadGone()))
    if form.is_valid() and "keep" in request.POST and _kept(request, place, form, card):
        return redirect("sample", programme, sample)
    found = _found(place, form, card) if form.is_valid() else None
    page = card_colour_page(place, form, card_name=card.name if card else "", found=found)
    return answer(request, "card_colour.html", page, found, status=200 if found else NOT_POSSIBLE)


def _card(request: HttpRequest) -> tuple[Upload | None, Any]:
    """The file of the card, sent now or before, and the form's data with the slip that names it."""
    data = request.POST.copy()
    sent = request.FILES.get("card")
    if isinstance(sent, UploadedFile):
        data["card_slip"] = hold_upload(sent, now=time.time())
    slip = data.setdefault("card_slip", "")
    try:
        return (find_upload(slip) if slip else None), data
    except UploadGone:
        return None, data


def _marks(form: MarksForm, card: Upload | None) -> Any:
    return form.marks(card.content, card.name) if card else form.marks(b"", "")


def _found(place: PhotographPlace, form: MarksForm, card: Upload | None) -> PhotographColours | None:
    """What the marks come to; None, with the reason at its field, where they come to nothing."""
    try:
        return colours_from_photograph(place.programme, place.number, place.key, _marks(form, card))
    except OfftoolError as error:
        form.refuse(error)
        return None


def _kept(request: HttpRequest, place: PhotographPlace, form: MarksForm, card: Upload | None) -> bool:
    who = form.cleaned_data["made_by"]
    try:
        parts = keep_photograph_colours(
            place.programme, place.number, place.key, _marks(form, card), at=timezone.now(), by=who
        )
    except OfftoolError as error:
        form.refuse(error)
        return False
    remember_name(request, who)
    kept = count(len(parts), "colour")
    messages.success(request, f"{kept} {'is' if len(parts) == 1 else 'are'} kept: {', '.join(parts)}.")
    return True

"""Defining a seam, changing it and taking it out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.handbook.terms import SeamKind
from offtool.steps.define_seam import SeamDefined, change_seam, define_seam, remove_seam
from offtool.steps.seam_place import SeamNow, place_of_seam, seam_now
from offtool.steps.seam_place import SeamPlace as Offered
from offtool.steps.sizes_given import DefinitionRefused
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.seams import SeamForm, TakeOutForm, typed_of
from offtool.web.pages.seam_define import SeamDefinePage, choose_kind_page, define_page
from offtool.web.pages.seams import SeamPlace
from offtool.web.your_name import remember_name, remembered_name

KINDS = {one.name.lower(): one for one in SeamKind}
"""As the address of a new seam says them."""


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def new_seam(request: HttpRequest, programme: str) -> HttpResponse:
    """The kind first, then its sizes, then it is kept."""
    offered = place_of_seam(programme)
    place = _place(offered)
    if request.method == "POST":
        return _keep(request, offered, place, lambda seam, who: define_seam(programme, seam, made_by=who))
    kind = KINDS.get(request.GET.get("kind", ""))
    if kind is None:
        return answer(request, "seam_define.html", choose_kind_page(place, parts=len(offered.parts)))
    form = SeamForm(kind, offered, initial={"made_by": remembered_name(request)})
    return answer(request, "seam_define.html", define_page(place, kind, form))


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def change(request: HttpRequest, programme: str, seam: str) -> HttpResponse:
    """The seam as it is defined, to be changed or taken out."""
    now, offered = seam_now(programme, seam), place_of_seam(programme)
    place = _place(offered, seam)
    if "take_out" in request.POST:
        return _take_out(request, now, offered, place)
    if request.method == "POST":
        return _keep(
            request,
            offered,
            place,
            lambda given, who: change_seam(programme, seam, given, made_by=who),
            studies=now.studies,
        )
    take_out = TakeOutForm(initial={"made_by": remembered_name(request)}, auto_id="out_%s")
    page = _now_page(request, now, offered, place, None if now.studies else take_out)
    return answer(request, "seam_define.html", page)


def _now_page(
    request: HttpRequest, now: SeamNow, offered: Offered, place: SeamPlace, take_out: TakeOutForm | None
) -> SeamDefinePage:
    """The seam as it is, in its form."""
    kind = SeamKind(now.defined.kind)
    form = SeamForm(kind, offered, initial={**typed_of(now.defined), "made_by": remembered_name(request)})
    return define_page(place, kind, form, studies=now.studies, take_out=take_out)


def _place(offered: Offered, seam: str = "") -> SeamPlace:
    return SeamPlace(
        programme=offered.programme,
        programme_title=offered.programme_title,
        invented=offered.invented,
        seam=seam,
    )


def _keep(
    request: HttpRequest,
    offered: Offered,
    place: SeamPlace,
    keep: Callable[[SeamDefined, str], str],
    *,
    studies: int = 0,
) -> HttpResponse:
    """Keep what was typed, or show it again: with the reason, or with the sizes of another kind."""
    typed = request.POST.dict()
    kind = _kind_of(typed)
    if "show" in typed:
        form = SeamForm(kind, offered, initial=typed)
        return answer(
            request, "seam_define.html", define_page(place, kind, form, typed=typed, studies=studies)
        )
    form = SeamForm(kind, offered, typed)
    if form.is_valid():
        who = form.cleaned_data["made_by"]
        try:
            code = keep(form.as_defined(), who)
        except DefinitionRefused as error:
            form.refuse(error)
        except OfftoolError as error:
            form.add_error(None, str(error))
        else:
            remember_name(request, who)
            messages.success(request, f"Seam {code} is kept.")
            return redirect("seam", offered.programme, code)
    page = define_page(place, kind, form, typed=typed, studies=studies)
    return answer(request, "seam_define.html", page, status=NOT_POSSIBLE)


def _kind_of(typed: dict[str, Any]) -> SeamKind:
    """The kind that was chosen. Raises OfftoolError for none of ours."""
    try:
        return SeamKind(typed.get("kind", ""))
    except ValueError as error:
        known = ", ".join(one.value for one in SeamKind)
        raise OfftoolError(
            f"no kind of seam is called {typed.get('kind', '')!r}", remedy=f"choose one of {known}"
        ) from error


def _take_out(request: HttpRequest, now: SeamNow, offered: Offered, place: SeamPlace) -> HttpResponse:
    """Take the seam out, or show it again with the reason why it stays."""
    form = TakeOutForm(request.POST, auto_id="out_%s")
    if form.is_valid():
        who = form.cleaned_data["made_by"]
        try:
            remove_seam(place.programme, place.seam, made_by=who)
        except OfftoolError as error:
            form.add_error(None, str(error))
        else:
            remember_name(request, who)
            messages.success(request, f"Seam {place.seam} is taken out.")
            return redirect("seams", place.programme)
    page = _now_page(request, now, offered, place, form)
    return answer(request, "seam_define.html", page, status=NOT_POSSIBLE)

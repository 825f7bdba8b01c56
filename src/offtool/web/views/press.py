"""At the press: looking at pieces, photographs of them, and a look that no longer counts."""

from __future__ import annotations

from csp.constants import NONE, SELF, UNSAFE_INLINE
from csp.decorators import csp_replace
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.exchange.pictures import SHOWN, THUMBNAIL, draw_picture
from offtool.records.queries import find_photograph, find_programme, find_tool, find_trial
from offtool.steps.defect_list import defect_list
from offtool.steps.findings_at_press import cavities_of, look_back, look_back_before, look_shown
from offtool.steps.look_at_pieces import PiecesLookedAt, look_at_pieces, take_look_back
from offtool.steps.press_findings import PressFindings
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.look import LookHeadForm, LookSheet
from offtool.web.pages.frame import TrialPlace
from offtool.web.pages.look import aside_page, kept_in_words, look_page
from offtool.web.pages.press import with_links
from offtool.web.whereabouts import find_place
from offtool.web.your_name import remember_name, remembered_name

_A_LONE_PICTURE = {"default-src": [NONE], "img-src": [SELF], "style-src": [UNSAFE_INLINE]}
"""A browser that shows a picture by itself lays it out in a style of its own, to fit the phone."""


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def look(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """A block a cavity to tick what is seen; below it, what was seen so far."""
    place = find_place(programme, tool, trial)
    findings = look_back_before(programme, tool) if place.is_new else look_back(programme, tool, trial)
    sent = request.POST if request.method == "POST" else None
    head = LookHeadForm(sent, initial=_initial(request, place, findings))
    sheet = _sheet(request, place, findings)
    if head.is_valid():
        looks = sheet.looks(head.cleaned_data["shot"])
        if looks and _kept(request, place, looks, head, sheet):
            return redirect("look", programme, tool, trial)
    page = look_page(place, findings, head, sheet)
    result = with_links(findings, place) if findings and not place.is_new else None
    return answer(request, "look.html", page, result, status=NOT_POSSIBLE if sheet.is_sent else 200)


def _initial(request: HttpRequest, place: TrialPlace, findings: PressFindings | None) -> dict[str, object]:
    """The shot that the address names, else the next; the name given last."""
    proposed = 1 if findings is None or place.is_new else findings.next_shot
    return {"shot": request.GET.get("shot", proposed), "looked_by": remembered_name(request)}


def _sheet(request: HttpRequest, place: TrialPlace, findings: PressFindings | None) -> LookSheet:
    """The sheet as it was sent, or empty: what was seen on this tool before stands first."""
    defects = [one for one in defect_list(place.programme) if one.is_listed]
    seen = {one.code for one in findings.defects} if findings else set()
    open_ = findings.open if findings else ()
    is_sent = request.method == "POST"
    return LookSheet(
        cavities_of(place.programme, place.tool),
        defects,
        common=frozenset(one.code for one in defects if one.is_common or one.code in seen),
        look_for={
            cavity: tuple(
                f"{one.what}, open since {one.since.trial}" for one in open_ if one.cavity == cavity
            )
            for cavity in {one.cavity for one in open_}
        },
        data=request.POST.dict() if is_sent else None,
        files=request.FILES if is_sent else None,
    )


def _kept(
    request: HttpRequest, place: TrialPlace, looks: list[PiecesLookedAt], head: LookHeadForm, sheet: LookSheet
) -> bool:
    """Whether it was kept; the reason why not stands on the sheet."""
    by = head.cleaned_data["looked_by"]
    try:
        look_at_pieces(
            place.programme,
            place.tool,
            place.trial,
            looks,
            looked_at=timezone.now(),
            looked_by=by,
            may_be_new=place.is_new,
        )
    except OfftoolError as error:
        sheet.error = str(error)
        return False
    remember_name(request, by)
    cavities = sum(bool(block.cavity) for block in sheet.blocks)
    messages.success(request, kept_in_words(looks, head.cleaned_data["shot"], cavities))
    return True


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def set_aside(request: HttpRequest, programme: str, tool: str, trial: str, number: int) -> HttpResponse:
    """Say why a look no longer counts."""
    place = find_place(programme, tool, trial)
    found = look_shown(programme, tool, trial, number)
    form = SetAsideForm(request.POST or None, initial={"made_by": remembered_name(request)})
    if form.is_valid():
        given = form.cleaned_data
        try:
            take_look_back(programme, tool, trial, number, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, "The look is set aside; it counts no more.")
            return redirect("look", programme, tool, trial)
    page = aside_page(found, place, form)
    return answer(request, "look_aside.html", page, status=NOT_POSSIBLE if form.errors else 200)


@require_safe
@csp_replace(_A_LONE_PICTURE)  # type: ignore[arg-type]  # it takes any view
@in_words
def photograph(request: HttpRequest, programme: str, tool: str, trial: str, number: int) -> HttpResponse:
    """A photograph to look at closely."""
    return _picture(request, programme, tool, trial, number, longest=SHOWN)


@require_safe
@in_words
def thumbnail(request: HttpRequest, programme: str, tool: str, trial: str, number: int) -> HttpResponse:
    """A photograph in a list."""
    return _picture(request, programme, tool, trial, number, longest=THUMBNAIL)


def _picture(
    request: HttpRequest, programme: str, tool: str, trial: str, number: int, *, longest: int
) -> HttpResponse:
    """Drawn anew: upright, without what the phone wrote into it. A photograph never changes, so it is kept
    by the browser for good."""
    found = find_photograph(find_trial(find_tool(find_programme(programme), tool), trial), number)
    tag = f'"{found.sha256}-{longest}"'
    response = get_conditional_response(request, etag=tag)
    if response is None:
        drawn = draw_picture(bytes(found.content), found.name, longest=longest)
        response = HttpResponse(drawn, content_type="image/jpeg")
    response["ETag"] = tag
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Disposition"] = f'inline; filename="{number}.jpg"'
    return response

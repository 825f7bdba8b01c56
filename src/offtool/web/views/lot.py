"""The order of a lot: samples of the register, or a table that somebody brings."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.steps.lot_place import LotPlace, place_of_lot
from offtool.steps.order_samples import FEWEST, LotFound, order_of_samples, order_of_table
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, wants_json
from offtool.web.forms.lot import LotForm, LotTableForm
from offtool.web.pages.lot import lot_page


@require_safe
@in_words
def lot(request: HttpRequest, programme: str) -> HttpResponse:
    """The samples that have one part, in order; the part that was looked at most where none is named."""
    place = place_of_lot(programme)
    asked = {"part": request.GET.get("part") or _first(place), "samples": request.GET.get("samples", "")}
    form = LotForm(place, asked)
    found, refusal = _found(request, place, form) if place.parts and form.is_valid() else (None, "")
    page = lot_page(
        place,
        choose=form,
        table_form=LotTableForm(auto_id="table_%s"),
        found=found,
        refusal=refusal,
        as_json="?" + urlencode({**asked, "format": "json"}) if found else "",
    )
    wrong = bool(form.errors and "part" in request.GET)
    return answer(request, "lot.html", page, found, status=NOT_POSSIBLE if wrong else 200)


def _first(place: LotPlace) -> str:
    return place.parts[0].code if place.parts else ""


def _found(request: HttpRequest, place: LotPlace, form: LotForm) -> tuple[LotFound | None, str]:
    """The order, or None and what is missing; where JSON is asked for, the error is raised."""
    try:
        return order_of_samples(place.programme, form.cleaned_data["part"], form.numbers), ""
    except NotEnoughData as error:
        if wants_json(request):
            raise
        most = max((one.samples for one in place.parts), default=0)
        asked = "part" in request.GET or most >= FEWEST
        return None, str(error) if asked else ""


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def order_table(request: HttpRequest) -> HttpResponse:
    """A table that somebody brings, in order; nothing is kept."""
    if request.method != "POST":
        return answer(request, "lot.html", lot_page(None, table_form=LotTableForm(auto_id="table_%s")))
    form = LotTableForm(request.POST, request.FILES, auto_id="table_%s")
    found = None
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            found = order_of_table(file.read(), file.name, sheet=form.cleaned_data["sheet"] or None)
        except OfftoolError as error:
            if wants_json(request):
                raise
            form.add_error("file", str(error))
    page = lot_page(None, table_form=form, found=found)
    return answer(request, "lot.html", page, found, status=200 if found else NOT_POSSIBLE)

"""What a kg of each resin costs, and what money is given in."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.prices import keep_prices, prices_known
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.planning import PricesForm, prices_typed
from offtool.web.pages.planning_forms import prices_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def prices(request: HttpRequest, programme: str) -> HttpResponse:
    """Show the prices, and keep them."""
    known = prices_known(programme)
    filled = {**prices_typed(known), "made_by": remembered_name(request)}
    form = PricesForm(known, request.POST if request.method == "POST" else None, initial=filled)
    if form.is_valid() and _kept(form, programme):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, "The prices are kept.")
        return redirect("presses", programme)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "ground_form.html", prices_page(known, form), known, status=status)


def _kept(form: PricesForm, programme: str) -> bool:
    given = form.cleaned_data
    try:
        keep_prices(programme, form.said(), currency=given["currency"], by=given["made_by"])
    except OfftoolError as error:
        form.refuse(error)
        return False
    return True

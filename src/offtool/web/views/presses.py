"""All presses of a programme, and one tool among them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from offtool.core.values import ImpossibleInput
from offtool.steps.fit_found import FitFound
from offtool.steps.fit_presses import fit_presses, fit_tool
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.forms.fit import TryShotForm
from offtool.web.pages.fit import fit_page
from offtool.web.pages.presses import presses_page


@require_safe
@in_words
def presses(request: HttpRequest, programme: str) -> HttpResponse:
    """Every press, and every tool against every press."""
    found = fit_presses(programme)
    return answer(request, "presses.html", presses_page(found), found)


@require_safe
@in_words
def tool_on_presses(request: HttpRequest, programme: str, tool: str) -> HttpResponse:
    """Which press a tool goes on; numbers of a shot are tried here and not kept."""
    form = TryShotForm(request.GET) if "try" in request.GET else TryShotForm()
    found = _tried(request, form, programme, tool) or fit_tool(programme, tool)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "fit.html", fit_page(found, form), found, status=status)


def _tried(request: HttpRequest, form: TryShotForm, programme: str, tool: str) -> FitFound | None:
    """The answer with what was typed; None where nothing was, or with the reason at the form."""
    if not form.is_valid():
        return None
    try:
        return fit_tool(programme, tool, form.as_typed())
    except ImpossibleInput as error:
        if wants_json(request):
            raise
        put_at_field(form, error)
        return None

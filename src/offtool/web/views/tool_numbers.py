"""The own numbers of a tool: what a press and a plan ask of it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.own_numbers import keep_tool_numbers
from offtool.steps.own_numbers import tool_numbers as numbers_of
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.planning import ToolNumbersForm, tool_typed
from offtool.web.pages.planning_forms import tool_numbers_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def tool_numbers(request: HttpRequest, programme: str, tool: str) -> HttpResponse:
    """Show the numbers of a tool, and keep them."""
    known = numbers_of(programme, tool)
    filled = {**tool_typed(known), "made_by": remembered_name(request)}
    form = ToolNumbersForm(request.POST if request.method == "POST" else None, initial=filled)
    if form.is_valid() and _kept(form, programme, tool):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, f"The numbers of tool {tool} are kept.")
        return redirect("fit_tool", programme, tool)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "ground_form.html", tool_numbers_page(known, form), known, status=status)


def _kept(form: ToolNumbersForm, programme: str, tool: str) -> bool:
    try:
        keep_tool_numbers(programme, tool, form.said(), by=form.cleaned_data["made_by"])
    except OfftoolError as error:
        form.refuse(error)
        return False
    return True

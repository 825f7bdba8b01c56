"""A line: what it makes and why, places that are adopted, its table and the sheet that hangs at it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.steps.balance_line import balance_line
from offtool.steps.define_line import adopt
from offtool.steps.know_line import first_line, know_line
from offtool.steps.line_found import LineFound
from offtool.steps.line_in_record import SECONDS
from offtool.steps.line_table import table_of
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.download import as_download
from offtool.web.forms.line import AdoptForm, AskForm
from offtool.web.pages.line import line_page
from offtool.web.pages.line_define import no_line_page
from offtool.web.pages.line_place import LinePlace
from offtool.web.your_name import remember_name, remembered_name


@require_safe
@in_words
def line_only(request: HttpRequest, programme: str) -> HttpResponse:
    """The programme's line; the first one, where it has several; what to do first, where it has none."""
    name = first_line(programme)
    if name is not None:
        return redirect("line", programme, name)
    found = balance_line(programme)
    page = no_line_page(LinePlace.of(found.known), found.headline)
    return answer(request, "line_empty.html", page, found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def line(request: HttpRequest, programme: str, line: str) -> HttpResponse:
    """What the line makes, what to do, why; places are adopted here."""
    adopting = None
    if request.method == "POST":
        adopting = AdoptForm(request.POST, auto_id="adopt_%s")
        if _adopted(request, programme, line, adopting):
            return redirect("line", programme, line)
    form = AskForm(request.GET if request.GET else None)
    found = _balanced(request, programme, line, form)
    if not found.known.tasks:
        page: Any = no_line_page(LinePlace.of(found.known), found.headline)
        return answer(request, "line_empty.html", page, found)
    page = line_page(found, form, adopt_form=adopting, made_by=remembered_name(request))
    is_refused = bool(form.errors or adopting)
    return answer(request, "line.html", page, found, status=NOT_POSSIBLE if is_refused else 200)


def _balanced(request: HttpRequest, programme: str, line: str, form: AskForm) -> LineFound:
    """The line for what is asked; what cannot be asked is marked at its field, and the plan is shown.

    Raises ImpossibleInput where JSON is asked for.
    """
    if form.is_bound and not form.is_valid():
        if wants_json(request):
            name, errors = next(iter(form.errors.items()))
            raise ImpossibleInput(name, form.data.get(name, ""), "", " ".join(map(str, errors)))
        return balance_line(programme, line)
    asked = form.cleaned_data if form.is_bound else {}
    try:
        return balance_line(
            programme,
            line,
            rate_per_h=asked.get("rate"),
            stations=asked.get("stations"),
            people=asked.get("people"),
            seconds=asked.get("seconds") or SECONDS,
        )
    except ImpossibleInput as error:
        if wants_json(request):
            raise
        put_at_field(form, error, {"rate_per_h": "rate"})
        return balance_line(programme, line)


def _adopted(request: HttpRequest, programme: str, line: str, form: AdoptForm) -> bool:
    """Adopt the places that were sent; False where they are refused, with the reason at the form."""
    if not form.is_valid():
        return False
    given = form.cleaned_data
    try:
        done = adopt(programme, line, given["places"], by=given["made_by"], people=given["people"])
    except OfftoolError as error:
        form.add_error(None, str(error))
        return False
    remember_name(request, given["made_by"])
    messages.success(request, done)
    return True


@require_safe
@in_words
def line_table(request: HttpRequest, programme: str, line: str) -> FileResponse:
    """The tasks as CSV, to be edited in a spreadsheet and read back."""
    return as_download(table_of(know_line(programme, line)), f"{programme}_{line}_tasks.csv")


@require_safe
@in_words
def line_sheet(request: HttpRequest, programme: str, line: str) -> FileResponse:
    """The sheet that hangs at the line, as a PDF."""
    from offtool.reports.line_sheet import line_sheet as typeset  # typesetting is asked for here alone

    made_by = remembered_name(request)
    return as_download(typeset(balance_line(programme, line), made_by=made_by), f"{programme}_{line}.pdf")

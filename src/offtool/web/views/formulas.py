"""The bench of formulas: each calculation by itself."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.formulas import Formula
from offtool.core.values import OfftoolError
from offtool.steps.calculate import calculate, find_formula, list_formulas
from offtool.web.answer import (
    NOT_POSSIBLE,
    NOT_THERE,
    answer,
    in_words,
    put_at_field,
    refuse,
    wants_json,
)
from offtool.web.forms.formula import FormulaForm
from offtool.web.pages.formulas import formula_page, formulas_page


@require_safe
def formulas(request: HttpRequest) -> HttpResponse:
    """Every formula, by topic."""
    return answer(request, "formulas.html", formulas_page(list_formulas()))


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def formula(request: HttpRequest, name: str) -> HttpResponse:
    """One formula: its form filled with the example, and the result of what is filled in."""
    try:
        found = find_formula(name)
    except OfftoolError as error:
        return refuse(request, error, status=NOT_THERE)
    form = FormulaForm(found, request.POST or None)
    result = _calculated(request, found, form)
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "formula.html", formula_page(found, form, result), result, status=status)


def _calculated(request: HttpRequest, found: Formula, form: FormulaForm) -> Any:
    """The result; a mistake is put at its field, or where JSON is asked for, raised."""
    if form.is_bound and not form.is_valid():
        return None
    try:
        return calculate(found.name, form.given if form.is_bound else found.example)
    except OfftoolError as error:
        if wants_json(request):
            raise
        put_at_field(form, error)
        return None

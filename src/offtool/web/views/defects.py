"""The list of defects that a programme looks for, and changing it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.records.queries import find_programme
from offtool.steps.defect_list import edit_defect, list_of
from offtool.steps.overview import is_invented
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.defects import DefectForm, filled_with
from offtool.web.pages.defects import defects_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def defects(request: HttpRequest, programme: str) -> HttpResponse:
    """The list; `?change=CODE` fills the form with one of it."""
    found = find_programme(programme)
    rows = list_of(found)
    changing = next((one for one in rows if one.code == request.GET.get("change")), None)
    initial = {"made_by": remembered_name(request)} | (filled_with(changing) if changing else {})
    form = DefectForm(request.POST or None, initial=initial)
    if changing:
        form.hold_code()
    if form.is_valid() and _edited(form, programme):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, f"{form.cleaned_data['name'].capitalize()} is kept as you said.")
        return redirect("defects", programme)
    page = defects_page(
        programme, found.title, invented=is_invented(found), rows=rows, form=form, changing=changing
    )
    return answer(request, "defects.html", page, rows, status=NOT_POSSIBLE if form.errors else 200)


def _edited(form: DefectForm, programme: str) -> bool:
    """Whether it was kept; the reason why not stands at the field."""
    try:
        edit_defect(programme, form.cleaned_data["code"], **form.as_edit())
    except OfftoolError as error:
        put_at_field(form, error)
        return False
    return True

"""Naming the steel of a size, so that steel and shrinkage can be told apart."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.steps.name_steel import SizeWithoutSteel, name_steel, sizes_without_steel
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.name_steel import NameSteelForm
from offtool.web.pages.steel import name_steel_page, nameless_page
from offtool.web.whereabouts import find_place


@require_safe
@in_words
def nameless(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """The sizes whose steel is not named yet."""
    sizes = sizes_without_steel(programme, tool)
    return answer(request, "nameless.html", nameless_page(sizes, find_place(programme, tool, trial)), sizes)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def name_one(
    request: HttpRequest, programme: str, tool: str, trial: str, part: str, number: str
) -> HttpResponse:
    """Name the steel of one size."""
    size = _find(sizes_without_steel(programme, tool), part, number)
    form = NameSteelForm(size, request.POST or None)
    if form.is_valid() and _named(form, programme, tool, size):
        messages.success(request, f"The steel of {part} {number} is named.")
        return redirect("steel", programme, tool, trial)
    page = name_steel_page(size, find_place(programme, tool, trial), form)
    return answer(request, "name_steel.html", page, status=NOT_POSSIBLE if form.errors else 200)


def _find(sizes: tuple[SizeWithoutSteel, ...], part: str, number: str) -> SizeWithoutSteel:
    found = next((size for size in sizes if (size.part, size.number) == (part, number)), None)
    if found is None:
        raise Http404
    return found


def _named(form: NameSteelForm, programme: str, tool: str, size: SizeWithoutSteel) -> bool:
    """Whether the steel was recorded; the reason why not stands on the form."""
    try:
        name_steel(programme, tool, part=size.part, number=size.number, **form.as_named())
    except OfftoolError as error:
        form.add_error(None, str(error))
        return False
    return True

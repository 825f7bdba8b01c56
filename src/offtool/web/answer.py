"""How a view answers: one result as a page or as JSON, and an error in words instead of a failure."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import render

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.records.queries.finding import NotInRecord
from offtool.steps.plain import as_plain
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.refused import RefusedPage

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]

NOT_THERE = 404
NOT_POSSIBLE = 422


def wants_json(request: HttpRequest) -> bool:
    """Whether the result itself is asked for, by `?format=json` or the button that says so."""
    return "json" in (request.GET.get("format"), request.POST.get("format"))


def answer(
    request: HttpRequest, template: str, page: object, result: object = None, *, status: int = 200
) -> HttpResponse:
    """The page, or where `result` is given and JSON is asked for, the result as the commands print it."""
    if result is not None and wants_json(request):
        return JsonResponse(as_plain(result), safe=False, json_dumps_params={"ensure_ascii": False})
    return render(request, f"offtool/{template}", {"page": page}, status=status)


def refuse(request: HttpRequest, error: OfftoolError, *, status: int = NOT_POSSIBLE) -> HttpResponse:
    """A page, or JSON, that says what went wrong, where, and the remedy."""
    if wants_json(request):
        said = {"error": error.what, "where": error.where, "remedy": error.remedy}
        return JsonResponse(said, status=status, json_dumps_params={"ensure_ascii": False})
    title = "Not found" if status == NOT_THERE else "Not possible"
    frame = Frame(title=title, crumbs=(Crumb(text=title),))
    page = RefusedPage(frame=frame, what=error.what, where=error.where, remedy=error.remedy)
    return answer(request, "refused.html", page, status=status)


def in_words(view: View[P]) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """A view whose domain errors are answered in words; those of a form it puts at the field itself."""

    @wraps(view)
    def answered(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        try:
            return view(request, *args, **kwargs)
        except NotInRecord as error:
            return refuse(request, error, status=NOT_THERE)
        except OfftoolError as error:
            return refuse(request, error)

    return answered


def put_at_field(form: Any, error: OfftoolError, fields: dict[str, str] | None = None) -> None:
    """Show a domain error at the field it speaks of; at the top of the form where it speaks of none."""
    argument = str(getattr(error, "argument", "") or error.where)
    name = (fields or {}).get(argument, argument)
    form.add_error(name if name in form.fields else None, _at_field(error))


def _at_field(error: OfftoolError) -> str:
    """The error without the name that its field gives already."""
    if not isinstance(error, ImpossibleInput):
        return str(error)
    said = f"{error.value} {error.unit}".rstrip() + f": {error.limit}"
    return f"{said}; {error.remedy}" if error.remedy else said

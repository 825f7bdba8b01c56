"""All programmes, and one."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from offtool.steps.overview import list_programmes, programme_overview
from offtool.web.answer import answer, in_words
from offtool.web.pages.programmes import programme_page, programmes_page


@require_safe
@in_words
def programmes(request: HttpRequest) -> HttpResponse:
    """All programmes, a line each; with none, what to do first."""
    found = list_programmes()
    return answer(request, "programmes.html", programmes_page(found), found)


@require_safe
@in_words
def programme(request: HttpRequest, programme: str) -> HttpResponse:
    """Where every tool of a programme stands, and what is next on each."""
    overview = programme_overview(programme)
    return answer(request, "programme.html", programme_page(overview), overview)

"""What it rests on, and cautions."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from offtool import __version__
from offtool.web.answer import answer
from offtool.web.pages.about import about_page


@require_safe
def about(request: HttpRequest) -> HttpResponse:
    """Sources, cautions, licences."""
    return answer(request, "about.html", about_page(__version__))

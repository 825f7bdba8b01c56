"""What the program says when an address leads nowhere or something breaks: in our words, not the server's."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from offtool.web.answer import answer
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.refused import RefusedPage


def not_understood(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: what was sent cannot be read."""
    return _refused(request, 400, "What was sent cannot be read", "Go back, and send the form again.")


def not_allowed(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403."""
    return _refused(request, 403, "This is not open to you", "Start again from the list of programmes.")


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404."""
    remedy = "Check the address, or start from the list of programmes."
    return _refused(request, 404, "There is no such page", remedy)


def broken(request: HttpRequest) -> HttpResponse:
    """500: our fault. Nothing of the request is half recorded, since every change is one transaction."""
    remedy = "Try once more. If it happens again, keep what the terminal of offtool says: it names the place."
    return _refused(request, 500, "Something broke in offtool; nothing was kept", remedy)


def _refused(request: HttpRequest, status: int, what: str, remedy: str) -> HttpResponse:
    frame = Frame(title=what, crumbs=(Crumb(text="Not possible"),))
    page = RefusedPage(frame=frame, what=what, remedy=remedy)
    return answer(request, "refused.html", page, status=status)

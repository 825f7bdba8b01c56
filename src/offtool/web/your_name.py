"""The name that someone gave on a form, offered again on the next: there are no accounts yet."""

from __future__ import annotations

from django.http import HttpRequest

_KEY = "your_name"


def remembered_name(request: HttpRequest) -> str:
    """The name given last in this browser; empty before the first."""
    return str(request.session.get(_KEY, ""))


def remember_name(request: HttpRequest, name: str) -> None:
    """Offer this name on the next form."""
    if name and name != remembered_name(request):
        request.session[_KEY] = name

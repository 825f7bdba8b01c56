"""A photograph of the record as a page shows it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response

from offtool.exchange.pictures import draw_picture
from offtool.records.models import SamplePhotograph


def shown_picture(
    request: HttpRequest, found: SamplePhotograph, number: int, *, longest: int
) -> HttpResponse:
    """Drawn anew: upright, without metadata. A photograph never changes, so the browser keeps it for good."""
    tag = f'"{found.sha256}-{longest}"'
    response = get_conditional_response(request, etag=tag)
    if response is None:
        drawn = draw_picture(bytes(found.content), found.name, longest=longest)
        response = HttpResponse(drawn, content_type="image/jpeg")
    response["ETag"] = tag
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Disposition"] = f'inline; filename="{number}.jpg"'
    return response

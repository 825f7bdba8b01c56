"""The ramp after a pilot: when a quantity is there."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from offtool.steps.ramp_from_pilot import ramp_from_pilot
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.pilot import RampForm
from offtool.web.pages.ramp import ramp_page


@require_safe
@in_words
def ramp(request: HttpRequest, programme: str, pilot: str) -> HttpResponse:
    """The days until a quantity is made; what is asked stands in the address."""
    form = RampForm(request.GET)
    found = ramp_from_pilot(programme, pilot, form.as_asked(), today=timezone.localdate())
    as_json = "?" + urlencode(
        [*((k, v) for k, v in request.GET.items() if v and k != "format"), ("format", "json")]
    )
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "ramp.html", ramp_page(found, form, as_json=as_json), found, status=status)

"""The page of sampling plans; it asks nothing of the record and keeps nothing."""

from __future__ import annotations

from typing import get_args

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from offtool.core.values import OfftoolError
from offtool.steps.plan_sampling import plan_sampling
from offtool.steps.sampling_asked import Ask
from offtool.steps.sampling_found import SamplingFound
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.forms.sampling import FIELDS, FORMS, SamplingForm
from offtool.web.pages.sampling import sampling_page


@require_safe
@in_words
def sampling(request: HttpRequest) -> HttpResponse:
    """One question at a time: its form, and the answer once it is filled in."""
    ask: Ask | None = next((one for one in get_args(Ask) if one == request.GET.get("ask")), None)
    if ask is None:
        return answer(request, "sampling.html", sampling_page())
    form = FORMS[ask](request.GET if _is_filled(request, FORMS[ask]) else None)
    found = _found(request, form)
    page = sampling_page(form, found, asked=request.GET)
    return answer(request, "sampling.html", page, found, status=NOT_POSSIBLE if form.errors else 200)


def _is_filled(request: HttpRequest, form: type[SamplingForm]) -> bool:
    return any(name in request.GET for name in form.base_fields)


def _found(request: HttpRequest, form: SamplingForm) -> SamplingFound | None:
    """The answer; a mistake is put at its field, or where JSON is asked for, raised."""
    if not form.is_valid():
        if form.is_bound and wants_json(request):
            name, errors = next(iter(form.errors.items()))
            raise OfftoolError(str(errors[0]), where=name)
        return None
    try:
        return plan_sampling(form.asked())
    except OfftoolError as error:
        if wants_json(request):
            raise
        put_at_field(form, error, FIELDS)
        return None

"""The gauges of a programme, and one of them with its studies."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import GaugeStudy
from offtool.records.queries import find_gauge, find_programme, find_study
from offtool.steps.keep_study import set_aside
from offtool.steps.study_gauge import gauges_of, study_gauge
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.download import as_download
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.gauge import gauge_page, gauges_page
from offtool.web.your_name import remember_name, remembered_name


@require_safe
@in_words
def gauges(request: HttpRequest, programme: str) -> HttpResponse:
    """All gauges, a line each."""
    found = gauges_of(programme)
    return answer(request, "gauges.html", gauges_page(found), found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def gauge(request: HttpRequest, programme: str, gauge: str) -> HttpResponse:
    """Is it fit, what to do, why; a study is set aside here."""
    if request.method == "POST":
        return _set_aside(request, programme, gauge)
    found = study_gauge(programme, gauge, request.GET.get("study") or None)
    return answer(request, "gauge.html", gauge_page(found, made_by=remembered_name(request)), found)


def _set_aside(request: HttpRequest, programme: str, gauge: str) -> HttpResponse:
    """Set a study aside and show the gauge again; what is refused is shown at its form."""
    name = request.POST.get("study", "")
    kept = find_study(find_gauge(find_programme(programme), gauge), name)
    form = SetAsideForm(request.POST, auto_id=f"study{kept.pk}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_aside(programme, gauge, name, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Study {name} is set aside.")
            return redirect("gauge", programme, gauge)
    page = gauge_page(study_gauge(programme, gauge), refused={name: form})
    return answer(request, "gauge.html", page, status=NOT_POSSIBLE)


@require_safe
@in_words
def study_file(request: HttpRequest, programme: str, gauge: str, study: int) -> FileResponse:
    """The file of a study, byte for byte as it came."""
    found = GaugeStudy.objects.filter(pk=study, gauge__code=gauge, gauge__programme__slug=programme).first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.file_name)

"""A trial, and what can be taken from it: the workbook of its findings, its files as they came."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from offtool.records.models import SourceFile
from offtool.reports.findings_workbook import findings_workbook
from offtool.steps.inspect_trial import inspect_trial
from offtool.web.answer import answer, in_words
from offtool.web.download import as_download
from offtool.web.pages.trial import trial_page
from offtool.web.whereabouts import find_place


@require_safe
@in_words
def trial(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """Verdict, what to do, why, and what it rests on."""
    findings = inspect_trial(programme, tool, trial)
    page = trial_page(findings, find_place(programme, tool, trial))
    return answer(request, "trial.html", page, findings)


@require_safe
@in_words
def workbook(request: HttpRequest, programme: str, tool: str, trial: str) -> FileResponse:
    """The findings as a workbook."""
    findings = inspect_trial(programme, tool, trial)
    return as_download(findings_workbook(findings), f"{programme}_{tool}_{trial}_findings.xlsx")


@require_safe
@in_words
def source_file(request: HttpRequest, programme: str, tool: str, trial: str, source: int) -> FileResponse:
    """A file of readings, byte for byte as it came."""
    here = {"trial__name": trial, "trial__tool__code": tool, "programme__slug": programme}
    found = SourceFile.objects.filter(pk=source, **here).first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.name)

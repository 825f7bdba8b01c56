"""A trial, and what can be taken from it: the workbook of its findings, its files as they came."""

from __future__ import annotations

from dataclasses import replace

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import SourceFile
from offtool.reports.findings_workbook import findings_workbook
from offtool.reports.layout_report import layout_report
from offtool.steps.inspect_size import inspect_sizes
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.judge_readings import settle
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.download import as_download
from offtool.web.forms.judging import SettleForm
from offtool.web.pages.press import with_links
from offtool.web.pages.trial import trial_page
from offtool.web.whereabouts import find_place
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def trial(request: HttpRequest, programme: str, tool: str, trial: str) -> HttpResponse:
    """Verdict, what to do, why, and what it rests on; its form says when the press had settled."""
    form = SettleForm(request.POST or None, initial={"made_by": remembered_name(request)})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            settle(
                programme,
                tool,
                trial,
                settled_from=given["settled_from"],
                reason=given["reason"],
                made_by=given["made_by"],
            )
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, "Kept. What follows is judged by it.")
            return redirect("trial", programme, tool, trial)
    findings = inspect_trial(programme, tool, trial)
    place = find_place(programme, tool, trial)
    page = trial_page(findings, place, form)
    if findings.at_press is not None:
        findings = replace(findings, at_press=with_links(findings.at_press, place))
    return answer(request, "trial.html", page, findings, status=NOT_POSSIBLE if form.errors else 200)


@require_safe
@in_words
def workbook(request: HttpRequest, programme: str, tool: str, trial: str) -> FileResponse:
    """The findings as a workbook."""
    findings = inspect_trial(programme, tool, trial)
    return as_download(findings_workbook(findings), f"{programme}_{tool}_{trial}_findings.xlsx")


@require_safe
@in_words
def report(request: HttpRequest, programme: str, tool: str, trial: str) -> FileResponse:
    """The layout report: every size with its drawings, as PDF."""
    findings, sizes = inspect_sizes(programme, tool, trial)
    return as_download(layout_report(findings, sizes), f"{programme}_{tool}_{trial}_layout.pdf")


@require_safe
@in_words
def source_file(request: HttpRequest, programme: str, tool: str, trial: str, source: int) -> FileResponse:
    """A file of readings, byte for byte as it came."""
    here = {"trial__name": trial, "trial__tool__code": tool, "programme__slug": programme}
    found = SourceFile.objects.filter(pk=source, **here).first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.name)

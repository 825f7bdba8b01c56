"""The invented demo, loaded at a press of a button."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from offtool.steps.demo import run_demo
from offtool.web.answer import in_words
from offtool.web.your_name import remembered_name


@in_words
def demo(request: HttpRequest) -> HttpResponse:
    """Load the harbour otter and go to the trial that was just read, when asked by the button."""
    if request.method != "POST":
        return redirect("programmes")
    result = run_demo(read_at=timezone.now(), read_by=remembered_name(request))
    return redirect("trial", result.programme, result.findings.tool, result.findings.trial)

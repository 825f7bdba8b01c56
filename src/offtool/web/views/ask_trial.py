"""Asking for a trial, changing what was asked, and withdrawing it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.ask_trial import (
    RequestKnown,
    ToolAsked,
    ask_for_trial,
    request_known,
    tool_asked,
    withdraw_trial,
)
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.planning import RequestForm, WithdrawForm, new_request, request_typed
from offtool.web.pages.planning_forms import request_page
from offtool.web.your_name import remember_name, remembered_name

edits = require_http_methods(["GET", "HEAD", "POST"])


@edits
@in_words
def ask_trial(request: HttpRequest, programme: str, tool: str) -> HttpResponse:
    """Ask for the next trial of a tool."""
    of = tool_asked(programme, tool)
    filled = {**new_request(of.next_name), "made_by": remembered_name(request)}
    return _ask(request, of, filled)


@edits
@in_words
def change_trial(request: HttpRequest, programme: str, tool: str, request_name: str) -> HttpResponse:
    """Change a trial that is asked for, or withdraw it."""
    of, known = tool_asked(programme, tool), request_known(programme, tool, request_name)
    if "withdraw" in request.POST:
        return _withdraw(request, of, known)
    return _ask(request, of, _filled(request, known), known)


def _filled(request: HttpRequest, known: RequestKnown) -> dict[str, Any]:
    return {**request_typed(known), "made_by": known.asked_by or remembered_name(request)}


def _ask(
    request: HttpRequest, of: ToolAsked, filled: dict[str, Any], now: RequestKnown | None = None
) -> HttpResponse:
    """Show the form, keep it, or show it again with what is wrong at its field."""
    form = RequestForm(request.POST if request.method == "POST" else None, initial=filled)
    if form.is_valid():
        by = form.cleaned_data["made_by"]
        try:
            kept = ask_for_trial(of.programme, form.said(of.tool), by=by, now=now.name if now else "")
        except OfftoolError as error:
            form.refuse(error)
        else:
            remember_name(request, by)
            messages.success(request, f"Trial {kept.name} of tool {of.tool} is asked for.")
            return redirect("plan_trial", of.programme, of.tool, kept.name)
    page = request_page(of, form, now=now, withdraw=_withdraw_form(request) if now else None)
    return answer(request, "ask_trial.html", page, now, status=NOT_POSSIBLE if form.errors else 200)


def _withdraw_form(request: HttpRequest) -> WithdrawForm:
    return WithdrawForm(initial={"made_by": remembered_name(request)}, auto_id="out_%s")


def _withdraw(request: HttpRequest, of: ToolAsked, known: RequestKnown) -> HttpResponse:
    """Withdraw the trial, or show it again with what is missing."""
    form = WithdrawForm(request.POST, auto_id="out_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            withdraw_trial(of.programme, of.tool, known.name, because=given["because"], by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Trial {known.name} of tool {of.tool} is withdrawn.")
            return redirect("slots", of.programme)
    page = request_page(of, RequestForm(initial=_filled(request, known)), now=known, withdraw=form)
    return answer(request, "ask_trial.html", page, status=NOT_POSSIBLE)

"""The plan of all trials, slots that are fixed in it, and the times it is made from."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.handbook.shop_times import DAYS_PLANNED
from offtool.steps.ask_trial import requests_known
from offtool.steps.fix_trial_slot import fix_all, release_all
from offtool.steps.place_trials import LONGER_SECONDS, SECONDS, place_waiting_trials
from offtool.steps.planning_day import planning_day
from offtool.steps.shop_times import engineer_comes, press_stands, shop_times, take_back
from offtool.steps.slots_found import SlotsFound
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, wants_json
from offtool.web.forms.slots import FIX, BackForm, DaysForm, EngineerForm, OffForm, SlotForm
from offtool.web.pages.slots import slot_times_page, slots_page
from offtool.web.your_name import remember_name, remembered_name

NOT_ASKED_SO = "Not all that was asked for can be: it is marked at its field. The plan shown leaves it out."
edits = require_http_methods(["GET", "HEAD", "POST"])


@edits
@in_words
def slots(request: HttpRequest, programme: str) -> HttpResponse:
    """Which trial goes where and when; a slot is fixed or left open here."""
    refusal = ""
    if request.method == "POST":
        refusal = _fix(request, programme)
        if not refusal:
            return redirect(request.get_full_path())
    day = planning_day(programme, today=timezone.localdate())
    form = DaysForm(_waiting(programme), request.GET, day=day)
    found = _planned(request, programme, form, day)
    refusal = refusal or (NOT_ASKED_SO if form.errors else "")
    page = slots_page(found, form, made_by=remembered_name(request), refusal=refusal)
    status = NOT_POSSIBLE if refusal else 200
    return answer(request, "slots.html", page, found, status=status)


def _waiting(programme: str) -> list[str]:
    return [f"{one.tool} {one.name}" for one in requests_known(programme).requests if not one.has_run]


def _planned(request: HttpRequest, programme: str, form: DaysForm, day: date) -> SlotsFound:
    """The plan for what is asked; what cannot be is marked at its field, and the rest is planned.

    Raises ImpossibleInput where JSON is asked for.
    """
    if not form.is_valid() and wants_json(request):
        name, errors = next(iter(form.errors.items()))
        raise ImpossibleInput(name, form.data.get(name, ""), "", " ".join(map(str, errors)))
    asked = form.cleaned_data
    return place_waiting_trials(
        programme,
        from_day=asked.get("from_day") or day,
        days=asked.get("days") or DAYS_PLANNED,
        now=timezone.localtime(),
        seconds=LONGER_SECONDS if asked.get("longer") else SECONDS,
        slip="" if form.errors else asked["slip"],
        slip_by_h=asked.get("by_h") or 24.0,
    )


def _fix(request: HttpRequest, programme: str) -> str:
    """Fix or release slots; returns why not, or nothing."""
    form = SlotForm(request.POST)
    if not form.is_valid():
        return " ".join(str(one) for errors in form.errors.values() for one in errors)
    given = form.cleaned_data
    act = fix_all if given["do"] == FIX else release_all
    try:
        done = act(programme, given["slots"], by=given["made_by"])
    except OfftoolError as error:
        return str(error)
    remember_name(request, given["made_by"])
    messages.success(request, done)
    return ""


@edits
@in_words
def slot_times(request: HttpRequest, programme: str) -> HttpResponse:
    """When engineers are there and when a press stands."""
    times = shop_times(programme)
    initial = {"made_by": remembered_name(request)}
    forms: dict[str, Any] = {
        "engineer": EngineerForm(initial=initial, auto_id="there_%s"),
        "press": OffForm(times.presses, initial=initial, auto_id="off_%s"),
    }
    if request.method == "POST":
        of = request.POST.get("say", "")
        if of == "engineer":
            forms[of] = EngineerForm(request.POST, auto_id="there_%s")
        elif of == "press":
            forms[of] = OffForm(times.presses, request.POST, auto_id="off_%s")
        if _said(request, programme, forms.get(of)):
            return redirect("slot_times", programme)
    page = slot_times_page(times, forms["engineer"], forms["press"])
    is_refused = any(form.errors for form in forms.values())
    return answer(request, "slot_times.html", page, times, status=NOT_POSSIBLE if is_refused else 200)


def _said(request: HttpRequest, programme: str, form: Any) -> bool:
    """Keep what is said, or take a time back; False where it is refused, with the reason at the form."""
    if form is None:
        back = BackForm(request.POST)
        if back.is_valid():
            given = back.cleaned_data
            is_engineer = given["of"] == "engineer"
            by = remembered_name(request)
            messages.success(request, take_back(programme, given["key"], is_engineer=is_engineer, by=by))
        return True
    if not form.is_valid():
        return False
    given = form.cleaned_data
    begins, ends, by = given["begins"], given["ends"], given["made_by"]
    try:
        if isinstance(form, OffForm):
            done = press_stands(programme, given["press"], begins, ends, why=given["why"], by=by)
        else:
            done = engineer_comes(programme, begins, ends, who=given["who"], by=by)
    except OfftoolError as error:
        put_at_field(form, error)
        return False
    remember_name(request, by)
    messages.success(request, done)
    return True

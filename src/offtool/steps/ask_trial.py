"""Ask for a trial: what it is to show, by when, in which colour; change it, or withdraw it with a reason."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from offtool.core.values import Caution, nearest
from offtool.handbook.colour_changes import unknown_resins
from offtool.handbook.joint_checks import code_faults
from offtool.handbook.terms import LARGEST_NUMBER, TRIAL_HOURS, ColourWish, TrialPurpose
from offtool.records.models import Programme, Tool, TrialRequest
from offtool.records.operations import REQUEST_COLUMNS, withdraw_request
from offtool.records.operations import ask_trial as keep_request
from offtool.records.queries import (
    find_programme,
    find_request,
    find_tool,
    has_run,
    requests_of,
    requests_run,
)
from offtool.steps.overview import is_invented
from offtool.steps.sizes_given import DefinitionRefused


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestSaid:
    """A trial as somebody asks for it; None and empty where nothing is said.

    `purposes` are what it is to show, each with how many pieces, None for as many as is usual. `hours` holds
    the press; None: they are computed. The colour is the product's, for D65 and 10 degrees.
    """

    tool: str
    name: str
    purposes: Mapping[TrialPurpose, int | None] = field(default_factory=dict)
    earliest: date | None = None
    due: date | None = None
    hours: float | None = None
    wish: str = ColourWish.ANY.value
    colour: str = ""
    lightness: float | None = None
    a: float | None = None
    b: float | None = None
    resin: str = ""
    late_per_day: float | None = None
    needs_engineer: bool = True
    asked_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WantKnown:
    """One purpose of a trial, and how many pieces; None: as many as is usual."""

    purpose: TrialPurpose
    pieces: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestKnown:
    """A trial that is asked for, as it stands in the record."""

    tool: str
    tool_name: str
    name: str
    purposes: tuple[WantKnown, ...]
    earliest: date | None
    due: date | None
    hours: float | None
    wish: str
    colour: str
    lightness: float | None
    a: float | None
    b: float | None
    resin: str
    late_per_day: float | None
    needs_engineer: bool
    press: str
    """The press of its fixed slot; empty where its slot is open."""
    starts_at: datetime | None
    asked_by: str
    note: str
    has_run: bool
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolAsked:
    """A tool for which a trial may be asked, and what its next trial would be called."""

    programme: str
    programme_title: str
    invented: bool
    tool: str
    tool_name: str
    trials: tuple[str, ...]
    """Those that are in the record or asked for."""
    next_name: str
    """Empty where the names do not count up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestsKnown:
    """All trials that are asked for."""

    programme: str
    programme_title: str
    invented: bool
    currency: str
    headline: str
    requests: tuple[RequestKnown, ...]


def ask_for_trial(programme: str, said: RequestSaid, *, by: str, now: str = "") -> RequestKnown:
    """Ask for a trial of a tool; `now` is the name of the one that is changed. Returns it as kept.

    Raises DefinitionRefused, naming the field, for no purpose, a name that is taken or has run, days out of
    order, half a colour, and numbers that cannot be.
    """
    found = find_programme(programme)
    tool = find_tool(found, said.tool)
    request = find_request(programme, said.tool, now) if now else None
    _refuse_name(tool, said.name, request)
    _refuse_impossible(said)
    columns = {name: getattr(said, name) for name in REQUEST_COLUMNS}
    columns["name"] = said.name.strip()
    kept = keep_request(tool, columns, said.purposes, made_by=by, request=request)
    return request_known(programme, said.tool, kept.name)


def withdraw_trial(programme: str, tool: str, name: str, *, because: str, by: str) -> None:
    """Take a trial out of the plan with a reason. Raises NotInRecord, and OfftoolError without a reason."""
    withdraw_request(find_request(programme, tool, name), because=because, made_by=by)


def request_known(programme: str, tool: str, name: str) -> RequestKnown:
    """One trial that is asked for. Raises NotInRecord."""
    found = find_request(programme, tool, name)
    return _request(found, ran=has_run(found))


def requests_known(programme: str) -> RequestsKnown:
    """All trials that are asked for, those that have run too. Raises NotInRecord."""
    found = find_programme(programme)
    ran = requests_run(found)
    requests = tuple(_request(one, ran=one.pk in ran) for one in requests_of(found))
    return RequestsKnown(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        currency=found.currency,
        headline=_headline(requests),
        requests=requests,
    )


def tool_asked(programme: str, tool: str) -> ToolAsked:
    """The tool for which a trial is to be asked. Raises NotInRecord."""
    found = find_programme(programme)
    of = find_tool(found, tool)
    return _tool(found, of)


def purpose_named(word: str) -> TrialPurpose:
    """The purpose of this name. Raises DefinitionRefused with the nearest one."""
    try:
        return TrialPurpose(word.strip())
    except ValueError as error:
        known = [one.value for one in TrialPurpose]
        raise DefinitionRefused("purposes", f"no purpose is called {word!r}", nearest(word, known)) from error


def _refuse_name(tool: Tool, name: str, request: TrialRequest | None) -> None:
    for fault in code_faults("trial", name):
        raise DefinitionRefused("name", fault.what, fault.remedy)
    name = name.strip()
    if request is not None and has_run(request):
        what = f"{tool.code} {request.name} has run already"
        raise DefinitionRefused("name", what, "ask for the next trial")
    if request is None or name != request.name:
        if tool.requests.filter(name=name).exists():
            raise DefinitionRefused("name", f"{tool.code} {name} is asked for already", "change that one")
        run = tool.trials.filter(name=name).first()
        if run is not None and (run.source_files.exists() or run.looks.exists()):
            raise DefinitionRefused("name", f"{tool.code} {name} has run already", "name the next trial")


def _refuse_impossible(said: RequestSaid) -> None:
    if not said.purposes:
        raise DefinitionRefused("purposes", "no purpose is given", "say what the trial is to show")
    for purpose, pieces in said.purposes.items():
        if pieces is not None and not 1 <= pieces <= 1_000_000:
            remedy = "give 1 to 1,000,000, or nothing for as many as is usual"
            raise DefinitionRefused(f"pieces_{purpose.name.lower()}", f"{pieces} pieces", remedy)
    if said.earliest is not None and said.due is not None and said.due < said.earliest:
        raise DefinitionRefused("due", f"{said.due} is before {said.earliest}", "look at the two days")
    if said.hours is not None and not 0 < said.hours <= TRIAL_HOURS["at_most"]:
        remedy = f"give above 0 to {TRIAL_HOURS['at_most']:g} h, or leave it blank"
        raise DefinitionRefused("hours", f"{said.hours:g} h on the press", remedy)
    if said.late_per_day is not None and not 0 <= said.late_per_day <= LARGEST_NUMBER:
        raise DefinitionRefused("late_per_day", f"{said.late_per_day:g} a day", "give 0 or more, or nothing")
    if said.wish not in [one.value for one in ColourWish]:
        known = [one.value for one in ColourWish]
        raise DefinitionRefused("wish", f"no wish is called {said.wish!r}", nearest(said.wish, known))
    _refuse_half_colour(said)


def _refuse_half_colour(said: RequestSaid) -> None:
    missing = [name for name in ("lightness", "a", "b") if getattr(said, name) is None]
    if 0 < len(missing) < 3:
        raise DefinitionRefused(missing[0], "a part of the colour is missing", "give L*, a* and b*, or none")


def _request(found: TrialRequest, *, ran: bool) -> RequestKnown:
    wanted = {one.purpose: one.pieces for one in found.wants.all()}
    same = ("name", "earliest", "due", "hours", "wish", "colour", "lightness", "a", "b", "resin")
    also = ("late_per_day", "needs_engineer", "starts_at", "asked_by", "note")
    return RequestKnown(
        tool=found.tool.code,
        tool_name=found.tool.name,
        purposes=tuple(
            WantKnown(purpose=one, pieces=wanted[one.value]) for one in TrialPurpose if one.value in wanted
        ),
        press=found.press.code if found.press else "",
        has_run=ran,
        cautions=tuple(_about_resin(found.resin)),
        **{name: getattr(found, name) for name in (*same, *also)},
    )


def _about_resin(resin: str) -> Iterator[Caution]:
    for one in unknown_resins(resin):
        yield Caution(
            f"{one} is no resin that is known: nobody can say what it may follow in a barrel. Write its "
            "code, such as ABS or POM, before it is planned."
        )


def _tool(programme: Programme, tool: Tool) -> ToolAsked:
    names = [*tool.trials.values_list("name", flat=True), *tool.requests.values_list("name", flat=True)]
    return ToolAsked(
        programme=programme.slug,
        programme_title=programme.title,
        invented=is_invented(programme),
        tool=tool.code,
        tool_name=tool.name,
        trials=tuple(dict.fromkeys(names)),
        next_name=_next_name(names),
    )


def _next_name(names: list[str]) -> str:
    """The name after the highest, where all count up by one letter: T0, T1 …; else nothing."""
    counted = [re.fullmatch(r"(\D*)(\d{1,6})", name) for name in names]
    if not names:
        return "T0"
    if not all(counted) or len({one[1] for one in counted if one}) > 1:
        return ""
    highest = max(int(one[2]) for one in counted if one)
    return f"{next(one[1] for one in counted if one)}{highest + 1}"


def _headline(requests: tuple[RequestKnown, ...]) -> str:
    waiting = [f"{one.tool} {one.name}" for one in requests if not one.has_run]
    if not waiting:
        return "No trial is asked for."
    if len(waiting) == 1:
        return f"One trial waits for its press: {waiting[0]}."
    return f"{len(waiting)} trials wait for a press: {', '.join(waiting[:-1])} and {waiting[-1]}."

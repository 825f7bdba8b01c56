"""The pages of a pilot: what it showed, what to do, why; and the list of all pilots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.pilot_hours_drawing import draw_pilot_hours
from offtool.reports.pilot_words import defects_title, pieces_in_words, ranking_in_words, shows_in_words
from offtool.steps.findings import Fact
from offtool.steps.judge_pilot import ON_THE_LINE
from offtool.steps.pilot_found import FileMissing, PilotFileSeen, PilotFound, PilotsFound
from offtool.steps.sentences import count, listed, sentence
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import AS_JSON, Frame
from offtool.web.pages.pilot_place import PilotPlace, action_row, place_of, place_of_all
from offtool.web.pages.pilot_why import (
    SAME,
    AuditRow,
    DefectRow,
    HalfRow,
    TimeRow,
    YieldRow,
    audit_rows,
    defect_rows,
    half_rows,
    time_rows,
    yield_rows,
)
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import MARK, ActionRow

WIDE = 560.0
"""Width of the drawings, in pixels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialLink:
    """A run from which parts came."""

    text: str
    href: str
    cut_since: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One sheet that was read, and the form that sets it aside."""

    key: int
    name: str
    what: str
    file: str
    file_href: str
    state: str
    form: Any
    """None where it is set aside already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingSheet:
    """A kind of sheet that was not read yet."""

    kind: str
    shows: str
    columns: str
    example: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotPage:
    """One pilot."""

    frame: Frame
    place: PilotPlace
    when: str
    headline: str
    mark: str
    verdict_says: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    trials: tuple[TrialLink, ...]
    on_the_line: Caution
    cautions: tuple[Caution, ...]
    rate_says: str
    pieces_say: str
    hours: SafeString | None
    waits: str
    yields: tuple[YieldRow, ...]
    defects: tuple[DefectRow, ...]
    defects_title: str
    defects_say: str
    times: tuple[TimeRow, ...]
    audits: tuple[AuditRow, ...]
    halves: tuple[HalfRow, ...]
    """Stations that changed from the first hour to the last."""
    same: tuple[HalfRow, ...]
    shows: tuple[str, ...]
    sheets: tuple[SheetRow, ...]
    missing: tuple[MissingSheet, ...]
    read: tuple[tuple[str, str], ...]
    """Each kind of sheet, and where one is read."""
    ramp_href: str
    run_href: str
    change_href: str
    report_href: str
    method: str


def pilot_page(
    found: PilotFound,
    kinds: tuple[str, ...],
    *,
    made_by: str = "",
    refused: Mapping[int, SetAsideForm] | None = None,
) -> PilotPage:
    """The page of a pilot; `refused` has the form of the sheet that could not be set aside."""
    place = place_of(found)
    drawn = draw_pilot_hours(found.hours_seen, found.planned_per_h, width=WIDE) if found.hours_seen else ""
    return PilotPage(
        frame=place.frame(as_json=AS_JSON),
        place=place,
        when=_when(found),
        headline=found.headline,
        mark=MARK[found.verdict],
        verdict_says=f"{found.pilot}, against all that is planned and asked: {found.verdict}",
        actions=tuple(action_row(one, place) for one in found.actions),
        facts=found.rests_on,
        trials=tuple(_trials(found)),
        on_the_line=with_capital(ON_THE_LINE),
        cautions=tuple(with_capital(one) for one in found.cautions if one != ON_THE_LINE),
        rate_says=sentence(found.rate.words) if found.rate is not None else "",
        pieces_say=sentence(pieces_in_words(found.balance)) if found.balance is not None else "",
        hours=mark_safe(drawn) if drawn else None,  # noqa: S308 our own drawing
        waits=_waits(found),
        yields=tuple(yield_rows(found)),
        defects=tuple(defect_rows(found)),
        defects_title=defects_title(found.defects),
        defects_say=ranking_in_words(found.defects) if found.defects is not None else "",
        times=tuple(time_rows(found)),
        audits=tuple(audit_rows(found, width=WIDE)),
        halves=tuple(one for one in half_rows(found) if one.mark != SAME),
        same=tuple(one for one in half_rows(found) if one.mark == SAME),
        shows=tuple(shows_in_words(found.shows)) if found.shows is not None else (),
        sheets=tuple(_sheet(one, place, made_by, refused or {}) for one in found.files),
        missing=tuple(_missing(one, place) for one in found.missing),
        read=tuple((kind, place.address("read_pilot_file", kind)) for kind in kinds),
        ramp_href=place.address("ramp"),
        run_href=reverse("run_line", args=[found.programme, found.line]),
        change_href=place.address("change_pilot"),
        report_href=place.address("pilot_report"),
        method=found.method,
    )


def _when(found: PilotFound) -> str:
    on = f", {words.day(found.ran_on)}" if found.ran_on is not None else ""
    return f"Pilot {found.pilot} of {found.line}{on}"


def _trials(found: PilotFound) -> list[TrialLink]:
    return [
        TrialLink(
            text=f"{one.tool} {one.trial}, state {one.state}",
            href=reverse("trial", args=[found.programme, one.tool, one.trial]),
            cut_since=one.cut_since,
        )
        for one in found.trials
    ]


def _waits(found: PilotFound) -> str:
    """Where pieces stood when it ended."""
    if not found.waits:
        return ""
    said = [f"{one.pieces} before {one.station}" for one in found.waits]
    return f"Waiting when it ended: {listed(said)}."


def _sheet(
    one: PilotFileSeen, place: PilotPlace, made_by: str, refused: Mapping[int, SetAsideForm]
) -> SheetRow:
    form = refused.get(one.file_id) or SetAsideForm(
        initial={"made_by": made_by}, auto_id=f"sheet{one.file_id}_%s"
    )
    read_by = f", read by {one.read_by}" if one.read_by else ""
    return SheetRow(
        key=one.file_id,
        name=f"{one.kind} {one.name}",
        what=f"{count(one.rows, 'row')}{read_by}" + (f". {one.note}" if one.note else ""),
        file=one.file,
        file_href=place.address("pilot_file", one.file_id),
        state=f"set aside: {one.set_aside}" if one.set_aside else "counts",
        form=None if one.set_aside else form,
    )


def _missing(one: FileMissing, place: PilotPlace) -> MissingSheet:
    return MissingSheet(
        kind=one.kind,
        shows=one.shows,
        columns=one.columns,
        example=one.example,
        href=place.address("read_pilot_file", one.kind),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotLine:
    """One pilot in the list."""

    name: str
    href: str
    what: str
    headline: str
    mark: str
    word: str
    next: ActionRow | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotsPage:
    """All pilots of a programme."""

    frame: Frame
    when: str
    headline: str
    pilots: tuple[PilotLine, ...]
    has_line: bool
    new_href: str
    line_href: str


def pilots_page(found: PilotsFound) -> PilotsPage:
    """The page of all pilots."""
    place = place_of_all(found)
    return PilotsPage(
        frame=place.frame(as_json=AS_JSON),
        when=f"{found.programme_title}, pilots of the line",
        headline=found.headline,
        pilots=tuple(map(_line, found.pilots)),
        has_line=bool(found.lines),
        new_href=reverse("new_pilot", args=[found.programme]),
        line_href=reverse("line_only", args=[found.programme]),
    )


def _line(found: PilotFound) -> PilotLine:
    place = place_of(found)
    href = place.address("pilot")
    on = words.day(found.ran_on) if found.ran_on is not None else "not run yet"
    return PilotLine(
        name=found.pilot,
        href=href,
        what=f"{found.line}, {on}",
        headline=found.headline,
        mark=MARK[found.verdict],
        word=str(found.verdict),
        next=action_row(found.actions[0], place, page=href) if found.actions else None,
    )

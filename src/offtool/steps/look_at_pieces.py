"""Look at pieces at the press: keep what was seen, and say what it shows over the trials of the tool."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.exchange.pictures import check_picture
from offtool.handbook.terms import LONGEST_NAME
from offtool.records.models import Look, Tool, Trial
from offtool.records.operations import NewFlaw, NewPhotograph, record_look, set_look_aside
from offtool.records.queries import (
    find_cavity,
    find_look,
    find_programme,
    find_tool,
    find_trial,
    latest_state,
)
from offtool.records.refusals import refusals_in_words
from offtool.steps.defect_list import defect_named
from offtool.steps.press_counts import place_key

MOST_PIECES = 1_000_000
MOST_SHOTS = 1_000_000_000
MOST_PHOTOGRAPHS = 12
"""Of one look: more say no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlawSeen:
    """A defect by its code or name; `pieces` is None for all that were looked at."""

    defect: str
    pieces: int | None = None
    place: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographTaken:
    """A photograph as it was sent; `shows` names the defect it shows, by code or name."""

    name: str
    content: bytes = field(repr=False)
    note: str = ""
    shows: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesLookedAt:
    """One look; without a flaw its pieces were looked at and had none."""

    cavity: str | None
    """None where nobody knows."""
    shot: int | None = None
    """None for pieces of several shots."""
    pieces: int = 1
    flaws: tuple[FlawSeen, ...] = ()
    photographs: tuple[PhotographTaken, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LooksKept:
    """What is in the record now."""

    programme: str
    tool: str
    trial: str
    state: str
    is_new_trial: bool
    looks: int
    pieces: int
    flaws: int
    photographs: int
    numbers: tuple[int, ...]


def look_at_pieces(
    programme: str,
    tool: str,
    trial: str,
    looks: Sequence[PiecesLookedAt],
    *,
    looked_at: datetime,
    looked_by: str = "",
    may_be_new: bool = False,
) -> LooksKept:
    """Keep looks at pieces of a trial, all or none.

    A trial that is not there is made on the tool's latest steel where `may_be_new`.

    Raises NotInRecord for an unknown programme, tool, trial, cavity or defect; PictureRefused for a file that
    is no photograph; OfftoolError for counts that cannot be, or a piece that was looked at before.
    """
    found = find_tool(find_programme(programme), tool)
    if not looks:
        raise OfftoolError("nothing was looked at", remedy="say what was seen, or that nothing was wrong")
    with transaction.atomic():
        is_new = may_be_new and not found.trials.filter(name=trial).exists()
        kept_trial = _new_trial(found, trial, looked_at) if is_new else find_trial(found, trial)
        kept = [_keep(kept_trial, one, looked_at, looked_by) for one in looks]
    return LooksKept(
        programme=programme,
        tool=tool,
        trial=kept_trial.name,
        state=kept_trial.state.label,
        is_new_trial=is_new,
        looks=len(kept),
        pieces=sum(one.pieces for one in looks),
        flaws=sum(len(one.flaws) for one in looks),
        photographs=sum(len(one.photographs) for one in looks),
        numbers=tuple(one.pk for one in kept),
    )


def _new_trial(tool: Tool, name: str, looked_at: datetime) -> Trial:
    """On the latest steel, and of this day: pieces are looked at while they are made."""
    state = latest_state(tool)
    if state is None:
        raise OfftoolError(f"tool {tool.code} has no state yet", remedy="add its first state, a")
    if len(name) > LONGEST_NAME:
        raise ImpossibleInput("trial", f"{name[:20]} …", "", f"at most {LONGEST_NAME} signs are kept")
    with refusals_in_words("trial"):
        return Trial.objects.create(tool=tool, name=name.strip(), state=state, shot_on=looked_at.date())


def _keep(trial: Trial, look: PiecesLookedAt, looked_at: datetime, looked_by: str) -> Look:
    _refuse_impossible(look)
    flaws = [_new_flaw(trial, look, one, looked_by) for one in look.flaws]
    names = [one.defect.code for one in flaws]
    return record_look(
        trial,
        find_cavity(trial.tool, look.cavity) if look.cavity is not None else None,
        look.shot,
        look.pieces,
        flaws,
        [_new_photograph(trial, one, names, looked_by) for one in look.photographs],
        look.note,
        looked_at=looked_at,
        looked_by=looked_by,
    )


def _refuse_impossible(look: PiecesLookedAt) -> None:
    if not 1 <= look.pieces <= MOST_PIECES:
        raise ImpossibleInput("pieces", look.pieces, "", f"must be 1 to {MOST_PIECES:,}", "count them again")
    if look.shot is not None and not 0 <= look.shot <= MOST_SHOTS:
        raise ImpossibleInput("shot", look.shot, "", f"must be 0 to {MOST_SHOTS:,}", "count from the start")
    if look.pieces > 1 and look.cavity is not None and look.shot is not None:
        one_each = "must be 1: a cavity gives one piece a shot"
        raise ImpossibleInput("pieces", look.pieces, "", one_each, "leave the shot away for several shots")
    if len(look.photographs) > MOST_PHOTOGRAPHS:
        most = f"must be at most {MOST_PHOTOGRAPHS}"
        raise ImpossibleInput("photographs", len(look.photographs), "", most, "choose the best")
    for one in look.flaws:
        if one.pieces is not None and not 1 <= one.pieces <= look.pieces:
            most = f"must be 1 to the {look.pieces} looked at"
            raise ImpossibleInput(f"pieces with {one.defect}", one.pieces, "", most, "count them again")


def _new_flaw(trial: Trial, look: PiecesLookedAt, flaw: FlawSeen, looked_by: str) -> NewFlaw:
    place = " ".join(flaw.place.split())
    twice = [
        one for one in look.flaws if (one.defect, place_key(one.place)) == (flaw.defect, place_key(place))
    ]
    if len(twice) > 1:
        at = f" at {place!r}" if place else ""
        raise OfftoolError(
            f"{flaw.defect}{at} is given twice", where="flaw", remedy="add the pieces up, or name two places"
        )
    return NewFlaw(
        defect=defect_named(trial.tool.programme, flaw.defect, made_by=looked_by),
        pieces=look.pieces if flaw.pieces is None else flaw.pieces,
        place=place,
        note=flaw.note,
    )


def _new_photograph(trial: Trial, taken: PhotographTaken, flaws: list[str], looked_by: str) -> NewPhotograph:
    picture = check_picture(taken.content, taken.name)
    of = None
    if taken.shows:
        code = defect_named(trial.tool.programme, taken.shows, made_by=looked_by).code
        if code not in flaws:
            raise OfftoolError(
                f"{taken.name} shows {code}, which is not among the flaws", remedy="give it too"
            )
        of = flaws.index(code)
    elif len(flaws) == 1:
        of = 0
    return NewPhotograph(
        name=taken.name,
        content=taken.content,
        media_type=picture.media_type,
        width=picture.width,
        height=picture.height,
        note=taken.note,
        of=of,
    )


def take_look_back(programme: str, tool: str, trial: str, number: int, *, reason: str, made_by: str) -> None:
    """Set a look aside: it no longer counts and stays to be seen with the reason.

    Raises NotInRecord for an unknown one, OfftoolError without a reason or for one set aside before.
    """
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    set_look_aside(find_look(found, number).look, reason, made_by)

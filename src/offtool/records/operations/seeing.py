"""Keeping what was seen at the press, and the list of defects that is looked for."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from offtool.core.values import OfftoolError
from offtool.handbook.defects import standard_defect
from offtool.handbook.terms import LONGEST_FILE_NAME, LONGEST_NAME, WeightClass
from offtool.records.acting import acting_as
from offtool.records.models import Cavity, Defect, Flaw, Look, Photograph, Programme, Trial
from offtool.records.plain import plain_text
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFlaw:
    """A defect seen on some pieces of a look."""

    defect: Defect
    pieces: int
    place: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPhotograph:
    """A picture that was checked; `of` is the place of its flaw among the flaws of the look."""

    name: str
    content: bytes = field(repr=False)
    media_type: str
    width: int
    height: int
    note: str = ""
    of: int | None = None


def record_look(
    trial: Trial,
    cavity: Cavity | None,
    shot_number: int | None,
    pieces: int,
    flaws: Sequence[NewFlaw],
    photographs: Sequence[NewPhotograph] = (),
    note: str = "",
    *,
    looked_at: datetime,
    looked_by: str,
) -> Look:
    """Keep one look with its flaws and photographs; without a flaw the pieces were seen to have none.

    Raises OfftoolError for a cavity of another tool, a defect of another programme, a flaw on more pieces
    than were looked at, the same defect twice at one place, or a second look at the piece that this cavity
    gave in this shot. Nothing is kept then.
    """
    with acting_as(looked_by), refusals_in_words(), transaction.atomic():
        # two phones at once look one after the other
        Trial.objects.select_for_update().get(pk=trial.pk)
        _refuse_second_look(trial, cavity, shot_number)
        look = Look.objects.create(
            trial=trial,
            cavity=cavity,
            shot_number=shot_number,
            pieces=pieces,
            note=plain_text(note),
            looked_at=looked_at,
            looked_by=plain_text(looked_by)[:LONGEST_NAME],
        )
        kept = [_keep_flaw(look, one) for one in flaws]
        for sha256, picture in {hashlib.sha256(one.content).hexdigest(): one for one in photographs}.items():
            Photograph.objects.create(
                look=look,
                flaw=kept[picture.of] if picture.of is not None else None,
                name=plain_text(picture.name)[:LONGEST_FILE_NAME] or "photograph",
                sha256=sha256,
                content=picture.content,
                media_type=picture.media_type,
                width=picture.width,
                height=picture.height,
                note=plain_text(picture.note),
            )
    return look


def _keep_flaw(look: Look, flaw: NewFlaw) -> Flaw:
    return Flaw.objects.create(
        look=look,
        defect=flaw.defect,
        pieces=flaw.pieces,
        place=plain_text(flaw.place)[:LONGEST_NAME],
        note=plain_text(flaw.note),
    )


def _refuse_second_look(trial: Trial, cavity: Cavity | None, shot_number: int | None) -> None:
    """A shot gives one piece of a cavity: counted twice, it would be two pieces of evidence."""
    if cavity is None or shot_number is None:
        return
    first = Look.objects.filter(trial=trial, cavity=cavity, shot_number=shot_number, set_aside="").first()
    if first is not None:
        by = f" by {first.looked_by}" if first.looked_by else ""
        raise OfftoolError(
            f"shot {shot_number} of cavity {cavity} was looked at before, "
            f"{first.looked_at:%Y-%m-%d %H:%M} UTC{by}",
            remedy="set that look aside first, or give another shot",
        )


def set_look_aside(look: Look, reason: str, made_by: str) -> Look:
    """A look that no longer counts; it stays in the record with the reason.

    Raises OfftoolError without a reason, or for a look that was set aside before.
    """
    reason = plain_text(reason).strip()
    if not reason:
        raise OfftoolError("no reason is given", where="reason", remedy="say why it no longer counts")
    with acting_as(made_by), transaction.atomic():
        kept = Look.objects.select_for_update().get(pk=look.pk)
        if kept.set_aside:
            raise OfftoolError(
                f"it was set aside before: {kept.set_aside}", where="look", remedy="nothing is left to do"
            )
        kept.set_aside = reason
        kept._change_reason = reason  # type: ignore[attr-defined]  # kept with the history
        kept.save(update_fields=["set_aside"])
    return kept


def keep_defect(
    programme: Programme,
    code: str,
    *,
    name: str,
    meaning: str,
    weight_class: WeightClass,
    is_listed: bool,
    made_by: str,
    reason: str = "",
) -> Defect:
    """Add a defect to the programme's list, rename it, or retire it; every state it was in is kept.

    Nothing is written where nothing changes. Raises OfftoolError for an empty code or name.
    """
    asked = {"name": plain_text(name), "meaning": plain_text(meaning), "weight_class": weight_class.value,
             "is_listed": is_listed}  # fmt: skip
    with acting_as(made_by), refusals_in_words(code), transaction.atomic():
        kept = Defect.objects.select_for_update().filter(programme=programme, code=code).first()
        was_listed = kept.is_listed if kept else standard_defect(code) is not None
        if kept is None:
            kept = Defect(programme=programme, code=plain_text(code))
        elif all(getattr(kept, field) == value for field, value in asked.items()):
            return kept
        for field_name, value in asked.items():
            setattr(kept, field_name, value)
        if is_listed != was_listed:
            kept.list_changes = {**kept.list_changes, timezone.now().isoformat(): is_listed}
        kept._change_reason = plain_text(reason)  # type: ignore[attr-defined]  # kept with the history
        kept.save()
    return kept

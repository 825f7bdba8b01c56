"""Keeping what was seen and measured on samples; nothing of it changes, it is set aside with a reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Max, Model

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.measured_colour import USUAL_OBSERVER, Illuminant
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import ColourBy
from offtool.records.acting import acting_as
from offtool.records.models import (
    Characteristic,
    Detail,
    Sample,
    SampleColour,
    SamplePart,
    SampleSize,
    SeenDetail,
    SeenSign,
)
from offtool.records.operations.defining import plain_columns
from offtool.records.plain import plain_text
from offtool.records.refusals import refusals_in_words

R = TypeVar("R", SeenDetail, SeenSign, SampleSize, SampleColour)

OBSERVATIONS: Mapping[str, type[SeenDetail | SeenSign | SampleSize | SampleColour]] = {
    "detail": SeenDetail,
    "sign": SeenSign,
    "size": SampleSize,
    "colour": SampleColour,
}
"""What an observation may be of, for setting one aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewColour:
    """A measured colour in CIELAB; `uncertainty_de` is its standard uncertainty as ΔE00."""

    lightness: float
    a: float
    b: float
    uncertainty_de: float
    by: ColourBy
    place: str = ""
    illuminant: Illuminant = Illuminant.D65
    observer: int = USUAL_OBSERVER
    clipped_share: float | None = None


def see_detail(
    sample_part: SamplePart,
    detail: Detail,
    *,
    is_there: bool,
    is_sure: bool = True,
    note: str = "",
    seen_at: datetime,
    seen_by: str,
) -> SeenDetail:
    """Keep that a detail was looked for on a part and is there, or is missing. Returns it as kept.

    Raises OfftoolError for a detail of another part.
    """
    told = {"sample_part": sample_part, "detail": detail, "is_there": is_there, "is_sure": is_sure}
    return _keep(SeenDetail, told, note, seen_at, seen_by)


def see_sign(
    sample: Sample,
    sign: str,
    outcome: str,
    *,
    sample_part: SamplePart | None = None,
    is_sure: bool = True,
    note: str = "",
    seen_at: datetime,
    seen_by: str,
) -> SeenSign:
    """Keep what a sign of the handbook showed, on the piece or on one of its parts. Returns it as kept.

    Raises OfftoolError for a sign or an outcome that the handbook does not have, or another sample's part.
    """
    refuse_unknown_outcome(sign, outcome)
    told = {"sample": sample, "sample_part": sample_part, "sign": sign, "outcome": outcome}
    return _keep(SeenSign, told | {"is_sure": is_sure}, note, seen_at, seen_by)


def measure_size(
    sample_part: SamplePart,
    characteristic: Characteristic,
    value: float,
    *,
    uncertainty: float | None = None,
    note: str = "",
    seen_at: datetime,
    seen_by: str,
) -> SampleSize:
    """Keep a size or a weight of a part, in the unit of the characteristic. Returns it as kept.

    Measured again by the same person at the same moment, it is a repeat. Raises OfftoolError for a
    characteristic of another part, or a value that cannot be.
    """
    told = {"sample_part": sample_part, "characteristic": characteristic}
    with transaction.atomic():
        repeat = _next_repeat(SampleSize, told, seen_at, seen_by)
        measured = {"value": value, "uncertainty": uncertainty, "repeat": repeat}
        return _keep(SampleSize, told | measured, note, seen_at, seen_by)


def measure_colour(
    sample_part: SamplePart, colour: NewColour, *, note: str = "", seen_at: datetime, seen_by: str
) -> SampleColour:
    """Keep the colour of a place on a part. Returns it as kept.

    Measured again at the same place and moment by the same person, it is a repeat. Raises OfftoolError for
    numbers that no colour has.
    """
    told = plain_columns({"sample_part": sample_part, "place": colour.place})
    measured = {
        "lightness": colour.lightness,
        "a": colour.a,
        "b": colour.b,
        "uncertainty_de": colour.uncertainty_de,
        "by": colour.by.value,
        "illuminant": colour.illuminant.value,
        "observer": colour.observer,
        "clipped_share": colour.clipped_share,
    }
    with transaction.atomic():
        repeat = _next_repeat(SampleColour, told, seen_at, seen_by)
        return _keep(SampleColour, told | measured | {"repeat": repeat}, note, seen_at, seen_by)


def set_observation_aside(kind: str, key: int, reason: str, *, sample: Sample, made_by: str) -> None:
    """Let an observation of a sample count no longer; it stays in the record with the reason.

    `kind` is one of OBSERVATIONS, `key` the observation's own. Raises OfftoolError without a reason, for one
    that is set aside already, and for one that this sample does not have.
    """
    reason = plain_text(reason).strip()
    if not reason:
        raise OfftoolError("no reason is given", where="reason", remedy="say why it no longer counts")
    model = OBSERVATIONS[kind]
    owner = {"sample": sample} if model is SeenSign else {"sample_part__sample": sample}
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        kept: Any = model._default_manager.select_for_update(of=("self",)).filter(pk=key, **owner).first()
        if kept is None:
            raise OfftoolError(
                f"sample {sample.number} has no such {kind}", remedy="choose one of those listed"
            )
        if kept.set_aside:
            raise OfftoolError(
                f"it was set aside before: {kept.set_aside}", where=kind, remedy="nothing is left to do"
            )
        kept.set_aside = reason
        kept._change_reason = reason
        kept.save(update_fields=["set_aside"])


def refuse_unknown_outcome(sign: str, outcome: str) -> None:
    """Raise OfftoolError unless the handbook has this sign and this outcome of it."""
    if sign not in SIGNS:
        raise OfftoolError(f"there is no sign {sign!r}", where="sign", remedy=nearest(sign, SIGNS))
    outcomes = SIGNS[sign].outcomes
    if outcome not in outcomes:
        raise OfftoolError(
            f"{sign} does not show {outcome!r}", where="outcome", remedy=nearest(outcome, outcomes)
        )


def _next_repeat(model: type[Model], told: Mapping[str, Any], seen_at: datetime, seen_by: str) -> int:
    """One more than was measured of the same by the same person at the same moment."""
    SamplePart.objects.select_for_update().get(pk=told["sample_part"].pk)  # one after the other
    who = plain_columns({"seen_by": seen_by})
    same = model._default_manager.filter(**told, **who, seen_at=seen_at)
    return int(same.aggregate(last=Max("repeat"))["last"] or 0) + 1


def _keep(model: type[R], told: Mapping[str, Any], note: str, seen_at: datetime, seen_by: str) -> R:
    said = plain_columns({"note": note, "seen_by": seen_by})
    with refusals_in_words(), acting_as(seen_by), transaction.atomic():
        kept: R = model._default_manager.create(**told, **said, seen_at=seen_at)
    return kept

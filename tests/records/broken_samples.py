"""Writes of samples, presses, builds and details that the database must refuse; the tests beside try them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.db import models

from offtool.records.models import Trial
from tests.records.example import NOON, Example, size_of
from tests.records.sampled import (
    build_of,
    build_part_of,
    colour_of,
    detail_of,
    holds_of,
    in_state_of,
    job_of,
    measured_of,
    picture_of,
    piece_of,
    press_of,
    sample_of,
    seen_detail_of,
    seen_sign_of,
    share_of,
    stage_name_of,
)

Write = Callable[[Example], object]


def updated(row: models.Model, **changed: Any) -> None:
    """Write past every model method."""
    type(row)._default_manager.filter(pk=row.pk).update(**changed)


def twice(make: Callable[..., object], *of: object, **given: object) -> None:
    make(*of, **given)
    make(*of, **given)


def trial_of(e: Example, **given: Any) -> Trial:
    return Trial.objects.create(**{"tool": e.tool, "name": "T2", "state": e.state} | given)


GUARDED: dict[str, Write] = {
    "guard_press_holds_programme": lambda e: holds_of(e, press=press_of(e, programme=e.other)),
    "guard_trial_interrupted": lambda e: updated(
        e.trial, interrupted=job_of(e, press=press_of(e, programme=e.other))
    ),
    "guard_build_part_programme": lambda e: build_part_of(e, build=build_of(e, programme=e.other)),
    "guard_detail_frozen": lambda e: updated(detail_of(e), part=e.limb),
    "guard_detail_in_state_tool": lambda e: in_state_of(e, state=e.state_2),
    "guard_sample_build": lambda e: sample_of(e, build=build_of(e, programme=e.other)),
    "guard_samplepart_frozen": lambda e: updated(piece_of(e), sample=sample_of(e)),
    "guard_sample_part_programme": lambda e: piece_of(e, part=e.other_part, tool=None, trial=None),
    "guard_sample_part_tool": lambda e: piece_of(e, tool=e.tool_2, trial=None),
    "guard_sample_part_cavity": lambda e: piece_of(e, cavity=e.limb_cavity),
    "guard_sample_part_state": lambda e: piece_of(e, state=e.state_2),
    "guard_sample_part_trial": lambda e: piece_of(e, trial=e.trial_2),
    "guard_sample_part_looked_at": lambda e: updated(measured_of(e).sample_part, part=e.limb),
    "guard_samplephotograph_kept": lambda e: updated(picture_of(e), note="the back"),
    "guard_sample_photograph_part": lambda e: picture_of(e, sample_part=piece_of(e)),
    "guard_seendetail_frozen": lambda e: updated(seen_detail_of(e), is_there=False),
    "guard_seen_detail_part": lambda e: seen_detail_of(e, detail=detail_of(e, part=e.limb)),
    "guard_seensign_frozen": lambda e: updated(seen_sign_of(e), outcome="loose parts"),
    "guard_seen_sign_part": lambda e: seen_sign_of(e, sample_part=piece_of(e)),
    "guard_samplesize_frozen": lambda e: updated(measured_of(e), value=4.0101),
    "guard_sample_size_part": lambda e: measured_of(e, characteristic=size_of(e.tail, number="9")),
    "guard_samplecolour_frozen": lambda e: updated(colour_of(e), lightness=51.0),
}
"""By guard: a write that it must refuse."""

_LATER = {"seen_at": NOON + timedelta(hours=1), "seen_by": "Bo", "note": "by lamplight"}

FROZEN: dict[str, tuple[Callable[[Example], models.Model], dict[str, Any]]] = {
    "seen detail": (seen_detail_of, {"is_there": False, "is_sure": False, **_LATER}),
    "seen sign": (seen_sign_of, {"sign": "paint", "outcome": "none", "is_sure": False, **_LATER}),
    "size of a sample": (measured_of, {"value": 4.0, "uncertainty": 0.01, "repeat": 2, **_LATER}),
    "colour of a sample": (
        colour_of,
        {
            "place": "back",
            "lightness": 51.0,
            "a": 0.0,
            "b": 0.0,
            "uncertainty_de": 1.0,
            "by": "photograph",
            "illuminant": "D50",
            "observer": 2,
            "clipped_share": 0.1,
            "repeat": 2,
            **_LATER,
        },
    ),
}
"""What was observed, and other values of every column that must stay."""

WRITES: dict[str, Callable[..., object]] = {
    "job": job_of,
    "build": build_of,
    "stage_name": stage_name_of,
    "sign_share": share_of,
    "sample_size": measured_of,
    "sample_colour": colour_of,
}
"""By table: a write of one row that holds, but for what is given."""

_SIDEWAYS = (-201.0, 201.0)

OUTSIDE: dict[str, tuple[float, ...]] = {
    "trial pieces": (0,),
    "trial lightness": (-1.0, 121.0),
    "trial a": _SIDEWAYS,
    "trial b": _SIDEWAYS,
    "trial colour_spread_de": (0.0, -1.0, 101.0),
    "job lightness": (-1.0, 121.0),
    "job a": _SIDEWAYS,
    "job b": _SIDEWAYS,
    "job spread_de": (0.0, -1.0, 101.0),
    "build pieces": (0,),
    "stage_name kept": (0.0, -0.1),
    "sign_share share": (-0.1, 1.1),
    "sample_size value": (2e9, -2e9),
    "sample_size uncertainty": (-0.001,),
    "sample_size repeat": (0,),
    "sample_colour lightness": (-1.0, 121.0),
    "sample_colour a": _SIDEWAYS,
    "sample_colour b": _SIDEWAYS,
    "sample_colour uncertainty_de": (0.0, -1.0, 101.0),
    "sample_colour clipped_share": (-0.1, 1.1),
    "sample_colour repeat": (0,),
}
"""By table and column: numbers just outside, or far."""

WHOLE = {"trial pieces", "build pieces", "sample_size repeat", "sample_colour repeat"}

BROKEN: dict[str, Write] = {
    "press_code_once": lambda e: twice(press_of, e, code="P3"),
    "press_code_filled": lambda e: press_of(e, code=""),
    "press_holds_once": lambda e: twice(holds_of, e, press=press_of(e)),
    "job_code_once": lambda e: twice(job_of, e, press=press_of(e)),
    "job_code_filled": lambda e: job_of(e, code=""),
    "job_colour_whole": lambda e: job_of(e, b=None),
    "job_illuminant_word": lambda e: job_of(e, illuminant="candle"),
    "job_observer_known": lambda e: job_of(e, observer=4),
    "job_days_in_order": lambda e: job_of(e, ends=date(2026, 1, 31)),
    "trial_stage_word": lambda e: trial_of(e, stage="pilot"),
    "trial_days_in_order": lambda e: trial_of(e, shot_on=date(2026, 3, 2), ended_on=date(2026, 3, 1)),
    "trial_colour_whole": lambda e: trial_of(e, lightness=50.0),
    "trial_spread_of_a_colour": lambda e: trial_of(e, colour_spread_de=0.5),
    "build_code_once": lambda e: twice(build_of, e, code="EP1"),
    "build_code_filled": lambda e: build_of(e, code=""),
    "build_stage_word": lambda e: build_of(e, stage="EP"),
    "build_part_once": lambda e: twice(build_part_of, e, build=build_of(e)),
    "stage_name_once": lambda e: twice(stage_name_of, e),
    "stage_name_stage_word": lambda e: stage_name_of(e, stage="T0"),
    "sign_share_once": lambda e: twice(share_of, e),
    "sign_share_sign_filled": lambda e: share_of(e, sign=""),
    "sign_share_outcome_filled": lambda e: share_of(e, outcome=""),
    "sign_share_stage_word": lambda e: share_of(e, stage="T0"),
    "detail_code_once": lambda e: twice(detail_of, e, code="vent"),
    "detail_code_filled": lambda e: detail_of(e, code=""),
    "detail_kind_word": lambda e: detail_of(e, kind="vanishes"),
    "detail_in_state_once": lambda e: twice(in_state_of, e, detail=detail_of(e)),
    "sample_number_once": lambda e: twice(sample_of, e, number="S"),
    "sample_number_filled": lambda e: sample_of(e, number=""),
    "sample_part_label_once": lambda e: twice(piece_of, e, sample=sample_of(e)),
    "sample_part_label_filled": lambda e: piece_of(e, label=""),
    "sample_part_tool_named": lambda e: piece_of(e, tool=None),
    "sample_photograph_once": lambda e: twice(picture_of, e, sample=sample_of(e), sha256="f" * 64),
    "sample_photograph_name_filled": lambda e: picture_of(e, name=""),
    "sample_photograph_media_type_word": lambda e: picture_of(e, media_type="image/tiff"),
    "sample_photograph_has_pixels": lambda e: picture_of(e, width=0),
    "seen_detail_once": lambda e: twice(seen_detail_of, e, sample_part=piece_of(e), detail=detail_of(e)),
    "seen_sign_once": lambda e: twice(seen_sign_of, e, sample=sample_of(e)),
    "seen_sign_on_part_once": lambda e: _sign_twice_on(piece_of(e), e),
    "seen_sign_sign_filled": lambda e: seen_sign_of(e, sign=""),
    "seen_sign_outcome_filled": lambda e: seen_sign_of(e, outcome=""),
    "sample_size_once": lambda e: twice(measured_of, e, sample_part=piece_of(e)),
    "sample_colour_once": lambda e: twice(colour_of, e, sample_part=piece_of(e)),
    "sample_colour_by_word": lambda e: colour_of(e, by="eye"),
    "sample_colour_illuminant_word": lambda e: colour_of(e, illuminant="candle"),
    "sample_colour_observer_known": lambda e: colour_of(e, observer=4),
}
"""By constraint: a write that breaks it and no other."""


def _sign_twice_on(piece: Any, e: Example) -> None:
    twice(seen_sign_of, e, sample=piece.sample, sample_part=piece)

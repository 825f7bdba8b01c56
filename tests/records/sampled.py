"""Samples of the small invented product and what they are told apart by, one row at a time, for tests."""

from __future__ import annotations

from datetime import date
from itertools import count
from typing import Any

from offtool.records.models import (
    Build,
    BuildPart,
    Detail,
    DetailInState,
    Job,
    Press,
    PressHolds,
    Sample,
    SampleColour,
    SamplePart,
    SamplePhotograph,
    SampleSize,
    SeenDetail,
    SeenSign,
    SignShare,
    StageName,
)
from tests.records.example import NOON, Example

_number = count(1)

SEEN = {"seen_at": NOON, "seen_by": "Ada"}


def press_of(e: Example, **changed: Any) -> Press:
    """A press with a code of its own."""
    return Press.objects.create(**{"programme": e.programme, "code": f"P{next(_number)}"} | changed)


def holds_of(e: Example, **changed: Any) -> PressHolds:
    """A press of its own that can hold the first tool."""
    told = {"tool": e.tool} | changed
    return PressHolds.objects.create(**{"press": told.get("press") or press_of(e)} | told)


def job_of(e: Example, **changed: Any) -> Job:
    """A job on a press of its own, in a colour."""
    told = {"code": "J1", "begins": date(2026, 2, 1), "lightness": 50.0, "a": 1.0, "b": -2.0} | changed
    return Job.objects.create(**{"press": told.get("press") or press_of(e)} | told)


def build_of(e: Example, **changed: Any) -> Build:
    """A build with a code of its own."""
    told = {"programme": e.programme, "code": f"EP{next(_number)}", "stage": "engineering build"} | changed
    return Build.objects.create(**told)


def build_part_of(e: Example, **changed: Any) -> BuildPart:
    """A build of its own that took parts from the first trial."""
    told = {"trial": e.trial} | changed
    return BuildPart.objects.create(**{"build": told.get("build") or build_of(e)} | told)


def stage_name_of(e: Example, **changed: Any) -> StageName:
    """The programme's word for the first shots."""
    return StageName.objects.create(**{"programme": e.programme, "stage": "first shots"} | changed)


def share_of(e: Example, **changed: Any) -> SignShare:
    """How often the programme meets a welded seam at first shots."""
    told = {"programme": e.programme, "sign": "seam", "outcome": "welded", "stage": "first shots"}
    return SignShare.objects.create(**told | {"share": 0.1} | changed)


def detail_of(e: Example, **changed: Any) -> Detail:
    """A detail of the body with a code of its own."""
    return Detail.objects.create(**{"part": e.body, "code": f"vent-{next(_number)}"} | changed)


def in_state_of(e: Example, **changed: Any) -> DetailInState:
    """A detail of its own that the first state makes."""
    told = {"state": e.state, "is_there": True} | changed
    return DetailInState.objects.create(**{"detail": told.get("detail") or detail_of(e)} | told)


def sample_of(e: Example, **changed: Any) -> Sample:
    """A sample with a number of its own."""
    told = {"programme": e.programme, "number": f"S{next(_number)}", "registered_at": NOON} | changed
    return Sample.objects.create(**told)


def piece_of(e: Example, **changed: Any) -> SamplePart:
    """The body of a sample of its own, tagged."""
    told = {"part": e.body, "label": "body", "tool": e.tool, "trial": e.trial} | changed
    return SamplePart.objects.create(**{"sample": told.get("sample") or sample_of(e)} | told)


def picture_of(e: Example, **changed: Any) -> SamplePhotograph:
    """A picture of a sample of its own."""
    told = {
        "name": "body.png",
        "sha256": f"{next(_number):064x}",
        "content": b"x",
        "media_type": "image/png",
        "width": 4,
        "height": 3,
        "added_at": NOON,
    } | changed
    return SamplePhotograph.objects.create(**{"sample": told.get("sample") or sample_of(e)} | told)


def seen_detail_of(e: Example, **changed: Any) -> SeenDetail:
    """A detail that is there on a piece of its own."""
    told = {"is_there": True, **SEEN} | changed
    owner = {"sample_part": told.get("sample_part") or piece_of(e)}
    return SeenDetail.objects.create(**owner | {"detail": told.get("detail") or detail_of(e)} | told)


def seen_sign_of(e: Example, **changed: Any) -> SeenSign:
    """A welded seam on a sample of its own."""
    told = {"sign": "seam", "outcome": "welded", **SEEN} | changed
    return SeenSign.objects.create(**{"sample": told.get("sample") or sample_of(e)} | told)


def measured_of(e: Example, **changed: Any) -> SampleSize:
    """The bore of a piece of its own."""
    told = {"characteristic": e.bore, "value": 4.01, **SEEN} | changed
    return SampleSize.objects.create(**{"sample_part": told.get("sample_part") or piece_of(e)} | told)


def colour_of(e: Example, **changed: Any) -> SampleColour:
    """The colour of a piece of its own."""
    told = {"lightness": 50.0, "a": 1.0, "b": 2.0, "uncertainty_de": 0.5, "by": "instrument"}
    told = told | SEEN | changed
    return SampleColour.objects.create(**{"sample_part": told.get("sample_part") or piece_of(e)} | told)

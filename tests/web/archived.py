"""The small otter with an archive: two states of steel, details, jobs, a build, and a piece without a tag."""

from __future__ import annotations

from datetime import date
from typing import Any

from offtool.handbook.terms import ColourBy, DetailKind, Stage
from offtool.records.models import Cavity, Part, Tool, ToolState, Trial
from offtool.records.operations import (
    NewColour,
    define_build,
    define_detail,
    define_job,
    define_press,
)
from offtool.steps.keep_sample import (
    PartSaid,
    SampleSaid,
    look_for_detail_on,
    look_for_sign_on,
    measure_colour_on,
    photograph_sample,
    register_sample,
)
from tests.exchange.test_pictures import photograph
from tests.web import otter

SAMPLES = f"/p/{otter.SLUG}/samples/"
NUMBER = "0417"
SAMPLE = f"{SAMPLES}{NUMBER}/"
TOLD: dict[str, Any] = {"at": otter.NOW, "by": "archive"}
ORANGE, MINT = (62.0, 46.0, 58.0), (80.0, -24.0, 9.0)


def make_ground(tool: Tool) -> None:
    """An arm from the same tool, a second state and its trial, and what pieces are told apart by."""
    torso = Part.objects.select_related("programme", "resin").get(code="HO-02")
    programme = torso.programme
    arm = Part.objects.create(programme=programme, code="HO-04", name="Arm", resin=torso.resin)
    Cavity.objects.create(tool=tool, part=arm, label="5")
    first = ToolState.objects.get(tool=tool)
    second = ToolState.objects.create(tool=tool, label="b", ordinal=2, made_on=date(2026, 3, 20))
    trial = Trial.objects.create(tool=tool, name="T2", state=second, shot_on=date(2026, 3, 28))
    columns = {"code": "date-mark", "name": "date mark", "where": "inside, with a lens"}
    define_detail(torso, columns, {first: False, second: True}, made_by="x")
    columns = {"code": "vent", "kind": DetailKind.COMES_AND_GOES.value}
    define_detail(arm, columns, {first: True, second: False}, made_by="x")
    press = define_press(programme, {"code": "P6"}, [tool], made_by="x")
    for code, colour, lab, begins in (
        ("J1", "orange", ORANGE, date(2026, 3, 1)),
        ("J2", "mint", MINT, date(2026, 3, 25)),
    ):
        names = dict(zip(("lightness", "a", "b"), lab, strict=True))
        job = {"code": code, "product": "tug boat", "colour": colour, "begins": begins, **names}
        define_job(
            press, job | {"ends": date(2026, 3, begins.day + 6 if begins.day < 20 else 31)}, made_by="x"
        )
    build = {"code": "EP1", "stage": Stage.ENGINEERING.value, "pieces": 12}
    define_build(programme, build, [trial], made_by="x")


def make_archive(tool: Tool) -> None:
    """The ground, and the piece: torso and two arms, looked at, measured, photographed."""
    make_ground(tool)
    parts = (
        PartSaid(part="HO-02", label="torso"),
        *(PartSaid(part="HO-04", label=f"{side} arm") for side in SIDES),
    )
    register_sample(otter.SLUG, piece(parts=parts), **TOLD)
    look_for_detail_on(otter.SLUG, NUMBER, "torso", "date-mark", is_there=False, is_sure=False, **TOLD)
    look_for_sign_on(otter.SLUG, NUMBER, "paint", "none", **TOLD)
    measure_colour_on(otter.SLUG, NUMBER, "torso", colour(ORANGE), **TOLD)
    photograph_sample(otter.SLUG, NUMBER, photograph(size=(900, 600)), "bag.jpg", note="in its bag", **TOLD)


SIDES = ("left", "right")


def piece(**changed: Any) -> SampleSaid:
    """An otter from drawer C4 with nothing on its tag."""
    given: dict[str, Any] = {
        "number": NUMBER,
        "name": "otter without paint",
        "place": "drawer C4",
        "holder": "archive",
        "purpose": "to be told",
    } | changed
    return SampleSaid(**given)


def colour(lab: tuple[float, float, float]) -> NewColour:
    """A colour by an instrument."""
    lightness, a, b = lab
    return NewColour(lightness=lightness, a=a, b=b, uncertainty_de=0.5, by=ColourBy.INSTRUMENT, place="back")

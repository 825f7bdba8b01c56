"""The shop that the otter's tools go to: presses in numbers, what runs on them, who is there, what waits.

All invented, the products too. From 2026-03-23 on it is the future: the third trials were run and measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from examples.otter_story.colour_changes import WATCHED, keep_watched
from examples.otter_story.programme import SLUG
from examples.otter_story.samples import BROWN, TEAL, YELLOW, Lab
from examples.otter_story.shapes import SHAPES, otter_meshes

from offtool.handbook.terms import ColourWish, LengthUnit, MeshKind, TrialPurpose
from offtool.records.operations import (
    MeshNew,
    ask_trial,
    define_job,
    define_press,
    define_tool_size,
    keep_mesh,
    say_engineers,
    say_press_off,
)
from offtool.records.queries import find_press, find_programme, find_tool

PLANNER = "planning"
CURRENCY = "USD"
PRICES = {"ABS": 2.4, "POM": 2.9}
"""Of a kg, in the invented shop."""

SHEETS: dict[str, dict[str, float | str]] = {
    "80 t, no. 9": {
        "clamp_kn": 785.0,
        "barrel_g": 113.0,
        "screw_mm": 32.0,
        "tie_bars_wide_mm": 360.0,
        "tie_bars_high_mm": 360.0,
        "mould_least_mm": 150.0,
        "mould_most_mm": 380.0,
        "opening_mm": 320.0,
        "daylight_mm": 700.0,
        "ejector_mm": 80.0,
        "dry_cycle_s": 1.8,
        "per_hour": 24.0,
        "works_from_h": 6.0,
        "works_to_h": 22.0,
        "workdays": "Mon Tue Wed Thu Fri",
    },
    "120 t, no. 2": {
        "clamp_kn": 1177.0,
        "barrel_g": 180.0,
        "screw_mm": 38.0,
        "tie_bars_wide_mm": 410.0,
        "tie_bars_high_mm": 410.0,
        "mould_least_mm": 170.0,
        "mould_most_mm": 430.0,
        "opening_mm": 360.0,
        "daylight_mm": 790.0,
        "ejector_mm": 100.0,
        "dry_cycle_s": 2.1,
        "per_hour": 29.0,
        "workdays": "",
    },
    "150 t, no. 4": {
        "clamp_kn": 1471.0,
        "barrel_g": 254.0,
        "screw_mm": 42.0,
        "tie_bars_wide_mm": 460.0,
        "tie_bars_high_mm": 460.0,
        "mould_least_mm": 180.0,
        "mould_most_mm": 480.0,
        "opening_mm": 410.0,
        "daylight_mm": 890.0,
        "ejector_mm": 120.0,
        "dry_cycle_s": 2.4,
        "per_hour": 34.0,
        "works_from_h": 6.0,
        "works_to_h": 22.0,
        "workdays": "Mon Tue Wed Thu Fri Sat",
    },
}
"""Each press as its invented sheet says; the second one runs round the clock."""

TOOLS: dict[str, dict[str, float | str]] = {
    "M1": {
        "wide_mm": 346.0,
        "high_mm": 396.0,
        "thick_mm": 281.0,
        "opening_mm": 260.0,
        "ejector_mm": 45.0,
        "feed": "hot runner",
        "runner_g": 0.0,
        "runner_cm2": 0.0,
        "hot_runner_cm3": 22.0,
        "setup_h": 0.9,
    },
    "M2": {
        "wide_mm": 346.0,
        "high_mm": 346.0,
        "thick_mm": 261.0,
        "opening_mm": 240.0,
        "ejector_mm": 40.0,
        "feed": "cold runner",
        "runner_g": 5.2,
        "runner_cm2": 8.0,
        "hot_runner_cm3": 0.0,
        "setup_h": 0.75,
    },
    "M3": {
        "wide_mm": 296.0,
        "high_mm": 346.0,
        "thick_mm": 231.0,
        "opening_mm": 200.0,
        "ejector_mm": 30.0,
        "feed": "cold runner",
        "runner_g": 3.4,
        "runner_cm2": 5.5,
        "hot_runner_cm3": 0.0,
    },
}
"""Each tool as measured before it hung in a press; nobody wrote down how long M3 takes to set up."""

SEA_GREEN, MOSS, WHITE, CORAL = (
    (52.0, -34.0, 12.0),
    (46.0, -14.0, 30.0),
    (93.0, -0.6, 2.4),
    (66.0, 40.0, 30.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """Production of an invented product that a trial may meet; None for what nobody has said."""

    press: str
    code: str
    product: str
    what: str
    resin: str
    colour: str
    lab: Lab
    begins: date
    ends: date
    may_stop: bool | None
    margin_per_h: float | None
    restart_min: float | None


RUNNING = (
    Running(
        press="80 t, no. 9",
        code="J-341",
        product="harbour crane",
        what="hook",
        resin="ABS",
        colour="coral",
        lab=CORAL,
        begins=date(2026, 3, 20),
        ends=date(2026, 3, 27),
        may_stop=True,
        margin_per_h=31.0,
        restart_min=12.0,
    ),
    # POM must never meet this one without a full purge: the arms' trial comes before it, or waits until after
    Running(
        press="80 t, no. 9",
        code="J-352",
        product="squeaking gull",
        what="body",
        resin="PVC-P",
        colour="white",
        lab=WHITE,
        begins=date(2026, 3, 30),
        ends=date(2026, 4, 10),
        may_stop=False,
        margin_per_h=44.0,
        restart_min=25.0,
    ),
    Running(
        press="120 t, no. 2",
        code="J-338",
        product="sand scoop",
        what="scoop",
        resin="ABS",
        colour="yellow",
        lab=YELLOW,
        begins=date(2026, 3, 19),
        ends=date(2026, 4, 4),
        may_stop=True,
        margin_per_h=55.0,
        restart_min=15.0,
    ),
    Running(
        press="120 t, no. 2",
        code="J-349",
        product="garden pail",
        what="pail",
        resin="PP",
        colour="sea green",
        lab=SEA_GREEN,
        begins=date(2026, 4, 6),
        ends=date(2026, 4, 17),
        may_stop=False,
        margin_per_h=72.0,
        restart_min=20.0,
    ),
    Running(
        press="150 t, no. 4",
        code="J-344",
        product="rocking snail",
        what="shell",
        resin="ABS",
        colour="moss green",
        lab=MOSS,
        begins=date(2026, 3, 18),
        ends=date(2026, 4, 1),
        may_stop=False,
        margin_per_h=90.0,
        restart_min=15.0,
    ),
    Running(
        press="150 t, no. 4",
        code="J-355",
        product="bath tugboat",
        what="hull",
        resin="ABS",
        colour="teal",
        lab=TEAL,
        begins=date(2026, 4, 8),
        ends=date(2026, 4, 24),
        may_stop=None,
        margin_per_h=None,
        restart_min=None,
    ),
)
"""They begin after the third trials: no piece of the story is from a trial that came between them."""

THERE = {3: (24, 25, 26, 27, 30, 31), 4: (1, 2, 7, 8, 9)}
"""By month, the days on which the product's engineer is at the shop, 8 to 17."""
OFF = (
    "120 t, no. 2",
    datetime(2026, 3, 25, 6, tzinfo=UTC),
    datetime(2026, 3, 25, 12, tzinfo=UTC),
    "check ring",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A trial that is asked for."""

    tool: str
    name: str
    purposes: dict[TrialPurpose, int | None]
    earliest: date
    due: date
    late_per_day: float
    wish: ColourWish
    note: str


WAITING = (
    Waiting(
        tool="M3",
        name="T4",
        purposes={TrialPurpose.SIZES: None, TrialPurpose.ASSEMBLY: None},
        earliest=date(2026, 3, 25),
        due=date(2026, 4, 3),
        late_per_day=250.0,
        wish=ColourWish.ANY,
        note="arms in new fronts: the shoulder decides",
    ),
    Waiting(
        tool="M1",
        name="T4",
        purposes={TrialPurpose.SIZES: None, TrialPurpose.WELDING: None, TrialPurpose.KEEP: None},
        earliest=date(2026, 3, 30),
        due=date(2026, 4, 10),
        late_per_day=250.0,
        wish=ColourWish.THIS,
        note="first shots with the crest; the seam is welded anew",
    ),
    Waiting(
        tool="M2",
        name="T4",
        purposes={TrialPurpose.SIZES: None, TrialPurpose.FIRST_LOOK: None},
        earliest=date(2026, 3, 26),
        due=date(2026, 4, 8),
        late_per_day=120.0,
        wish=ColourWish.LIGHT,
        note="sinks at the tail's root are to be seen",
    ),
)


READ_AT = datetime(2026, 3, 20, 14, tzinfo=UTC)


def plan_ahead() -> None:
    """Write down the shop, what is known of its washouts and of the parts, and what waits."""
    programme = find_programme(SLUG)
    programme.currency = CURRENCY
    programme.save()
    for resin in programme.resins.filter(code__in=PRICES):
        resin.price_per_kg = PRICES[resin.code]
        resin.save()
    for code, sheet in SHEETS.items():
        define_press(programme, sheet, made_by=PLANNER, press=find_press(programme, code))
    for code, numbers in TOOLS.items():
        define_tool_size(find_tool(programme, code), numbers, made_by=PLANNER)
    for job in RUNNING:
        define_job(find_press(programme, job.press), _job(job), made_by=PLANNER)
    _times()
    _shapes()
    for number, watched in enumerate(WATCHED):
        keep_watched(watched, READ_AT + timedelta(minutes=20 + number), PLANNER)
    for waiting in WAITING:
        _ask(waiting)


def _job(one: Running) -> dict[str, Any]:
    lightness, a, b = one.lab
    same = ("code", "product", "what", "resin", "colour", "begins", "ends")
    also = ("may_stop", "margin_per_h", "restart_min")
    told = {name: getattr(one, name) for name in (*same, *also)}
    return {**told, "lightness": lightness, "a": a, "b": b, "note": "an invented product"}


def _times() -> None:
    """When the engineer is there and when a press stands."""
    programme = find_programme(SLUG)
    for month, day in ((month, day) for month, days in THERE.items() for day in days):
        begins, ends = (datetime(2026, month, day, hour, tzinfo=UTC) for hour in (8, 17))
        say_engineers(programme, begins, ends, who="product engineer", made_by=PLANNER)
    press, begins, ends, why = OFF
    say_press_off(find_press(programme, press), begins, ends, why=why, made_by=PLANNER)


def _shapes() -> None:
    programme = find_programme(SLUG)
    files = otter_meshes()
    for number, shape in enumerate(SHAPES):
        new = MeshNew(
            file_name=shape.file_name,
            content=files[shape.file_name],
            kind=MeshKind.STL,
            unit=LengthUnit.MM,
            axis=shape.direction,
            note="an invented shape, near the drawing",
        )
        part = programme.parts.get(code=shape.part)
        keep_mesh(part, new, read_at=READ_AT + timedelta(minutes=number), read_by=PLANNER)


def _ask(one: Waiting) -> None:
    lightness, a, b = BROWN
    columns = {
        "name": one.name,
        "earliest": one.earliest,
        "due": one.due,
        "late_per_day": one.late_per_day,
        "wish": one.wish.value,
        "colour": "otter brown",
        "lightness": lightness,
        "a": a,
        "b": b,
        "asked_by": "product engineer",
        "note": one.note,
    }
    ask_trial(find_tool(find_programme(SLUG), one.tool), columns, one.purposes, made_by=PLANNER)

"""Writes of what is planned that the database must refuse; the tests beside try them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.db import models

from offtool.records.models import Tool
from tests.records.broken_samples import Write, twice, updated
from tests.records.example import NOON, Example
from tests.records.planned import (
    change_of,
    colour_shot_of,
    engineers_of,
    mesh_of,
    press_off_of,
    request_of,
    want_of,
)
from tests.records.sampled import press_of

GUARDED: dict[str, Write] = {
    "guard_partmesh_frozen": lambda e: updated(mesh_of(e), unit="in"),
    "guard_colourshot_kept": lambda e: updated(colour_shot_of(e), lightness=51.0),
    "guard_colourchange_frozen": lambda e: updated(change_of(e), name="C0"),
    "guard_colour_change_tool": lambda e: change_of(e, press=press_of(e, programme=e.other)),
    "guard_trial_request_press": lambda e: request_of(
        e, press=press_of(e, programme=e.other), starts_at=NOON
    ),
}
"""By guard: a write that it must refuse."""

OTHER_LAB = {"lightness": 25.0, "a": 1.5, "b": 1.5}

FROZEN: dict[str, tuple[Callable[[Example], models.Model], dict[str, Any]]] = {
    "colour change": (
        change_of,
        {
            "tool": None,
            "name": "C0",
            "done_on": NOON.date(),
            "resin": "PP",
            "shot_g": 26.0,
            "purge_kg": 0.5,
            "illuminant": "D50",
            "observer": 2,
            "from_name": "black",
            "to_name": "mint",
            **{f"{end}_{axis}": value for end in ("from", "to") for axis, value in OTHER_LAB.items()},
            "file_name": "other.csv",
            "sha256": "f" * 64,
            "content": b"y",
            "read_at": NOON + timedelta(hours=1),
            "read_by": "Bo",
        },
    ),
}
"""What was measured, and other values of every column that must stay."""

WRITES: dict[str, Callable[..., object]] = {
    "press": press_of,
    "part_mesh": mesh_of,
    "colour_change": change_of,
    "colour_shot": colour_shot_of,
    "trial_request": lambda e, **bad: request_of(e, **{"lightness": 50.0, "a": 1.0, "b": 2.0} | bad),
    "trial_want": want_of,
}
"""By table: a write of one row that holds, but for what is given."""

_ABOVE_0, _FROM_0, _HOUR = (0.0, -1.0), (-0.5,), (-1.0, 24.5)
_LIGHTNESS, _SIDEWAYS, _AXIS = (-0.5, 121.0), (-201.0, 201.0), (-1.5, 1.5)

OUTSIDE: dict[str, tuple[float, ...]] = {
    "resin price_per_kg": _FROM_0,
    **{f"tool {name}_mm": _ABOVE_0 for name in ("wide", "high", "thick", "opening")},
    "tool cavity_pressure_mpa": _ABOVE_0,
    **{f"tool {name}": _FROM_0 for name in ("ejector_mm", "runner_g", "runner_cm2")},
    **{f"tool {name}": _FROM_0 for name in ("hot_runner_cm3", "setup_h")},
    **{f"press {name}": _ABOVE_0 for name in ("clamp_kn", "barrel_g", "screw_mm", "dry_cycle_s")},
    **{f"press tie_bars_{name}_mm": _ABOVE_0 for name in ("wide", "high")},
    **{f"press {name}_mm": _ABOVE_0 for name in ("mould_most", "opening", "daylight", "ejector")},
    **{f"press {name}": _FROM_0 for name in ("mould_least_mm", "per_hour")},
    "press works_from_h": _HOUR,
    "press works_to_h": _HOUR,
    "job margin_per_h": _FROM_0,
    "job restart_min": _FROM_0,
    **{f"part_mesh axis_{axis}": _AXIS for axis in "xyz"},
    **{f"colour_change {end}_lightness": _LIGHTNESS for end in ("from", "to")},
    **{f"colour_change {end}_{axis}": _SIDEWAYS for end in ("from", "to") for axis in "ab"},
    "colour_change shot_g": _ABOVE_0,
    "colour_change purge_kg": _FROM_0,
    "colour_shot number": (0,),
    "colour_shot lightness": _LIGHTNESS,
    "colour_shot a": _SIDEWAYS,
    "colour_shot b": _SIDEWAYS,
    "trial_request hours": (0.0, -1.0, 1001.0),
    "trial_request lightness": _LIGHTNESS,
    "trial_request a": _SIDEWAYS,
    "trial_request b": _SIDEWAYS,
    "trial_request late_per_day": _FROM_0,
    "trial_want pieces": (0, 1_000_001),
}
"""By table and column: numbers just outside, or far."""

WHOLE = {"colour_shot number", "trial_want pieces"}

_EARLIER = {"begins_at": NOON, "ends_at": NOON}

BROKEN: dict[str, Write] = {
    "tool_feed_word": lambda e: Tool.objects.create(programme=e.programme, code="x", feed="a funnel"),
    "press_hours_in_order": lambda e: press_of(e, works_from_h=22.0, works_to_h=6.0),
    "press_moulds_in_order": lambda e: press_of(e, mould_least_mm=300.0, mould_most_mm=200.0),
    "part_mesh_once": lambda e: twice(mesh_of, e, read_at=NOON),
    "part_mesh_file_name_filled": lambda e: mesh_of(e, file_name=""),
    "part_mesh_kind_word": lambda e: mesh_of(e, kind="JPG"),
    "part_mesh_unit_word": lambda e: mesh_of(e, unit="feet"),
    "part_mesh_has_direction": lambda e: mesh_of(e, axis_z=0.0),
    "colour_change_once": lambda e: twice(change_of, e, press=press_of(e), name="C"),
    "colour_change_name_filled": lambda e: change_of(e, name=""),
    "colour_change_file_name_filled": lambda e: change_of(e, file_name=""),
    "colour_change_illuminant_word": lambda e: change_of(e, illuminant="candle"),
    "colour_change_observer_known": lambda e: change_of(e, observer=5),
    "colour_shot_once": lambda e: twice(colour_shot_of, e, change=change_of(e)),
    "press_off_once": lambda e: twice(press_off_of, e, press=press_of(e)),
    "press_off_times_in_order": lambda e: press_off_of(e, **_EARLIER),
    "engineers_there_once": lambda e: twice(engineers_of, e, who="Ada"),
    "engineers_there_times_in_order": lambda e: engineers_of(e, **_EARLIER),
    "trial_request_once": lambda e: twice(request_of, e, name="T4"),
    "trial_request_name_filled": lambda e: request_of(e, name=""),
    "trial_request_days_in_order": lambda e: request_of(e, earliest=date(2026, 4, 2), due=date(2026, 4, 1)),
    "trial_request_wish_word": lambda e: request_of(e, wish="mauve"),
    "trial_request_colour_whole": lambda e: request_of(e, lightness=50.0),
    "trial_request_slot_whole": lambda e: request_of(e, starts_at=NOON),
    "trial_want_once": lambda e: twice(want_of, e, request=request_of(e)),
    "trial_want_purpose_word": lambda e: want_of(e, purpose="fun"),
}
"""By constraint: a write that breaks it and no other."""

"""What the database refuses of planning: changes of what was measured, and rows of two programmes."""

from __future__ import annotations

from offtool.records.guard_kinds import frozen, never_updated, together, value_of

_TOOL_PROGRAMME = value_of("tool", "programme_id", "tool_id")
_PRESS_PROGRAMME = value_of("press", "programme_id", "press_id")

PLANNING_GUARDS = (
    frozen(
        "partmesh",
        "the shape of a part as it came",
        *("part_id", "file_name", "sha256", "content", "size", "kind", "unit"),
        *("axis_x", "axis_y", "axis_z", "read_at", "read_by"),
    ),
    never_updated("colourshot", "a shot of a colour change"),
    frozen(
        "colourchange",
        "what a colour change measured",
        *("press_id", "tool_id", "name", "done_on", "resin", "shot_g", "purge_kg", "illuminant", "observer"),
        *("from_name", "from_lightness", "from_a", "from_b", "to_name", "to_lightness", "to_a", "to_b"),
        *("file_name", "sha256", "content", "read_at", "read_by"),
    ),
    together(
        "colour_change_tool",
        "colourchange",
        f"{_PRESS_PROGRAMME} <> {_TOOL_PROGRAMME}",
        "the tool belongs to another programme than the press",
    ),
    together(
        "trial_request_press",
        "trialrequest",
        f"{_PRESS_PROGRAMME} <> {_TOOL_PROGRAMME}",
        "the press belongs to another programme than the tool",
    ),
)

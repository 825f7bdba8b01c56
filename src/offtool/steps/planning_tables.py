"""How times, shapes of parts, colour changes and trials asked for answer each other in folder and record.

The name of a file inside the folder is left blank here: it depends on all the other files.
"""

from __future__ import annotations

from offtool.exchange.programme.planning_rows import (
    ColourChangeRow,
    ColourShotRow,
    EngineersRow,
    MeshRow,
    PressOffRow,
    RequestRow,
    WantRow,
)
from offtool.records.models import (
    ColourChange,
    ColourShot,
    EngineersThere,
    PartMesh,
    PressOff,
    TrialRequest,
    TrialWant,
)
from offtool.steps.answering import Table

PRESS_OFF = Table(
    name="press_off",
    row=PressOffRow,
    model=PressOff,
    kept=lambda programme: PressOff.objects.filter(press__programme=programme).select_related("press"),
    names=lambda off: {"press": off.press.code},
    links=lambda row, known: {"press": known.presses[(row.press,)]},
)
ENGINEERS_THERE = Table(
    name="engineers_there",
    row=EngineersRow,
    model=EngineersThere,
    kept=lambda programme: EngineersThere.objects.filter(programme=programme),
    names=lambda there: {},
    links=lambda row, known: {"programme": known.programme},
)
MESHES = Table(
    name="meshes",
    row=MeshRow,
    model=PartMesh,
    kept=lambda programme: (
        PartMesh.objects.filter(part__programme=programme)
        .select_related("part")
        .defer("content", "picture", "measured")
    ),
    names=lambda mesh: {"part": mesh.part.code, "file": ""},
    links=lambda row, known: {"part": known.parts[(row.part,)]},
    settled=("file_name", "sha256", "size", "kind", "unit", "axis_x", "axis_y", "axis_z", "read_by"),
)
COLOUR_CHANGES = Table(
    name="colour_changes",
    row=ColourChangeRow,
    model=ColourChange,
    kept=lambda programme: (
        ColourChange.objects.filter(press__programme=programme)
        .select_related("press", "tool")
        .defer("content")
    ),
    names=lambda change: {
        "press": change.press.code,
        "tool": change.tool.code if change.tool else "",
        "file": "",
    },
    links=lambda row, known: {
        "press": known.presses[(row.press,)],
        "tool": known.tools[(row.tool,)] if row.tool else None,
    },
    settled=(
        *(
            "tool",
            "from_name",
            "from_lightness",
            "from_a",
            "from_b",
            "to_name",
            "to_lightness",
            "to_a",
            "to_b",
        ),
        *("illuminant", "observer", "resin", "shot_g", "purge_kg"),
        *("done_on", "note", "file_name", "sha256", "read_at", "read_by"),
    ),
)
COLOUR_SHOTS = Table(
    name="colour_shots",
    row=ColourShotRow,
    model=ColourShot,
    kept=lambda programme: ColourShot.objects.filter(change__press__programme=programme).select_related(
        "change__press"
    ),
    names=lambda shot: {"press": shot.change.press.code, "change": shot.change.name},
    links=lambda row, known: {"change": known.colour_changes[row.press, row.change]},
    settled=("number", "lightness", "a", "b"),
)
TRIAL_REQUESTS = Table(
    name="trial_requests",
    row=RequestRow,
    model=TrialRequest,
    kept=lambda programme: TrialRequest.objects.filter(tool__programme=programme).select_related(
        "tool", "press"
    ),
    names=lambda request: {
        "tool": request.tool.code,
        "press": request.press.code if request.press else "",
    },
    links=lambda row, known: {
        "tool": known.tools[(row.tool,)],
        "press": known.presses[(row.press,)] if row.press else None,
    },
)
TRIAL_WANTS = Table(
    name="trial_wants",
    row=WantRow,
    model=TrialWant,
    kept=lambda programme: TrialWant.objects.filter(request__tool__programme=programme).select_related(
        "request__tool"
    ),
    names=lambda want: {"tool": want.request.tool.code, "request": want.request.name},
    links=lambda row, known: {"request": known.trial_requests[row.tool, row.request]},
)

PLANNED = (
    *(PRESS_OFF, ENGINEERS_THERE, MESHES, COLOUR_CHANGES, COLOUR_SHOTS),
    *(TRIAL_REQUESTS, TRIAL_WANTS),
)
"""All tables of planning, each after what it points at; presses, jobs and tools stand before them."""

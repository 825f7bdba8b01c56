"""Three presses for the small otter's tool, and shapes of its parts without reading any mesh."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from offtool.core.planning.geometry.inspected import MeshFault
from offtool.handbook.terms import Feed
from offtool.records.models import Part, Press, PressHolds, Tool

NAMES = (
    *("clamp_kn", "barrel_g", "screw_mm", "tie_bars_wide_mm", "tie_bars_high_mm", "mould_least_mm"),
    *("mould_most_mm", "opening_mm", "daylight_mm", "ejector_mm", "dry_cycle_s", "per_hour"),
)
SMALL = dict(
    zip(NAMES, (250.0, 40.0, 20.0, 260.0, 260.0, 110.0, 280.0, 200.0, 480.0, 60.0, 1.6, 26.0), strict=True)
)
MIDDLE = dict(
    zip(NAMES, (800.0, 112.0, 30.0, 360.0, 360.0, 150.0, 380.0, 320.0, 700.0, 100.0, 2.0, 38.0), strict=True)
)
MOULD = {
    "wide_mm": 296.0, "high_mm": 286.0, "thick_mm": 236.0, "opening_mm": 180.0, "ejector_mm": 35.0,
    "feed": Feed.COLD_RUNNER.value, "runner_g": 5.0, "runner_cm2": 9.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Walls:
    """How thick a mesh is, by the rolling sphere; itself where a step looks for more."""

    p95_mm: float = 2.0

    @property
    def by_sphere(self) -> Walls:
        return self


@dataclass(frozen=True, slots=True)
class Measured:
    """Volume and surface of a mesh of a plate: 2 mm thick, 3,000 mm² on each side."""

    volume_mm3: float | None = 6_000.0
    surface_mm2: float = 6_000.0
    walls: Walls | None = Walls()
    box_mm: tuple[float, float, float] = (60.0, 50.0, 2.0)


@dataclass(frozen=True, slots=True)
class Inspected:
    """What was found of a mesh: nothing wrong, unless said."""

    faults: tuple[MeshFault, ...] = ()


@dataclass(frozen=True, slots=True)
class Shape:
    """What a mesh would tell of a part."""

    weight_g: float | None = 6.0
    silhouette_mm2: float | None = 900.0
    depth_mm: float | None = 14.0
    thickest_mm: float | None = 2.0
    median_mm: float | None = 2.0
    geometry: Measured = Measured()
    findings: Inspected = Inspected()
    part: str = "P1"


def shaped(monkeypatch: pytest.MonkeyPatch, shape: Shape | None) -> None:
    """Every part has this shape; None: no mesh was read in."""

    def geometry(part: Part) -> Shape | None:
        return shape

    monkeypatch.setattr("offtool.steps.tool_at_press.geometry_of_part", geometry)


def make_presses(tool: Tool) -> None:
    """P1 is small, P2 fits, of P3 nothing is known; the numbers of the tool beside them."""
    Tool.objects.filter(pk=tool.pk).update(**MOULD)
    for code, numbers in (("P1", SMALL), ("P2", MIDDLE), ("P3", {})):
        Press.objects.create(programme=tool.programme, code=code, **numbers)


def say_it_holds(tool: Tool, press: str) -> None:
    """Somebody wrote down that this press holds the tool."""
    PressHolds.objects.create(press=Press.objects.get(code=press, programme=tool.programme), tool=tool)

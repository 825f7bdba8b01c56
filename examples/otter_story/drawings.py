"""The drawings of the harbour otter: what is measured on each part, and which steel forms it.

An invented articulated figure of an otter that holds a clam. Every number is made up; limits, classes and
steel-safe sides are like those on drawings of small figures (common practice, no source). What the steel and
the press really do stands in `hidden`, and the program never sees it.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

PARTS = {
    "HO-01": "head",
    "HO-02": "torso front",
    "HO-03": "torso back",
    "HO-04": "arm",
    "HO-05": "leg",
    "HO-06": "tail",
    "HO-07": "clam",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Steel:
    """The steel that forms a size. `safe_mm` is left on purpose; it and `allowance_mm` are mm of its size."""

    code: str
    name: str
    half: str
    stated: str
    sign: int
    """What its size does when steel is removed: +1 a recess grows, -1 a core shrinks."""
    safe_mm: float
    allowance_mm: float
    can_add: bool
    known_from: str
    """The tool state from which its size is known, or "never"."""
    also_moves: str
    """Number of a second size of the same part that it moves, by `also_by` mm for each mm removed."""
    also_by: float

    @property
    def per_stated(self) -> int:
        """mm of size for each mm of the measure that the toolmaker is told."""
        return 2 if self.stated == "per side" else 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One characteristic of the drawing."""

    part: str
    number: str
    name: str
    kind: str
    unit: str
    nominal: float
    lower: float | None
    upper: float | None
    direction: str
    weight_class: str
    gauge: str
    steel: Steel | None

    @property
    def key(self) -> str:
        """Part and number, as gauge rooms head the columns of a family tool."""
        return f"{self.part} {self.number}"

    @property
    def target(self) -> float:
        """The middle of the limits; the nominal where there is one limit only."""
        return self.nominal if self.lower is None or self.upper is None else (self.lower + self.upper) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolDrawing:
    """A tool, the resin it runs, and the sizes of its parts, each part in the same number of cavities."""

    code: str
    name: str
    resin: str
    cavities: int
    step_mm: float
    cut_sd_mm: float
    sizes: tuple[Size, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        """The cavity numbers engraved in the steel."""
        return tuple(str(1 + c) for c in range(self.cavities))

    @property
    def parts(self) -> tuple[str, ...]:
        """Codes of the parts, in order."""
        return tuple(dict.fromkeys(size.part for size in self.sizes))

    def steel_of(self, feature: str) -> tuple[int, Steel]:
        """Where the size that a feature forms stands in `sizes`, and the feature."""
        found = [(i, size.steel) for i, size in enumerate(self.sizes) if size.steel]
        return next((i, steel) for i, steel in found if steel.code == feature)

    def place(self, key: str) -> int:
        """Where a size stands in `sizes`."""
        return [size.key for size in self.sizes].index(key)


def _sizes(tool: str) -> tuple[Size, ...]:
    with (Path(__file__).parent / "drawings.csv").open(encoding="utf-8", newline="") as file:
        return tuple(_size(row) for row in csv.DictReader(file) if row["tool"] == tool)


def _size(row: dict[str, str]) -> Size:
    return Size(
        **{column: row[column] for column in ("part", "number", "name", "kind", "unit")},
        **{column: row[column] for column in ("direction", "weight_class", "gauge")},
        nominal=float(row["nominal"]),
        lower=float(row["lower"]) if row["lower"] else None,
        upper=float(row["upper"]) if row["upper"] else None,
        steel=_steel(row) if row["steel"] else None,
    )


def _steel(row: dict[str, str]) -> Steel:
    return Steel(
        code=row["steel"],
        name=row["steel_name"],
        half=row["half"],
        stated=row["stated"],
        sign=int(row["sign"]),
        safe_mm=float(row["safe_mm"]),
        allowance_mm=float(row["allowance_mm"]),
        can_add=row["can_add"] == "yes",
        known_from=row["known_from"],
        also_moves=row["also_moves"],
        also_by=float(row["also_by"] or 0),
    )


TORSO = ToolDrawing(
    code="M1",
    name="torso halves",
    resin="ABS",
    cavities=2,
    step_mm=0.01,
    cut_sd_mm=0.006,
    sizes=_sizes("M1"),
)
HEAD_TAIL_CLAM = ToolDrawing(
    code="M2",
    name="head, tail and clam",
    resin="ABS",
    cavities=2,
    step_mm=0.01,
    cut_sd_mm=0.006,
    sizes=_sizes("M2"),
)
ARM_LEG = ToolDrawing(
    code="M3",
    name="arm and leg",
    resin="POM",
    cavities=4,
    step_mm=0.005,
    cut_sd_mm=0.003,
    sizes=_sizes("M3"),
)
TOOLS = (TORSO, HEAD_TAIL_CLAM, ARM_LEG)

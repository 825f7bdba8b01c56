"""The measured material: a trial of 60 sizes in 8 cavities, seeded, as a long CSV and as arrays."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SIZES, CAVITIES = 60, 8
TOLERANCE, SPREAD = 0.1, 0.012
SEED = 20260314


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Readings in the order in which a machine that measures shot by shot writes them."""

    size: NDArray[np.int64]
    cavity: NDArray[np.int64]
    shot: NDArray[np.int64]
    value: NDArray[np.float64]


def nominal(size: int) -> float:
    """The size on the drawing: 5, 6, 7 mm and so on."""
    return size + 5.0


def make_material(readings: int) -> Material:
    """So many readings, the same in every run."""
    generator = np.random.default_rng(SEED)
    place = np.arange(readings)
    size, cavity, shot = place % SIZES, place // SIZES % CAVITIES, place // (SIZES * CAVITIES) + 1
    offset = generator.normal(0.0, 0.015, (SIZES, CAVITIES))
    drawn = np.array([nominal(i) for i in range(SIZES)])
    value = drawn[size] + offset[size, cavity] + generator.normal(0.0, SPREAD, readings)
    return Material(size=size, cavity=cavity, shot=shot, value=np.round(value, 4))


def write_long_csv(path: Path, readings: int) -> None:
    """The material as a row a reading: characteristic, cavity, shot, value."""
    made = make_material(readings)
    columns = zip(
        made.size.tolist(), made.cavity.tolist(), made.shot.tolist(), made.value.tolist(), strict=True
    )
    with path.open("w", encoding="utf-8") as file:
        file.write("characteristic,cavity,shot,value\n")
        file.writelines(
            f"size {size + 1},{cavity + 1},{shot},{value:.4f}\n" for size, cavity, shot, value in columns
        )


def make_record() -> None:
    """The programme bench in the open record: tool M1, part P1, its cavities and sizes, no trial yet."""
    from offtool.records.models import Cavity, Characteristic, Part, Programme, Resin, Tool, ToolState

    programme = Programme.objects.create(slug="bench", title="Bench")
    resin = Resin.objects.create(
        programme=programme, code="ABS", flow_pct=0.5, cross_pct=0.5, thickness_pct=0.5
    )
    part = Part.objects.create(programme=programme, code="P1", resin=resin)
    tool = Tool.objects.create(programme=programme, code="M1")
    ToolState.objects.create(tool=tool, label="a", ordinal=1)
    Cavity.objects.bulk_create(Cavity(tool=tool, part=part, label=str(i + 1)) for i in range(CAVITIES))
    Characteristic.objects.bulk_create(
        Characteristic(
            part=part, number=str(i + 1), name=f"size {i + 1}", kind="length", unit="mm", nominal=nominal(i),
            lower=nominal(i) - TOLERANCE / 2, upper=nominal(i) + TOLERANCE / 2,
        )
        for i in range(SIZES)
    )  # fmt: skip

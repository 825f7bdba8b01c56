"""The shape of a part in a million triangles: everything planning asks of it, beside a plain numpy volume."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from benchmarks.figures import Figure

AROUND, ACROSS = 1000, 500
"""A ring of so many steps has twice as many triangles as their product: a million."""
MAJOR, MINOR = 20.0, 5.0


def part_of_a_million_triangles(folder: Path) -> Iterator[Figure]:
    """Read, inspected, measured along a slanted direction, walls by both ways, and the picture made."""
    from benchmarks.measures import task

    file = folder / "ring.stl"
    file.write_bytes(a_ring())
    found, plain = task("measure_part_of", file), task("plain_volume", file)
    triangles = 2 * AROUND * ACROSS
    yield Figure(
        what=f"a part of {triangles:,} triangles: all of its geometry", value=found["seconds"], unit="s",
        goal=20.0, beside="plain numpy volume", baseline=plain["seconds"],
    )  # fmt: skip
    yield Figure(
        what="  peak memory of that process", value=found["peak_mb"], unit="MB", goal=2000,
        beside="plain numpy volume", baseline=plain["peak_mb"],
    )  # fmt: skip


def a_ring() -> bytes:
    """A torus as binary STL."""
    u, v = np.meshgrid(np.arange(AROUND + 1), np.arange(ACROSS + 1), indexing="ij")
    angle, tube = 2 * np.pi * (u % AROUND) / AROUND, 2 * np.pi * (v % ACROSS) / ACROSS
    out = MAJOR + MINOR * np.cos(tube)
    place = np.stack([out * np.cos(angle), out * np.sin(angle), MINOR * np.sin(tube)], axis=2)
    a, b, c, d = place[:-1, :-1], place[1:, :-1], place[1:, 1:], place[:-1, 1:]
    corners = np.stack([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)], axis=2).reshape(-1, 3, 3)
    records = np.zeros(
        len(corners), np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    )
    records["corners"] = corners
    return bytes(80) + len(corners).to_bytes(4, "little") + records.tobytes()

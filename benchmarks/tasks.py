"""What is timed in a process of its own, so that its memory is its own: `python -m benchmarks.tasks NAME …`.

Each task prints the seconds that its work took, without starting Python and importing, and the peak memory of
the whole process.
"""

from __future__ import annotations

import json
import resource
import statistics
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path


def seconds(work: Callable[[], object]) -> float:
    """How long one run takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def polars_read(file: str) -> dict[str, float]:
    """The baseline: a plain read of the file."""
    import polars

    return {"seconds": seconds(lambda: polars.read_csv(file))}


def polars_group_by(file: str) -> dict[str, float]:
    """The baseline of an inspection: count, mean, spread and ends by size and cavity of a table in memory."""
    import polars

    table = polars.read_csv(file)
    value = polars.col("value")
    asked = (value.len().alias("n"), value.mean().alias("mean"), value.std().alias("sd"))
    ends = (value.min().alias("low"), value.max().alias("high"))
    return {"seconds": seconds(lambda: table.group_by("characteristic", "cavity").agg(*asked, *ends))}


def read(file: str) -> dict[str, float]:
    """The reader alone: layout found, every cell read, repairs and refusals listed."""
    from offtool.exchange.readings import read_table

    content = Path(file).read_bytes()
    return {"seconds": seconds(lambda: read_table(content, "bench.csv"))}


def keep(file: str, record: str) -> dict[str, float]:
    """Read, matched to the record, checked, and stored in a fresh record, in one transaction."""
    from benchmarks.data import make_record
    from offtool.setup import open_record

    open_record(record)
    make_record()
    from offtool.steps.read_readings import keep_readings

    content = Path(file).read_bytes()
    return {
        "seconds": seconds(
            lambda: keep_readings(
                content, "bench.csv", programme="bench", tool="M1", trial="T1",
                read_at=datetime(2026, 3, 14, tzinfo=UTC), read_by="bench",
            )
        )
    }  # fmt: skip


def load(record: str) -> dict[str, float]:
    """All readings of the trial out of the record, as columns."""
    from offtool.setup import open_record

    open_record(record)
    from offtool.records.queries import find_programme, find_tool, find_trial, load_readings

    trial = find_trial(find_tool(find_programme("bench"), "M1"), "T1")
    return {"seconds": seconds(lambda: load_readings(trial))}


def inspect(record: str) -> dict[str, float]:
    """The whole step: readings out of the record, settled shots, verdicts, cavities and readings that stand
    apart, shapes, what to do."""
    from offtool.setup import open_record

    open_record(record)
    from offtool.steps.inspect_trial import inspect_trial

    return {"seconds": seconds(lambda: inspect_trial("bench", "M1", "T1"))}


def inspect_sizes(record: str) -> dict[str, float]:
    """Every size in depth as well: shapes, mixtures, intervals, shares of variation, each reading."""
    from offtool.setup import open_record

    open_record(record)
    from offtool.steps.inspect_size import inspect_sizes as in_depth

    return {"seconds": seconds(lambda: in_depth("bench", "M1", "T1"))}


def page(record: str, address: str) -> dict[str, float]:
    """A page through Django's test client: the first in a process, then the best and the median of five."""
    from offtool.setup import open_record

    open_record(record)
    from django.test import Client

    client = Client()

    def fetch() -> None:
        answer = client.get(address, headers={"host": "localhost"})
        if answer.status_code != 200:
            raise SystemExit(f"{address} answers {answer.status_code}")

    cold = seconds(fetch)
    warm = [seconds(fetch) for _ in range(5)]
    return {"seconds": cold, "best": min(warm), "median": statistics.median(warm)}


def assemble(combinations: str) -> dict[str, float]:
    """An assembled joint of 8 × 8 cavities, the whole result; once before with few, to load what it needs."""
    from benchmarks.joints import assemble as whole

    whole(64_000)
    return {"seconds": seconds(lambda: whole(int(combinations)))}


def assemble_plain(combinations: str) -> dict[str, float]:
    """The baseline: the same joints at once in plain numpy."""
    from benchmarks.joints import assemble_plain as plain

    plain(64_000)
    return {"seconds": seconds(lambda: plain(int(combinations)))}


def measure_part_of(file: str) -> dict[str, float]:
    """A shape read, inspected, measured, its walls by both ways, its picture made."""
    from offtool.core.planning.geometry import Mesh, inspect_mesh, make_picture, measure_part
    from offtool.exchange.meshes import read_mesh

    content = Path(file).read_bytes()

    def whole() -> None:
        read = read_mesh(content, "bench.stl")
        inspected = inspect_mesh(Mesh(vertices=read.vertices, faces=read.faces))
        measured = measure_part(inspected, direction=(0.0, 0.3, 1.0))
        make_picture(inspected.mesh, measured.walls).as_bytes()

    return {"seconds": seconds(whole)}


def plain_volume(file: str) -> dict[str, float]:
    """The baseline: the volume of the same file's triangles in plain numpy, and nothing else."""
    import numpy as np

    content = Path(file).read_bytes()

    def volume() -> None:
        records = np.frombuffer(
            content, np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("s", "<u2")]), -1, 84
        )
        a, b, c = (records["c"][:, i].astype(float) for i in range(3))
        np.einsum("ij,ij->", a, np.cross(b, c))

    return {"seconds": seconds(volume)}


TASKS = {
    task.__name__: task
    for task in (
        *(polars_read, polars_group_by, read, keep, load, inspect, inspect_sizes, page),
        *(assemble, assemble_plain),
        *(measure_part_of, plain_volume),
    )
}


if __name__ == "__main__":
    measured = TASKS[sys.argv[1]](*sys.argv[2:])
    peak_kib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(json.dumps({**measured, "peak_mb": peak_kib * 1024 / 1e6}))

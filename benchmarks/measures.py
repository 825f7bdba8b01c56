"""The measurements, each a few figures of the table."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np

from benchmarks.balance import balanced_lines
from benchmarks.cycle import wall_cooling
from benchmarks.data import CAVITIES, SIZES, TOLERANCE, make_material, nominal, write_long_csv
from benchmarks.figures import Figure
from benchmarks.geometry import part_of_a_million_triangles
from benchmarks.identify import one_sample
from benchmarks.line import pilot_of_a_shift
from benchmarks.lot import lot_in_order
from benchmarks.photograph import photograph
from benchmarks.slots import trial_slots
from benchmarks.tasks import seconds

TOP = Path(__file__).resolve().parents[1]
PROGRAM = Path(sys.executable).with_name("offtool")
MILLION = 1_000_000
LARGE_TRIAL = 100_000
SHOTS = 100
COMBINATIONS = 10_000_000


def best(work: Callable[[], object], of: int) -> float:
    """The shortest of some runs."""
    return min(seconds(work) for _ in range(of))


def task(name: str, *arguments: str | Path) -> dict[str, float]:
    """What a task measured in a process of its own."""
    command = [sys.executable, "-m", "benchmarks.tasks", name, *map(str, arguments)]
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    done = subprocess.run(command, cwd=TOP, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{name} {arguments}: {done.stdout}{done.stderr[-600:]}")
    return dict(json.loads(done.stdout.splitlines()[-1]))


def help_comes_at_once(folder: Path) -> Iterator[Figure]:
    """offtool --help beside a bare start of Python."""

    def run(*command: str | Path) -> Callable[[], object]:
        return lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL)

    yield Figure(
        what="offtool --help, best of 5", value=best(run(PROGRAM, "--help"), 5), unit="s", goal=0.3,
        beside="bare Python", baseline=best(run(sys.executable, "-c", "pass"), 5),
    )  # fmt: skip


def a_million_readings(folder: Path) -> Iterator[Figure]:
    """A long CSV read, checked and stored; loaded; inspected; beside a plain polars read of the same file."""
    file, record = folder / "million.csv", folder / "million.sqlite3"
    write_long_csv(file, MILLION)
    plain = task("polars_read", file)
    yield _with_seconds("1,000,000 readings, long CSV: read", task("read", file), plain)
    kept = task("keep", file, record)
    yield _with_seconds("  read, checked and stored in SQLite", kept, plain, goal=15.0)
    yield Figure(
        what="  peak memory of that process", value=kept["peak_mb"], unit="MB", goal=1000, beside="polars",
        baseline=plain["peak_mb"],
    )  # fmt: skip
    loaded = task("load", record)
    yield _with_seconds("  loaded from the record", loaded, plain)
    yield _inspected("  trial inspected, loading included", task("inspect", record), file, goal=3.0)


def a_full_trial(folder: Path) -> Iterator[Figure]:
    """A trial of 60 sizes in 8 cavities and 100 shots: inspected, and every size in depth."""
    file, record = folder / "full.csv", folder / "full.sqlite3"
    write_long_csv(file, SIZES * CAVITIES * SHOTS)
    task("keep", file, record)
    what = f"{SIZES} sizes, {CAVITIES} cavities, {SHOTS} shots: trial inspected"
    yield _inspected(what, task("inspect", record), file, goal=1.0)
    yield _inspected("  and every size in depth", task("inspect_sizes", record), file)


def _inspected(what: str, found: dict[str, float], file: Path, goal: float | None = None) -> Figure:
    plain = task("polars_group_by", file)
    return Figure(
        what=what, value=found["seconds"], unit="s", goal=goal, beside="polars group-by",
        baseline=plain["seconds"],
    )  # fmt: skip


def gauge_study(folder: Path) -> Iterator[Figure]:
    """A crossed study of 10 parts, 3 people and 3 times, beside its plain sums of squares in numpy."""
    from offtool.core.inspection import crossed_gauge_study

    generator = np.random.default_rng(3)
    table = generator.normal(0, 1, (10, 1, 1)) + generator.normal(0, 0.2, (10, 3, 3))
    part, person, _ = (names.ravel().astype(str).tolist() for names in np.indices(table.shape))

    def sums_of_squares() -> None:
        centre, cell = table.mean(), table.mean(axis=2)
        ((cell.mean(axis=1) - centre) ** 2).sum()
        ((cell.mean(axis=0) - centre) ** 2).sum()
        ((table - cell[:, :, None]) ** 2).sum()

    yield Figure(
        what="crossed gauge study, 10 × 3 × 3, with intervals",
        value=best(lambda: crossed_gauge_study(table.ravel(), part, person, tolerance=8.0), 5), unit="s",
        goal=0.05, beside="numpy sums", baseline=best(sums_of_squares, 20),
    )  # fmt: skip


def _with_seconds(
    what: str, found: dict[str, float], plain: dict[str, float], goal: float | None = None
) -> Figure:
    return Figure(
        what=what,
        value=found["seconds"],
        unit="s",
        goal=goal,
        beside="polars read",
        baseline=plain["seconds"],
    )


def inspection(folder: Path) -> Iterator[Figure]:
    """Every size of a million readings judged, beside mean and standard deviation by group in numpy."""
    from offtool.core.inspection.size import judge_coded_size

    made = make_material(MILLION)
    labels = tuple(str(i + 1) for i in range(CAVITIES))
    order = np.argsort(made.size, kind="stable")
    ends = np.cumsum(np.bincount(made.size, minlength=SIZES))[:-1]
    values, codes = np.split(made.value[order], ends), np.split(made.cavity[order], ends)

    def judge() -> None:
        for size in range(SIZES):
            middle = nominal(size)
            judge_coded_size(
                values[size], codes[size], labels, lower=middle - TOLERANCE / 2, upper=middle + TOLERANCE / 2,
                target=None, required_index=1.33, gauge_uncertainty=0.002, gauge_resolution=0.001,
            )  # fmt: skip

    group = made.size * CAVITIES + made.cavity

    def mean_and_sd() -> None:
        count = np.bincount(group)
        mean = np.bincount(group, weights=made.value) / count
        np.sqrt(np.bincount(group, weights=(made.value - mean[group]) ** 2) / (count - 1))

    yield Figure(
        what=f"1,000,000 readings judged, {SIZES} sizes in {CAVITIES} cavities",
        value=best(judge, 3), unit="s", goal=2.0,
        beside="numpy mean and sd by group", baseline=best(mean_and_sd, 3),
    )  # fmt: skip


def assembled_joints(folder: Path) -> Iterator[Figure]:
    """Ten million assembled joints of 8 × 8 cavities, all intervals, beside bare counts in plain numpy."""
    found, plain = task("assemble", str(COMBINATIONS)), task("assemble_plain", str(COMBINATIONS))
    yield Figure(
        what=f"{COMBINATIONS:,} assembled joints, 8 × 8 cavities", value=found["seconds"], unit="s", goal=2.0,
        beside="plain numpy at once", baseline=plain["seconds"],
    )  # fmt: skip
    yield Figure(
        what="  peak memory of that process", value=found["peak_mb"], unit="MB", goal=1000,
        beside="plain numpy at once", baseline=plain["peak_mb"],
    )  # fmt: skip


def pages(folder: Path) -> Iterator[Figure]:
    """The page of a trial, of the demo and of a large trial, beside the list of programmes."""
    out = folder / "demo"
    subprocess.run([PROGRAM, "demo", "--out", out], check=True, stdout=subprocess.DEVNULL)
    yield from _page(
        "page of the demo's trial", out / "record.sqlite3", "harbour-otter", "M3", "T3", goal=0.15
    )
    file, record = folder / "large.csv", folder / "large.sqlite3"
    write_long_csv(file, LARGE_TRIAL)
    task("keep", file, record)
    yield from _page(f"page of a trial with {LARGE_TRIAL:,} readings", record, "bench", "M1", "T1", goal=0.5)


def _page(what: str, record: Path, programme: str, tool: str, trial: str, *, goal: float) -> Iterator[Figure]:
    plain = task("page", record, "/")
    found = task("page", record, f"/p/{programme}/{tool}/{trial}/")
    for which, name in (("median", "median of 5"), ("best", "best of 5"), ("seconds", "first in a process")):
        yield Figure(
            what=f"{what}, {name}",
            value=found[which],
            unit="s",
            goal=goal,
            beside="front page",
            baseline=plain[which],
        )


def formulas(folder: Path) -> Iterator[Figure]:
    """offtool calc of each formula's example, beside a bare call of the mean interval."""
    from offtool.steps.calculate import calculate, list_formulas

    calls = {one.name: best(partial(calculate, one.name, one.example), 5) for one in list_formulas()}
    for name, took in calls.items():
        yield Figure(
            what=f"calc {name}", value=took, unit="s", beside="mean_interval", baseline=calls["mean_interval"]
        )


MEASURES = (
    help_comes_at_once,
    a_million_readings,
    a_full_trial,
    inspection,
    gauge_study,
    assembled_joints,
    one_sample,
    photograph,
    lot_in_order,
    part_of_a_million_triangles,
    wall_cooling,
    trial_slots,
    balanced_lines,
    pilot_of_a_shift,
    pages,
    formulas,
)

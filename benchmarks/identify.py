"""One sample against a thousand recorded states, beside the same table of likelihoods in plain numpy."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from benchmarks.figures import Figure
from benchmarks.tasks import seconds

if TYPE_CHECKING:
    from offtool.core.samples.identify import Look, PieceCase

STATES, CAVITIES, SIZES, DETAILS = 1_000, 4, 8, 20
LABELS = ("front", "left arm")
SEED = 5


def table() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Sizes of every state and cavity, which details it has, and one piece of the 700th state."""
    rng = np.random.default_rng(SEED)
    cuts = rng.normal(0, 0.02, (STATES, 1, SIZES)) * (rng.random((STATES, 1, SIZES)) < 0.05)
    means = 10 + np.cumsum(cuts, axis=0) + rng.normal(0, 0.006, (1, CAVITIES, SIZES))
    came = rng.integers(0, STATES, DETAILS)
    return (
        means,
        np.arange(STATES)[:, None] >= came,
        means[700, 1] + rng.normal(0, 0.008, SIZES),
    )


def case() -> tuple[PieceCase, tuple[Look, ...]]:
    """A piece of two parts, half of its details looked at, with all that can still be looked at."""
    from offtool.core.samples.identify import (
        Make,
        MeasuredSize,
        Occasion,
        PartCase,
        PieceCase,
        SizeRecord,
        detail_finding,
        look_for_detail,
        size_finding,
    )
    from offtool.handbook.terms import DetailKind, Stage

    means, has, values = table()
    makes = tuple(
        Make(run=f"T{i}", stage=Stage.LATE, tool="M1", state=f"s{i}", ordinal=i + 1) for i in range(STATES)
    )
    parts, looks = [], []
    for label in LABELS:
        measured = [
            MeasuredSize(
                record=SizeRecord(
                    name=f"size {k}",
                    unit="mm",
                    means=means[:, :, k],
                    sds=np.full((STATES, CAVITIES), 0.008),
                ),
                value=float(values[k]),
                uncertainty=0.003,
            )
            for k in range(SIZES)
        ]
        findings = [
            detail_finding(f"detail {k}", bool(has[700, k]), has[:, k].tolist(), makes)
            for k in range(DETAILS // 2)
        ]
        parts.append(
            PartCase(
                label=label,
                makes=makes,
                findings=(*findings, size_finding(measured, makes)),
            )
        )
        looks += [
            look_for_detail(label, f"detail {k}", "", has[:, k].tolist(), makes, DetailKind.STAYS)
            for k in range(DETAILS // 2, DETAILS)
        ]
    occasions = tuple(
        Occasion(
            code=make.run,
            stage=make.stage,
            kept=1.0,
            made={label: {i: 1.0} for label in LABELS},
        )
        for i, make in enumerate(makes)
    )
    return PieceCase(parts=tuple(parts), occasions=occasions), tuple(looks)


def identify_piece() -> None:
    """Everything: likelihoods, posterior, evidence, contradictions, what to look at next."""
    from offtool.core.samples.identify import identify

    piece, looks = case()
    identify(piece, looks)


def nearest_plain() -> None:
    """The baseline: naive normal likelihoods over the same table, and the details counted."""
    means, has, values = table()
    for _ in LABELS:
        sizes = -0.5 * (((values - means) / 0.0085) ** 2).sum(axis=2)
        details = np.where(has[:, : DETAILS // 2] == has[700, : DETAILS // 2], -0.02, -4.0).sum(axis=1)
        logs = np.logaddexp.reduce(sizes, axis=1) + details
        np.exp(logs - np.logaddexp.reduce(logs))


def one_sample(folder: Path) -> Iterator[Figure]:
    """Likelihoods, posterior, evidence, contradictions, what to look at next: all made anew each time."""
    yield Figure(
        what=f"one sample against {STATES:,} recorded states, best of 5",
        value=min(seconds(identify_piece) for _ in range(5)), unit="s", goal=0.2,
        beside="naive numpy likelihoods", baseline=min(seconds(nearest_plain) for _ in range(5)),
    )  # fmt: skip

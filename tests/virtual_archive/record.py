"""The record as the program would hold it, and a piece laid beside it: what a step does from the database."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator, default_rng
from numpy.typing import NDArray

from offtool.core.samples.identify import (
    ColourRecord,
    Finding,
    Make,
    MeasuredSize,
    Occasion,
    PartCase,
    PieceCase,
    SizeRecord,
    colour_finding,
    detail_finding,
    pool_runs,
    sign_finding,
    size_finding,
    tag_finding,
)
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import DetailKind, Stage
from tests.virtual_archive.colours import SPREAD_DE, strayed
from tests.virtual_archive.exact import OF_THE_RECORD
from tests.virtual_archive.lost import NOTHING_LOST, Lost
from tests.virtual_archive.observed import PartSeen, Piece
from tests.virtual_archive.worlds import STAGE_LIST, World

SHOTS = (5, 12)
"""Shots of a run that were measured, each cavity."""
INSTRUMENT_DE = 0.4
MIXTURES_KEPT = 2
"""Of the colours between two jobs, every second is written down."""
IN_PRODUCTION_COLOUR = 0.3
"""Late trials in the colour of production, by the handbook."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolRecord:
    """What is recorded of one tool, make by make: sizes, details, colours."""

    makes: tuple[Make, ...]
    sizes: tuple[SizeRecord, ...]
    details: tuple[tuple[bool | None, ...], ...]
    kinds: tuple[DetailKind, ...]
    colours: tuple[ColourRecord | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What is recorded of one product."""

    tools: tuple[ToolRecord, ...]
    occasions: tuple[Occasion, ...]


def write_record(world: World, lost: Lost = NOTHING_LOST) -> Record:
    """Every run measured on some shots, every state's details noted, every colour read: less what is lost."""
    rng = default_rng([world.seed, 4])
    labels = [one.label for one in world.tools]
    return Record(
        tools=tuple(_tool(rng, world, j, lost) for j in range(len(labels))),
        occasions=tuple(_occasions(world, labels)),
    )


def _occasions(world: World, labels: list[str]) -> Iterator[Occasion]:
    """Kept as the handbook says of the stage, evenly within it."""
    stages = [one.stage for one in world.origins]
    for o, one in enumerate(world.origins):
        made = {k: dict(one.runs)[run] for k, (origin, run) in enumerate(world.makes) if origin == o}
        kept = STAGES[one.stage].kept / stages.count(one.stage)
        yield Occasion(code=one.code, stage=one.stage, kept=kept, made=dict.fromkeys(labels, made))


def _tool(rng: Generator, world: World, j: int, lost: Lost) -> ToolRecord:
    tool = world.tools[j]
    shots = int(rng.integers(SHOTS[0], SHOTS[1] + 1))
    runs = [run for _, run in world.makes]
    states = [world.runs[run].state[j] for run in runs]
    makes = tuple(
        Make(
            run=world.runs[run].name,
            stage=world.origins[o].stage,
            tool=tool.label,
            state=str(world.runs[run].state[j]),
            ordinal=world.runs[run].state[j],
        )
        for o, run in world.makes
    )
    colours = [_colour(rng, world, run, j, lost) for run in range(len(world.runs))]
    return ToolRecord(
        makes=makes,
        sizes=pool_runs(tuple(_sizes(rng, world, j, runs, shots, lost)), makes, shots),
        details=tuple(
            tuple(None if (j, state) in lost.details else bool(one.there[state]) for state in states)
            for one in tool.details
        ),
        kinds=tuple(DetailKind.STAYS if one.stays else DetailKind.COMES_AND_GOES for one in tool.details),
        colours=tuple(colours[run] for run in runs),
    )


def _sizes(
    rng: Generator, world: World, j: int, runs: list[int], shots: int, lost: Lost
) -> Iterator[SizeRecord]:
    """Means of the shots measured, and their spread, pooled."""
    tool = world.tools[j]
    for i, size in enumerate(tool.sizes):
        of_run = np.stack(
            [
                tool.mean[run.state[j], :, i] * (1 + size.grows * run.scale[j])
                + rng.normal(0, size.sd, (shots, tool.cavities))
                for run in world.runs
            ]
        )
        means = of_run.mean(axis=1)[runs]
        gone = [(j, world.runs[run].state[j]) in lost.sizes for run in runs]
        means[gone] = np.nan
        left = sorted({run for run, away in zip(runs, gone, strict=True) if not away})
        sd = float(np.sqrt(of_run[left].var(axis=1, ddof=1).mean()))
        sds = np.where(np.isnan(means), np.nan, sd)
        yield SizeRecord(name=size.name, unit=size.unit, means=means, sds=sds, grows=size.grows)


def _colour(rng: Generator, world: World, run: int, j: int, lost: Lost) -> ColourRecord | None:
    """The colour read from parts of the run; the mixtures of a change; or the jobs that may have run."""
    law = world.runs[run].colour[j]
    if (run, j) in lost.colours:
        return _jobs_that_ran(world, run, j)
    centres = law.centres[:: MIXTURES_KEPT if law.shares.size > 1 else 1]
    read = [strayed(rng, one, INSTRUMENT_DE) for one in centres]
    between = float(np.linalg.norm(centres[1] - centres[0]) / 4) if len(centres) > 1 else 0.0
    return ColourRecord(
        candidates=tuple((_lab(one), 1 / len(read)) for one in read),
        spread_de=float(np.hypot(SPREAD_DE, between)),
    )


def _jobs_that_ran(world: World, run: int, j: int) -> ColourRecord:
    law = world.runs[run].if_lost[j]
    own = float(np.linalg.norm(law.centres[0] - world.production[0][j].centres[0])) < 1e-9
    share = IN_PRODUCTION_COLOUR if own and law.shares.size > 3 else 0.0
    others = (1 - share) / (law.shares.size - (share > 0))
    shares = [share if k == 0 and share else others for k in range(law.shares.size)]
    return ColourRecord(
        candidates=tuple((_lab(one), w) for one, w in zip(law.centres, shares, strict=True)),
        spread_de=SPREAD_DE,
    )


def _lab(colour: NDArray[np.float64]) -> tuple[float, float, float]:
    lightness, a, b = (float(one) for one in colour)
    return lightness, a, b


def lay_beside(record: Record, piece: Piece) -> PieceCase:
    """The piece with everything seen on it, against all that is recorded."""
    stages = [one.stage for one in record.occasions]
    findings = [_sign(code, seen, stages) for code, seen in piece.signs.items() if code in OF_THE_RECORD]
    if piece.tag is not None:
        says = record.occasions[piece.tag].code
        findings.append(
            tag_finding(
                "tag", says, [one.code == says for one in record.occasions], others=len(record.occasions) - 1
            )
        )
    return PieceCase(
        parts=tuple(_part(record.tools[part.tool], part, piece) for part in piece.parts),
        occasions=record.occasions,
        findings=tuple(findings),
    )


def _part(tool: ToolRecord, part: PartSeen, piece: Piece) -> PartCase:
    stages = [make.stage for make in tool.makes]
    found = [
        detail_finding(
            f"detail {k}",
            there,
            tool.details[k],
            tool.makes,
            kind=tool.kinds[k],
            is_sure=sure,
        )
        for k, (there, sure) in part.details.items()
    ]
    if part.sizes:
        measured = [
            MeasuredSize(record=tool.sizes[k], value=value, uncertainty=u)
            for k, (value, u) in part.sizes.items()
        ]
        found.append(size_finding(measured, tool.makes, cavity=part.cavity))
    if part.colour is not None:
        found.append(colour_finding(_lab(part.colour), part.colour_de, tool.colours))
    found += _part_signs(part, piece, stages, OF_THE_RECORD)
    return PartCase(label=tool.makes[0].tool, makes=tool.makes, findings=tuple(found))


def _part_signs(part: PartSeen, piece: Piece, stages: list[Stage], codes: tuple[str, ...]) -> list[Finding]:
    return [
        _sign(code, seen, stages, sum(code in one.signs for one in piece.parts))
        for code, seen in part.signs.items()
        if code in codes
    ]


def _sign(code: str, seen: tuple[int, bool], stages: list[Stage], looked_at: int = 1) -> Finding:
    outcome, sure = seen
    sign = SIGNS[code]
    return sign_finding(sign, sign.outcomes[outcome], stages, is_sure=sure, parts_looked_at=looked_at)


def without_records(piece: Piece) -> PieceCase:
    """The piece against the eight stages of the handbook, by its signs alone."""
    makes = tuple(Make(run=stage.value, stage=stage) for stage in STAGE_LIST)
    labels = [f"part {part.tool}" for part in piece.parts]
    stages = list(STAGE_LIST)
    return PieceCase(
        parts=tuple(
            PartCase(
                label=label,
                makes=makes,
                findings=tuple(_part_signs(part, piece, stages, tuple(SIGNS))),
            )
            for label, part in zip(labels, piece.parts, strict=True)
        ),
        occasions=tuple(
            Occasion(
                code=stage.value,
                stage=stage,
                kept=STAGES[stage].kept,
                made={label: {k: 1.0} for label in labels},
            )
            for k, stage in enumerate(STAGE_LIST)
        ),
        findings=tuple(_sign(code, seen, stages) for code, seen in piece.signs.items()),
    )

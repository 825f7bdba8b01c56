"""The plan that goes through the record is the plan that core makes of the same facts, put together by hand.

The facts come from the demo's folder and files as plain rows; judging the readings and the plan itself are
core's. A step that lost, doubled or mixed up anything on its way would plan something else.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from math import hypot, sqrt
from pathlib import Path

import numpy as np
import pytest

from offtool.core.correction import (
    CorrectionPlan,
    CutMade,
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
    plan_corrections,
)
from offtool.core.inspection import find_settled_shot, judge_size
from offtool.core.inspection.gauge import crossed_gauge_study
from offtool.exchange.programme import ProgrammeFolder, read_folder
from offtool.exchange.programme.rows import CharacteristicRow
from offtool.exchange.readings import ReadingTable, read_table
from offtool.places import examples_folder
from offtool.steps.correct_tool import correct_tool
from offtool.steps.demo import FILE, PROGRAMME, run_demo
from offtool.steps.inspect_trial import inspect_trial

FOLDER = examples_folder() / "harbour_otter"
STATE = {"T1": "a", "T2": "b", "T3": "c"}


@pytest.fixture(scope="module")
def told() -> ProgrammeFolder:
    return read_folder(FOLDER)


def tables(told: ProgrammeFolder, tool: str) -> Iterator[tuple[str, ReadingTable]]:
    """Each trial's file, in order of time."""
    for source in sorted(told.sources, key=lambda source: source.read_at):
        if source.tool == tool:
            yield source.trial, read_table(told.original_of(source), source.name)
    if tool == "M3":
        path = examples_folder() / FILE
        yield "T3", read_table(path.read_bytes(), Path(path).name)


def plain_evidence(told: ProgrammeFolder, tool: str, trial: str) -> ToolEvidence:
    parts = {cavity.part for cavity in told.cavities if cavity.tool == tool}
    part_of = {feature.code: feature.part for feature in told.features if feature.tool == tool}
    sizes = {f"{row.part} {row.number}": row for row in told.characteristics if row.part in parts}
    by_name = {row.name: key for key, row in sizes.items()} | {key: key for key in sizes}
    trials = [one for one in tables(told, tool) if one[0] <= trial]
    made_by = next(each for each in told.tools if each.code == tool)
    steel = {
        (row.feature, row.cavity, row.state): row
        for row in told.steel_sizes
        if row.tool == tool and row.state <= STATE[trial]
    }
    return ToolEvidence(
        state=STATE[trial],
        sizes=tuple(asked(told, key, row) for key, row in sizes.items() if row.unit == "mm"),
        means=tuple(mean for name, table in trials for mean in means(told, name, table, sizes, by_name)),
        features=tuple(
            Feature(
                feature=feature.code,
                size_change_per_mm=feature.size_change_per_mm,
                drawn_mm=feature.drawn_mm,
                can_add=feature.can_add,
                moves=tuple(
                    SizeMoved(
                        size=f"{part_of[move.feature]} {move.characteristic}",
                        factor=move.factor,
                        forms=move.forms,
                    )
                    for move in told.moves
                    if (move.tool, move.feature) == (tool, feature.code)
                ),
            )
            for feature in told.features
            if feature.tool == tool
        ),
        steel=tuple(
            SteelFound(
                feature=row.feature,
                cavity=row.cavity,
                state=row.state,
                measured_mm=row.measured_mm,
                uncertainty_mm=row.uncertainty_mm,
                allowance_mm=row.allowance_mm,
            )
            for row in sorted(steel.values(), key=lambda row: row.state)
        ),
        cuts=tuple(
            CutMade(
                asked_mm=row.amount_mm,
                removed_mm=(
                    steel[row.feature, row.cavity, row.resulting_state].measured_mm - row.size_before_mm
                )
                / next(one.size_change_per_mm for one in told.features if one.code == row.feature),
            )
            for row in told.corrections
            if row.tool == tool and row.resulting_state and row.resulting_state <= STATE[trial]
        ),
        step_mm=made_by.step_mm,
        cut_sd_mm=made_by.cut_sd_mm,
    )


def required(row: CharacteristicRow) -> float | None:
    return {"critical": 1.33, "major": 1.0}.get(row.weight_class)


def gauge_known(told: ProgrammeFolder, row: CharacteristicRow) -> tuple[float | None, float | None]:
    """Standard uncertainty of a reading, and its freedom: from the study of the gauge, else as entered."""
    gauge = next(each for each in told.gauges if each.code == row.gauge)
    read = [one for one in told.gauge_readings if one.gauge == gauge.code]
    if not read:
        return (gauge.uncertainty if gauge.study else None), None
    study = crossed_gauge_study(
        [one.value for one in read], [one.part for one in read], [one.operator for one in read]
    )
    repeated = study.share("repeatability")
    assert repeated is not None
    value = hypot(max(repeated.sd, gauge.resolution / sqrt(12)), sqrt(study.gauge_sd**2 - repeated.sd**2))
    return value, study.gauge_freedom * (value / study.gauge_sd) ** 4


def asked(told: ProgrammeFolder, key: str, row: CharacteristicRow) -> SizeAsked:
    resin = next(part.resin for part in told.parts if part.code == row.part)
    allowed = next(each for each in told.resins if each.code == resin)
    per_cent = {"flow": allowed.flow_pct, "thickness": allowed.thickness_pct}
    both = row.lower is not None and row.upper is not None
    return SizeAsked(
        size=key,
        target=(row.lower + row.upper) / 2 if both else row.nominal,  # type: ignore[operator]
        lower=row.lower,
        upper=row.upper,
        required_index=required(row),
        direction=row.direction,
        allowed=per_cent.get(row.direction, allowed.cross_pct) / 100,
        gauge_uncertainty=gauge_known(told, row)[0] or 0.0,
    )


def means(
    told: ProgrammeFolder,
    trial: str,
    table: ReadingTable,
    sizes: dict[str, CharacteristicRow],
    by_name: dict[str, str],
) -> Iterator[MeanFound]:
    keys = np.array([by_name[found.label] for found in table.characteristics])[table.characteristic]
    cavities = np.array(table.cavities)[table.cavity]
    left_out = {(one.row, one.column) for one in told.exclusions if one.file == table.name}
    counts = np.array([cell not in left_out for cell in zip(table.row, table.column, strict=True)])
    if (table.shot >= 0).all():
        series = [f"{key}/{cavity}" for key, cavity in zip(keys, cavities, strict=True)]
        series = [name for name, kept in zip(series, counts, strict=True) if kept]
        settled = find_settled_shot(table.shot[counts], table.value[counts], series).settled
        counts &= table.shot >= (settled or 0)
    for key in dict.fromkeys(keys.tolist()):
        row, here = sizes[key], counts & (keys == key)
        if row.unit != "mm":
            continue
        gauge, freedom = gauge_known(told, row)
        finding = judge_size(
            table.value[here],
            cavities[here].tolist(),
            lower=row.lower,
            upper=row.upper,
            required_index=required(row),
            gauge_uncertainty=gauge,
            gauge_freedom=freedom,
        )
        for cavity in finding.cavities:
            yield MeanFound(
                size=key,
                cavity=cavity.cavity,
                trial=trial,
                state=STATE[trial],
                mean=cavity.mean,
                parts=cavity.parts,
                sd=cavity.sd,
                verdict=cavity.verdict,
            )


def amounts(plan: CorrectionPlan) -> dict[tuple[str, str], float]:
    return {(cut.feature, cut.cavity): pytest.approx(cut.amount_mm, abs=1e-9) for cut in plan.cuts}


@pytest.mark.django_db
def test_every_trial_is_corrected_as_core_corrects_the_same_facts(told: ProgrammeFolder) -> None:
    run_demo(read_at=datetime(2026, 3, 23, 9, tzinfo=UTC), read_by="tester")
    for tool, trial in [("M1", "T1"), ("M1", "T2"), ("M2", "T1"), ("M2", "T2"), ("M3", "T1"), ("M3", "T3")]:
        plan = plan_corrections(plain_evidence(told, tool, trial))
        correction = correct_tool(PROGRAMME, tool, trial)
        through = {(one.feature, one.cavity): one for one in correction.changes}
        assert {place: one.amount_mm for place, one in through.items()} == amounts(plan), (tool, trial)
        for cut in plan.cuts:
            change = through[cut.feature, cut.cavity]
            assert change.size_after_mm == pytest.approx(cut.size_after_mm)
            assert change.cause == cut.cause
            found = [one.expected for one in change.expected]
            assert found == pytest.approx([one.mean for one in cut.expected], rel=1e-9)
        assert correction.setup_sd == pytest.approx(plan.setup_sd)
        pooled = {one.direction: one.found.value for one in correction.directions}
        assert pooled == pytest.approx({way: one.value for way, one in plan.directions.items()}, rel=1e-9)
        assert len(correction.not_changed) == len(
            {(one.size, one.why, one.remedy) for one in plan.left_alone}
        )


@pytest.mark.django_db
def test_the_trial_page_and_the_correction_rest_on_one_plan() -> None:
    run_demo(read_at=datetime(2026, 3, 23, 9, tzinfo=UTC), read_by="tester")
    plan, correction = inspect_trial(PROGRAMME, "M3", "T3").plan, correct_tool(PROGRAMME, "M3", "T3")
    assert plan is not None
    assert amounts(plan) == {(one.feature, one.cavity): one.amount_mm for one in correction.changes}

"""Programme folders made up by hypothesis: whole, with nasty names, and holding together."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from itertools import product
from typing import Any

import numpy as np
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme import ProgrammeFolder
from offtool.exchange.programme.names import original_file_names
from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.rows import (
    CavityRow,
    CharacteristicRow,
    CorrectionRow,
    FeatureRow,
    GaugeRow,
    MoveRow,
    PartRow,
    PredictionRow,
    ProgrammeRow,
    ResinRow,
    SourceRow,
    StateRow,
    SteelSizeRow,
    ToolRow,
    TrialRow,
)
from offtool.handbook.terms import (
    UNITS,
    Cause,
    CorrectionStatus,
    Direction,
    Half,
    Outcome,
    SizeKind,
    Stated,
    WeightClass,
)
from tests.exchange.programme.ground import ground_tables, with_runs
from tests.exchange.programme.inspected import exclusions, inspection_tables, times
from tests.exchange.programme.joined import joined_tables
from tests.exchange.programme.made_up import (
    days,
    distinct,
    flags,
    json_lists,
    json_objects,
    moments,
    names,
    not_negative,
    not_zero,
    notes,
    positive,
    shrinkage,
    sizes,
    some,
    words,
)
from tests.exchange.programme.piloted import line_tables, pilot_tables
from tests.exchange.programme.planned import planned_tables, with_numbers, with_planned_jobs
from tests.exchange.programme.released import for_whom, release_tables
from tests.exchange.programme.sampled import sampled_tables


@st.composite
def programme_folders(draw: DrawFn) -> ProgrammeFolder:
    """A programme with a little of everything."""
    resins = [
        ResinRow(
            code=code,
            name=draw(notes),
            flow_pct=draw(shrinkage),
            cross_pct=draw(shrinkage),
            thickness_pct=draw(shrinkage),
            semi_crystalline=draw(flags),
            density_g_cm3=draw(st.none() | positive),
            price_per_kg=draw(st.none() | not_negative),
        )
        for code in distinct(draw, 1, 2)
    ]
    parts = [
        PartRow(code=code, name=draw(notes), resin=draw(st.sampled_from(resins)).code)
        for code in distinct(draw, 1, 2)
    ]
    gauges = [
        GaugeRow(
            code=code,
            name=draw(notes),
            resolution=draw(positive),
            uncertainty=draw(not_negative),
            study=draw(notes),
        )
        for code in distinct(draw, 0, 2)
    ]
    tools = [
        ToolRow(
            code=code,
            name=draw(notes),
            step_mm=draw(st.floats(0, 1, exclude_min=True)),
            cut_sd_mm=draw(not_negative),
        )
        for code in distinct(draw, 1, 2)
    ]
    cavities = [
        CavityRow(tool=tool.code, part=part.code, label=label)
        for tool in tools
        for part in some(draw, parts, least=1)
        for label in distinct(draw, 1, 2)
    ]
    states = [
        StateRow(tool=tool.code, label=label, ordinal=ordinal, made_on=draw(days), note=draw(notes))
        for tool in tools
        for ordinal, label in enumerate(distinct(draw, 1, 2), start=draw(st.integers(1, 3)))
    ]
    trials = [
        TrialRow(
            **times(draw),
            tool=tool.code,
            name=name,
            state=draw(st.sampled_from([s.label for s in states if s.tool == tool.code])),
            shot_on=draw(days),
            press=draw(notes),
            colour=draw(notes),
            resin_lot=draw(notes),
            age_h=draw(st.none() | not_negative),
            settled_from=draw(st.none() | st.integers(0, 2**31 - 1)),
            settled_reason=draw(notes),
            note=draw(notes),
        )
        for tool in tools
        for name in distinct(draw, 1, 2)
    ]
    tools = with_numbers(draw, tools)
    ground = with_planned_jobs(draw, ground_tables(draw, parts, tools, cavities, states, trials))
    trials = with_runs(draw, trials, ground["jobs"])
    characteristics = [
        _characteristic(draw, part.code, number, gauges) for part in parts for number in distinct(draw, 1, 2)
    ]
    features = [
        FeatureRow(
            tool=tool.code,
            code=code,
            name=draw(notes),
            part=draw(st.sampled_from(parts)).code,
            half=draw(words(Half)),
            stated=draw(words(Stated)),
            size_change_per_mm=draw(not_zero),
            drawn_mm=draw(st.none() | positive),
            can_add=draw(flags),
        )
        for tool in tools
        for code in distinct(draw, 1, 2)
    ]
    moves = _moves(draw, features, characteristics)
    impressions = [
        (feature, cavity)
        for feature, cavity in product(features, cavities)
        if (feature.tool, feature.part) == (cavity.tool, cavity.part)
    ]
    steel_sizes = [
        SteelSizeRow(
            tool=feature.tool,
            feature=feature.code,
            cavity=cavity.label,
            state=state.label,
            measured_mm=draw(positive),
            uncertainty_mm=draw(not_negative),
            allowance_mm=draw(not_negative),
        )
        for (feature, cavity), state in some(draw, list(product(impressions, states)))
        if state.tool == feature.tool
    ]
    contents: dict[str, bytes] = {}
    sources, readings = _sources(draw, trials, cavities, characteristics, contents)
    corrections = _corrections(draw, trials, impressions, states)
    inspected = inspection_tables(draw, trials, cavities, gauges, characteristics, contents)
    joined = joined_tables(draw, parts, trials, cavities, gauges, characteristics, contents)
    sampled = sampled_tables(draw, parts, trials, cavities, states, characteristics, ground, contents)
    planned = planned_tables(draw, parts, tools, ground, contents)
    lines = line_tables(draw, parts, tools, joined, ground["presses"])
    piloted = pilot_tables(draw, lines, trials, joined, contents)
    released = release_tables(draw, parts, tools, states, {**joined, **sampled, **lines}, contents)
    return ProgrammeFolder(
        programme=ProgrammeRow(
            slug=draw(st.from_regex(r"[A-Za-z0-9_-]{1,50}", fullmatch=True)),
            title=draw(names),
            note=draw(notes),
            currency=draw(notes),
            **for_whom(draw),
        ),
        resins=tuple(resins),
        parts=tuple(parts),
        gauges=tuple(gauges),
        tools=tuple(tools),
        cavities=tuple(cavities),
        states=tuple(states),
        trials=tuple(trials),
        characteristics=tuple(characteristics),
        features=tuple(features),
        moves=tuple(moves),
        steel_sizes=tuple(steel_sizes),
        sources=tuple(sources),
        corrections=tuple(corrections),
        predictions=tuple(_predictions(draw, trials, cavities, characteristics, corrections, features)),
        **inspected,
        **joined,
        **ground,
        **sampled,
        **planned,
        **lines,
        **piloted,
        **released,
        exclusions=exclusions(draw, sources, readings),
        readings=readings,
        original_of=lambda row: contents.get(row.sha256, b""),
    )


def _characteristic(draw: DrawFn, part: str, number: str, gauges: Sequence[GaugeRow]) -> CharacteristicRow:
    ends = sorted(draw(st.lists(sizes, min_size=2, max_size=2, unique=True)))
    lower, upper = draw(st.sampled_from([(ends[0], ends[1]), (None, ends[1]), (ends[0], None)]))
    kind = draw(words(SizeKind))
    unit = draw(st.sampled_from(UNITS)) if kind != SizeKind.OTHER else draw(names)
    return CharacteristicRow(
        part=part,
        number=number,
        name=draw(notes),
        kind=kind,
        unit=unit,
        nominal=draw(sizes),
        lower=lower,
        upper=upper,
        target=draw(st.none() | sizes),
        direction=draw(words(Direction)),
        weight_class=draw(words(WeightClass)),
        required_index=draw(st.none() | positive),
        gauge=draw(st.sampled_from(["", *(gauge.code for gauge in gauges)])),
    )


def _moves(
    draw: DrawFn, features: Sequence[FeatureRow], characteristics: Sequence[CharacteristicRow]
) -> list[MoveRow]:
    formed: set[tuple[str, str]] = set()
    moves = []
    pairs = [(f, c) for f, c in product(features, characteristics) if f.part == c.part]
    for feature, size in some(draw, pairs):
        forms = size.names not in formed and draw(flags)
        if forms:
            formed.add((size.part, size.number))
        moves.append(
            MoveRow(
                tool=feature.tool,
                feature=feature.code,
                characteristic=size.number,
                factor=draw(not_zero),
                forms=forms,
            )
        )
    return moves


def _sources(
    draw: DrawFn,
    trials: Sequence[TrialRow],
    cavities: Sequence[CavityRow],
    characteristics: Sequence[CharacteristicRow],
    contents: dict[str, bytes],
) -> tuple[list[SourceRow], dict[tuple[str, str], TrialReadings]]:
    came: list[tuple[TrialRow, str, str, dict[str, Any]]] = []
    measurable = {}
    for trial in trials:
        made = {cavity.part for cavity in cavities if cavity.tool == trial.tool}
        measurable[trial.names] = [size for size in characteristics if size.part in made]
        if measurable[trial.names]:
            for _ in range(draw(st.integers(0, 2))):
                content = draw(st.binary(max_size=8)) + bytes([len(contents)])
                sha256 = hashlib.sha256(content).hexdigest()
                contents[sha256] = content
                name = draw(names)
                sheets = draw(st.sampled_from([[""], ["Maße"], ["Maße", "=1+1"]]))
                came += [(trial, sha256, name, {"sheet": sheet} if sheet else {}) for sheet in sheets]
    read = [(sha256, told["sheet"]) if told else (sha256,) for _, sha256, _, told in came]
    files = original_file_names({key: name for key, (_, _, name, _) in zip(read, came, strict=True)})
    sources = [
        SourceRow(
            tool=trial.tool,
            trial=trial.name,
            file=files[key],
            name=name,
            sha256=sha256,
            layout=draw(names),
            read_options=draw(json_objects.filter(lambda told: "sheet" not in told)) | told,
            repairs=draw(json_lists),
            left_out=draw(json_lists),
            read_at=draw(moments),
            read_by=draw(notes),
        )
        for key, (trial, sha256, name, told) in zip(read, came, strict=True)
    ]
    readings = {
        trial.names: _readings(
            draw,
            measurable[trial.names],
            [c for c in cavities if c.tool == trial.tool],
            [source.file for source in sources if (source.tool, source.trial) == trial.names],
        )
        for trial in trials
        if any((source.tool, source.trial) == trial.names for source in sources)
    }
    return sources, readings


def _readings(
    draw: DrawFn,
    characteristics: Sequence[CharacteristicRow],
    cavities: Sequence[CavityRow],
    files: Sequence[str],
) -> TrialReadings:
    rows = []
    for at in range(len(files)):
        for _ in range(draw(st.integers(1, 3))):
            size = draw(st.integers(0, len(characteristics) - 1))
            fitting = [i for i, c in enumerate(cavities) if c.part == characteristics[size].part]
            counts = st.just(-1) | st.integers(0, 2**62)
            places = st.integers(1, 2**31 - 1)
            rows.append(
                (
                    size,
                    draw(st.sampled_from([-1, *fitting])),
                    draw(counts),
                    draw(counts),
                    draw(sizes),
                    at,
                    draw(places),
                    draw(places),
                    0,
                )
            )
    whole = [np.array(column, np.int64) for column in zip(*(row[:4] + row[5:] for row in rows), strict=True)]
    return TrialReadings(
        characteristics=tuple((size.part, size.number) for size in characteristics),
        cavities=tuple((cavity.part, cavity.label) for cavity in cavities),
        files=tuple(files),
        characteristic=whole[0],
        cavity=whole[1],
        shot=whole[2],
        part=whole[3],
        value=np.array([row[4] for row in rows]),
        file=whole[4],
        row=whole[5],
        column=whole[6],
        line=whole[7],
    )


def _corrections(
    draw: DrawFn,
    trials: Sequence[TrialRow],
    impressions: Sequence[tuple[FeatureRow, CavityRow]],
    states: Sequence[StateRow],
) -> list[CorrectionRow]:
    corrections = []
    for trial, (feature, cavity) in some(draw, list(product(trials, impressions)), most=3):
        if trial.tool == feature.tool:
            status = draw(words(CorrectionStatus))
            labels = [state.label for state in states if state.tool == trial.tool]
            corrections.append(
                CorrectionRow(
                    tool=trial.tool,
                    trial=trial.name,
                    feature=feature.code,
                    cavity=cavity.label,
                    amount_mm=draw(not_zero),
                    size_before_mm=draw(positive),
                    size_after_mm=draw(positive),
                    allowance_left_mm=draw(not_negative),
                    reason=draw(notes),
                    cause=draw(words(Cause)),
                    method=draw(notes),
                    inputs=draw(json_objects),
                    status=status,
                    made_at=draw(moments),
                    made_by=draw(notes),
                    resulting_state=draw(st.sampled_from(labels)) if status == "cut" else "",
                )
            )
    return corrections


def _predictions(
    draw: DrawFn,
    trials: Sequence[TrialRow],
    cavities: Sequence[CavityRow],
    characteristics: Sequence[CharacteristicRow],
    corrections: Sequence[CorrectionRow],
    features: Sequence[FeatureRow],
) -> list[PredictionRow]:
    part_of = {feature.names: feature.part for feature in features}
    predictions = []
    for trial, cavity, size in some(draw, list(product(trials, cavities, characteristics)), most=3):
        if (cavity.tool, cavity.part) != (trial.tool, size.part):
            continue
        fitting = [
            c
            for c in corrections
            if (c.tool, c.trial, c.cavity) == (trial.tool, trial.name, cavity.label)
            and part_of[c.tool, c.feature] == cavity.part
        ]
        low, mean, high = sorted(draw(st.lists(sizes, min_size=3, max_size=3)))
        correction = draw(st.sampled_from([None, *fitting]))
        judge = draw(st.sampled_from(["", *(other.name for other in trials if other.tool == trial.tool)]))
        outcome = draw(st.sampled_from([word.value for word in Outcome if word.value])) if judge else ""
        row = PredictionRow(
            tool=trial.tool,
            trial=trial.name,
            part=size.part,
            characteristic=size.number,
            cavity=cavity.label,
            mean=mean,
            low=low,
            high=high,
            confidence=draw(st.floats(0, 1, exclude_min=True, exclude_max=True)),
            sd=draw(not_negative),
            feature=correction.feature if correction else "",
            made_at=correction.made_at if correction else None,
            judged_in=judge,
            outcome=outcome,
        )
        predictions += [row] * draw(st.integers(1, 2))
    return predictions


def bytes_in(folder: Any) -> dict[str, bytes]:
    """Every file of a folder by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }

"""Lines, pilots and what a release rests on, made up for a programme folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.ground_rows import PressRow
from offtool.exchange.programme.line_rows import (
    LineBreakRow,
    LineEquipmentRow,
    LinePressRow,
    LineRow,
    LineStationRow,
    LineTaskRow,
)
from offtool.exchange.programme.pilot_rows import (
    PilotAuditRow,
    PilotCountRow,
    PilotDefectRow,
    PilotFileRow,
    PilotRow,
    PilotTimeRow,
    PilotTrialRow,
)
from offtool.exchange.programme.rows import PartRow, ToolRow, TrialRow
from offtool.handbook.terms import PilotFileKind, Side
from tests.exchange.programme.inspected import Contents, content_of, with_files
from tests.exchange.programme.made_up import (
    NASTY,
    days,
    distinct,
    flags,
    moments,
    names,
    not_negative,
    notes,
    positive,
    sizes,
    some,
    words,
)

in_lists = st.sampled_from(sorted({name.strip() for name in NASTY} - {""}))
shares = st.none() | st.floats(0, 1, exclude_max=True)
rates = st.sampled_from([(None, None), (0.8, None), (0.8, 0.95), (1.0, 1.0)])
yields = st.sampled_from([(None, None), (None, 1.0), (0.9, 0.98), (0.9, 0.9)])
stoppages = st.sampled_from([(None, None), (3600.0, 0.5)])
may_be = st.none() | positive
may_be_0 = st.none() | not_negative
how_many = st.none() | st.integers(1, 10_000)
hours = st.none() | st.integers(1, 99)


def line_tables(
    draw: DrawFn,
    parts: Sequence[PartRow],
    tools: Sequence[ToolRow],
    joined: dict[str, Any],
    presses: Sequence[PressRow],
) -> dict[str, Any]:
    """Lines with equipment, stations, tasks, breaks and presses."""
    lines = [_line(draw, name) for name in distinct(draw, 0, 1)]
    stations = [one for line in lines for one in _stations(draw, line)]
    equipment = [
        LineEquipmentRow(in_line=line.name, name=name, at_most=draw(how_many))
        for line in lines
        for name in draw(st.lists(in_lists, max_size=2, unique=True))
    ]
    stations = [_with_equipment(draw, one, equipment) for one in stations]
    tasks = [
        one
        for line in lines
        for one in _tasks(draw, line, parts, joined, _of(line, stations), _of(line, equipment))
    ]
    return {
        "lines": tuple(lines),
        "line_equipment": tuple(equipment),
        "line_stations": tuple(stations),
        "line_tasks": tuple(tasks),
        "line_breaks": tuple(one for line in lines for one in _breaks(draw, _of(line, stations), line)),
        "line_presses": tuple(
            _feeds(draw, line, tool, presses, _of(line, tasks))
            for line in lines
            for tool in some(draw, tools)
        ),
    }


def _of(line: LineRow, rows: Sequence[Any]) -> list[Any]:
    return [one for one in rows if one.in_line == line.name]


def _line(draw: DrawFn, name: str) -> LineRow:
    (low, high), (first, final) = draw(rates), draw(yields)
    return LineRow(
        name=name,
        planned_per_h=draw(may_be),
        people=draw(how_many),
        hours_per_day=draw(st.none() | st.floats(0.5, 24)),
        quantity=draw(how_many),
        starts_on=draw(days),
        piece_cost=draw(may_be_0),
        minute_cost=draw(may_be_0),
        planned_first_yield=first,
        planned_final_yield=final,
        learning_low=low,
        learning_high=high,
        two_sided=draw(flags),
        note=draw(notes),
    )


def _stations(draw: DrawFn, line: LineRow) -> list[LineStationRow]:
    numbers = draw(st.lists(st.integers(1, 99), max_size=2, unique=True))
    called = draw(st.lists(names, min_size=len(numbers), max_size=len(numbers), unique=True))
    rows = []
    for number, name in zip(numbers, called, strict=True):
        works, stands = draw(stoppages)
        rows.append(
            LineStationRow(
                in_line=line.name,
                number=number,
                name=draw(st.sampled_from(["", name])),
                people=draw(how_many),
                two_sided=draw(st.none() | flags),
                places=draw(hours),
                cure_s=draw(may_be_0),
                fails=draw(shares),
                rework_to=draw(st.sampled_from([None, *numbers])),
                rounds=draw(hours),
                works_s=works,
                stands_s=stands,
                fixtures=draw(how_many),
                learning=draw(st.none() | st.floats(0.5, 1)),
                made_before=draw(hours),
                has="",
            )
        )
    return rows


def _listed(chosen: Sequence[Any]) -> str:
    return "; ".join(sorted(one.name for one in chosen))


def _with_equipment(draw: DrawFn, station: LineStationRow, equipment: Sequence[Any]) -> LineStationRow:
    here = [one for one in equipment if one.in_line == station.in_line]
    return replace(station, has=_listed(some(draw, here)))


def _tasks(
    draw: DrawFn,
    line: LineRow,
    parts: Sequence[PartRow],
    joined: dict[str, Any],
    stations: Sequence[LineStationRow],
    equipment: Sequence[LineEquipmentRow],
) -> list[LineTaskRow]:
    """Each task may come after those before it, and be tied to one of those after it or kept from it."""
    called = draw(st.lists(in_lists, max_size=3, unique=True))
    numbers = st.sampled_from([None, *(one.number for one in stations)])
    rows: list[LineTaskRow] = []
    for ordinal, name in enumerate(called):
        others = called[ordinal + 1 :]
        tied, apart = draw(st.sampled_from([(others[:1], others[1:]), ([], others[:1]), ([], [])]))
        rows.append(
            LineTaskRow(
                in_line=line.name,
                ordinal=ordinal,
                name=name,
                title=draw(notes),
                time_s=draw(positive),
                spread_s=draw(may_be_0),
                readings=draw(st.integers(0, 99)),
                side=draw(words(Side)),
                after=_listed(some(draw, rows)),
                needs=_listed(some(draw, equipment)),
                together="; ".join(sorted(tied)),
                apart="; ".join(sorted(apart)),
                part=draw(st.sampled_from(["", *(one.code for one in parts)])),
                joint=draw(st.sampled_from(["", *(one.code for one in joined["joints"])])),
                seam=draw(st.sampled_from(["", *(one.code for one in joined["seams"])])),
                fixed_station=draw(numbers),
                placed_at=draw(numbers),
            )
        )
    return rows


def _breaks(draw: DrawFn, stations: Sequence[LineStationRow], line: LineRow) -> list[LineBreakRow]:
    return [
        LineBreakRow(
            in_line=line.name,
            station=draw(st.sampled_from([None, *(one.number for one in stations)])),
            begins_h=begins,
            ends_h=begins + 0.25,
            people=draw(hours),
        )
        for begins in draw(st.lists(st.integers(0, 23).map(float), max_size=1, unique=True))
    ]


def _feeds(
    draw: DrawFn, line: LineRow, tool: ToolRow, presses: Sequence[PressRow], tasks: Sequence[LineTaskRow]
) -> LinePressRow:
    works, stands = draw(stoppages)
    return LinePressRow(
        in_line=line.name,
        tool=tool.code,
        press=draw(st.sampled_from(["", *(one.code for one in presses)])),
        cycle_s=draw(positive),
        cycle_spread_s=draw(may_be_0),
        rejects=draw(shares),
        works_s=works,
        stands_s=stands,
        task=draw(st.sampled_from(["", *(one.name for one in tasks)])),
    )


def pilot_tables(
    draw: DrawFn,
    lines: dict[str, Any],
    trials: Sequence[TrialRow],
    joined: dict[str, Any],
    contents: Contents,
) -> dict[str, Any]:
    """Pilots of the lines, with sheets of every kind that the line can have."""
    pilots = [_pilot(draw, line, name) for line in lines["lines"] for name in distinct(draw, 0, 1)]
    can_be = [
        (pilot, kind)
        for pilot in pilots
        for kind in PilotFileKind
        if kind == PilotFileKind.AUDITS or any(one.in_line == pilot.in_line for one in lines["line_stations"])
        if kind != PilotFileKind.AUDITS or joined["joints"] or joined["seams"]
    ]
    sheets = [
        _sheet(draw, *one, name, contents) for one in some(draw, can_be) for name in distinct(draw, 1, 2)
    ]
    rows: dict[str, list[Any]] = {kind.value: [] for kind in PilotFileKind}
    for sheet in sheets:
        for row in range(2, draw(st.integers(3, 4))):
            rows[sheet.kind].append(_on_sheet(draw, sheet, row, lines, joined))
    return {
        "pilots": tuple(pilots),
        "pilot_trials": tuple(
            PilotTrialRow(in_line=pilot.in_line, pilot=pilot.name, tool=trial.tool, trial=trial.name)
            for pilot in pilots
            for trial in some(draw, trials)
        ),
        "pilot_files": with_files(sheets),
        **{f"pilot_{kind}": tuple(found) for kind, found in rows.items()},
    }


def _pilot(draw: DrawFn, line: LineRow, name: str) -> PilotRow:
    return PilotRow(
        in_line=line.name,
        name=name,
        ran_on=draw(days),
        pieces=draw(how_many),
        hours=draw(may_be),
        people=draw(how_many),
        note=draw(notes),
    )


def _sheet(draw: DrawFn, pilot: PilotRow, kind: PilotFileKind, name: str, contents: Contents) -> PilotFileRow:
    return PilotFileRow(
        in_line=pilot.in_line,
        pilot=pilot.name,
        kind=kind.value,
        name=name,
        done_on=draw(days),
        note=draw(notes),
        file="",
        file_name=draw(names),
        sha256=content_of(draw, contents),
        read_at=draw(moments),
        read_by=draw(notes),
        set_aside=name,  # so that the same bytes may lie there twice
    )


def _on_sheet(
    draw: DrawFn, sheet: PilotFileRow, row: int, lines: dict[str, Any], joined: dict[str, Any]
) -> Any:
    same = {"in_line": sheet.in_line, "pilot": sheet.pilot, "sheet": sheet.name, "row": row, "column": 3}
    same["hour"] = draw(hours)
    stations = [one.number for one in lines["line_stations"] if one.in_line == sheet.in_line]
    good, again, scrapped = (draw(st.integers(0, 99)) for _ in range(3))
    if sheet.kind == PilotFileKind.COUNTS:
        return PilotCountRow(
            **same,
            station=draw(st.sampled_from(stations)),
            station_text=draw(notes),
            tried=good + again + scrapped + draw(st.integers(0, 9)),
            good_first=good,
            reworked_good=again,
            scrapped=draw(st.sampled_from([None, scrapped])),
        )
    if sheet.kind == PilotFileKind.DEFECTS:
        return PilotDefectRow(
            **same,
            station=draw(st.sampled_from(stations)),
            defect=draw(names),
            count=good + scrapped,
            scrapped=draw(st.sampled_from([None, scrapped])),
            rework_minutes=draw(may_be_0),
        )
    if sheet.kind == PilotFileKind.TIMES:
        tasks = [one.name for one in lines["line_tasks"] if one.in_line == sheet.in_line]
        return PilotTimeRow(
            **same,
            station=draw(st.sampled_from(stations)),
            task=draw(st.sampled_from(["", *tasks])),
            time_s=draw(positive),
            operator=draw(notes),
        )
    which = [("joint", one.code) for one in joined["joints"]] + [
        ("seam", one.code) for one in joined["seams"]
    ]
    column, code = draw(st.sampled_from(which))
    return PilotAuditRow(
        **same, **{"joint": "", "seam": "", column: code}, value=draw(sizes), unit=draw(notes)
    )


def a_later_day(draw: DrawFn, first: Any) -> Any:
    """The day itself, a later one, or none."""
    later = min((first.max - first).days, draw(st.integers(0, 400)))
    return draw(st.sampled_from([None, first + timedelta(later)]))

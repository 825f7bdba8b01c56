"""The demo's committed files: made again by their script, written as gauge rooms write, read without loss."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from examples.make_harbour_otter import GAUGE_ROOM, HERE, PROGRAMME
from examples.otter_story.drawings import TOOLS
from examples.otter_story.play import Played
from examples.otter_story.trials import LAST_TRIAL, RUNS, SLIP, Run

from offtool.exchange.programme import ProgrammeFolder
from offtool.exchange.readings import ReadingTable, read_table
from tests.steps.otter import Shown

pytestmark = pytest.mark.django_db


COMPUTED = ("corrections.csv", "predictions.csv")
"""Solved by linear algebra, whose last digits differ between processors: compared to a nanometre."""


def relative_files(folder: Path) -> dict[str, Path]:
    return {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("folder", [PROGRAMME, GAUGE_ROOM])
def test_the_script_makes_the_committed_files_again_byte_for_byte(
    story: tuple[Played, Path], folder: str
) -> None:
    made, kept = relative_files(story[1] / folder), relative_files(HERE / folder)
    assert made.keys() == kept.keys(), "run python -m examples.make_harbour_otter"
    # written.csv holds the checksums of the computed tables
    compared = made.keys() - {*COMPUTED, "written.csv"}
    differing = {name for name in compared if made[name].read_bytes() != kept[name].read_bytes()}
    assert differing == set(), "run python -m examples.make_harbour_otter"


@pytest.mark.parametrize("table", COMPUTED)
def test_the_script_computes_the_committed_corrections_again(story: tuple[Played, Path], table: str) -> None:
    made, kept = (
        list(csv.DictReader((folder / table).read_text("utf-8").splitlines()))
        for folder in (story[1] / PROGRAMME, HERE / PROGRAMME)
    )
    assert len(made) == len(kept) > 40
    for new, old in zip(made, kept, strict=True):
        for column in new.keys() - {"method"}:  # it names the version of the program
            assert_alike(as_value(new[column]), as_value(old[column]))


def as_value(text: str) -> Any:
    try:
        return json.loads(text)
    except ValueError:
        return text


def assert_alike(new: Any, old: Any) -> None:
    if isinstance(new, dict):
        assert new.keys() == old.keys()
        for key in new:
            assert_alike(new[key], old[key])
    elif isinstance(new, list):
        assert len(new) == len(old)
        for one, other in zip(new, old, strict=True):
            assert_alike(one, other)
    elif isinstance(new, float):
        assert new == pytest.approx(old, rel=1e-7, abs=1e-9)
    else:
        assert new == old


def test_the_programme_is_an_invented_figure_of_seven_parts_on_three_tools(
    shown: Shown, committed: ProgrammeFolder
) -> None:
    assert shown.overview.invented
    assert "invented" in committed.programme.note.casefold()
    assert len(committed.parts) == 7
    assert {tool.code: tool.cavities for tool in shown.overview.tools} == {"M1": 4, "M2": 6, "M3": 8}
    assert 55 <= len(committed.characteristics) <= 65
    measured = {(row.tool, row.feature) for row in committed.steel_sizes if row.state == "a"}
    unmeasured = {row.code for row in committed.features if (row.tool, row.code) not in measured}
    assert unmeasured == {"CV506", "CV704"}


def table_of(run: Run) -> ReadingTable:
    folder = HERE / (GAUGE_ROOM if run.name == LAST_TRIAL else f"{PROGRAMME}/originals")
    return read_table((folder / run.file).read_bytes(), run.file)


def test_the_seven_files_are_written_in_the_ways_that_gauge_rooms_write() -> None:
    read = {(run.drawing.code, run.name): table_of(run) for run in RUNS}
    ways = {place: (table.layout.value, table.encoding) for place, table in read.items()}
    assert ways["M1", "T1"] == ways["M1", "T2"] == ("wide", "Windows-1252")
    assert ways["M2", "T1"] == ("report", "XLSX")
    assert ways["M2", "T2"] == ("long", "UTF-8")
    assert ways["M3", "T1"] == ("long", "GB18030")
    assert ways["M3", "T2"] == ways["M3", "T3"] == ("wide", "XLSX")
    assert read["M1", "T1"].decimal == ","
    assert (HERE / PROGRAMME / "originals" / "M2_T2_readings.csv").read_bytes().startswith(b"\xef\xbb\xbf")


@pytest.mark.parametrize("run", RUNS, ids=lambda run: f"{run.drawing.code}-{run.name}")
def test_every_number_of_a_file_comes_back_as_it_was_measured(run: Run, played: Played) -> None:
    table, measured = table_of(run), played.measured[run.drawing.code, run.name]
    unread = sum(hand("4.0") in ("-", "", "OOL") for hand in run.by_hand.values())
    assert len(table.value) == measured.value.size - unread
    keys = [characteristic.label for characteristic in table.characteristics]
    names = [size.name for size in run.drawing.sizes]
    for i in range(len(table.value)):
        label = keys[table.characteristic[i]]
        size = names.index(label) if label in names else run.drawing.place(label)
        number = table.shot[i] if table.shot[i] >= 0 else measured.shots[table.part[i] - 1]
        shot = int(np.flatnonzero(measured.shots == number)[0])
        cavity = run.drawing.labels.index(table.cavities[table.cavity[i]])
        true = float(measured.value[shot, size, cavity])
        if (number, run.drawing.labels[cavity], run.drawing.sizes[size].key) == SLIP and SLIP in run.by_hand:
            true = float(run.by_hand[SLIP](f"{true:.3f}"))
            assert true != pytest.approx(float(measured.value[shot, size, cavity]))
        assert table.value[i] == pytest.approx(true, abs=1e-9)


def test_exactly_the_planted_cells_are_repaired() -> None:
    for run in RUNS:
        repaired = table_of(run).repairs
        if (run.drawing.code, run.name) == ("M1", "T2"):
            assert len(repaired) == 2
            assert repaired[0].found.endswith("*")
            assert repaired[1].found.endswith(" mm")
        elif run.write.__name__ == "report_xlsx":  # a nominal with its drawing sign
            assert all("⌀" in one.found or "°" in one.found for one in repaired)
            assert len(repaired) == sum(size.kind in ("diameter", "angle") for size in run.drawing.sizes)
        else:
            assert repaired == ()


def test_every_tool_has_its_drawing_in_the_committed_folder(committed: ProgrammeFolder) -> None:
    drawn = {(size.part, size.number): (size.lower, size.upper) for tool in TOOLS for size in tool.sizes}
    assert {(row.part, row.number): (row.lower, row.upper) for row in committed.characteristics} == drawn

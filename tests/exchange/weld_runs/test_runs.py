"""Weld studies as benches write them: settings and results found by their headings, a run a row."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.exchange.readings import FileRefused
from offtool.exchange.weld_runs import WeldRunRead, WeldStudyTable, read_weld_study
from offtool.handbook.terms import Appearance, Failure, Ridge
from tests.exchange.readings.gauge_room import workbook
from tests.labels import independent

TOP, BOTTOM = ("HO-02",), ("HO-03",)
SAMPLES = Path(__file__).parents[3] / "examples" / "readings_files"

IN_ENGLISH = (
    "Piece,HO-02 cavity,HO-03 cavity,Weld time [s],Pressure [bar],Amplitude peak-to-peak [µm],Hold [s],"
    "Energy [J],Collapse [mm],Strength [N],Failure,Height [mm],Flash [mm],Appearance,Ridge\n"
    "1,1,2,0.3,2.5,50,0.5,120,0.42,380,torn,18.1,0.05,good,melted\n"
)
IN_GERMAN = (
    "Teil;Oberteil Nest;Unterteil Nest;Schweißzeit [ms];Druck [MPa];Amplitude µm Spitze-Spitze;"
    "Haltezeit [ms];Energie [Ws];Fügeweg [mm];Festigkeit [N];Bruchbild;Höhe;Grat;Aussehen;ERG\n"
    "1;1;2;300;0,25;50;500;120;0,42;380;gerissen;18,1;0,05;gut;geschmolzen\n"
)
IN_CHINESE = (
    "样品,上穴号,下穴号,焊接时间(毫秒),压力(kPa),振幅峰峰值(µm),保压时间(秒),能量(J),"
    "下沉量,强度(N),失效,高度,飞边,外观,导熔线\n"
    "1,1,2,300,250,50,0.5,120,0.42,380,撕裂,18.1,0.05,合格,熔化\n"
)
RUN = WeldRunRead(
    piece="1", top_cavity="1", bottom_cavity="2", time_s=0.3, pressure_bar=2.5, amplitude_um=50.0, hold_s=0.5,
    energy_j=120.0, collapse_mm=0.42, strength_n=380.0, failure=Failure.TORN, height_mm=18.1, flash_mm=0.05,
    appearance=Appearance.GOOD, ridge=Ridge.MELTED, row=2,
)  # fmt: skip


def read(text: str) -> WeldStudyTable:
    return read_weld_study(text.encode(), "w.csv", top=TOP, bottom=BOTTOM)


@pytest.mark.parametrize("text", [IN_ENGLISH, IN_GERMAN, IN_CHINESE])
def test_every_language_gives_the_same_run(text: str) -> None:
    table = read(text)
    assert table.runs == (RUN,)
    assert (table.file.refused, table.file.repairs, table.file.cautions) == ((), (), ())
    assert (table.top_column, table.bottom_column) == (2, 3)


def test_a_workbook_reads_like_its_text() -> None:
    heads, cells = (line.split(",") for line in IN_ENGLISH.splitlines())
    row = [float(cell) if cell.replace(".", "").isdecimal() else cell for cell in cells]
    assert read_weld_study(workbook([heads, row]), "w.xlsx", top=TOP, bottom=BOTTOM).runs == (RUN,)


@pytest.mark.parametrize(
    ("heading", "bar"),
    [
        ("Pressure [bar]", 1.0),
        ("Pressure MPa", 10.0),
        ("Pressure (kPa)", 0.01),
        # pound-force from 0.45359237 kg and 9.80665 m/s², on an inch of 25.4 mm squared; 1 bar is 100,000 Pa
        ("Pressure [psi]", 0.45359237 * 9.80665 / 0.0254**2 / 1e5),
    ],
)
def test_pressures_become_bar(heading: str, bar: float) -> None:
    (run,) = read(f"{heading}\n1\n").runs
    assert run.pressure_bar == independent(bar, way="from the definitions of the units", rel=0, within=1e-9)


@pytest.mark.parametrize(
    "heading",
    ["Amplitude µm p-p", "Amplitude [µm peak-to-peak]", "Amplitude pp (µm)", "Amplitude peak to peak, µm"],
)
def test_an_amplitude_that_says_peak_to_peak_is_taken_as_it_stands(heading: str) -> None:
    table = read(f"piece,{heading}\n1,25\n")
    assert table.runs[0].amplitude_um == 25
    assert (table.file.repairs, table.file.cautions) == ((), ())


@pytest.mark.parametrize("heading", ["Amplitude µm peak", "Amplitude (peak) [µm]", "Amplitude 0-peak [µm]"])
def test_a_peak_amplitude_is_doubled_and_listed(heading: str) -> None:
    table = read(f"piece,{heading}\n1,25\n")
    assert table.runs[0].amplitude_um == 50
    assert list(map(str, table.file.repairs)) == [
        "row 2, column 2: '25' is read as 50 µm peak-to-peak; an amplitude that is headed peak is doubled"
    ]


def test_an_amplitude_that_says_nothing_is_peak_to_peak_with_a_caution() -> None:
    table = read("piece,Amplitude\n1,25\n")
    assert table.runs[0].amplitude_um == 25
    assert "taken as peak-to-peak" in table.file.cautions[0].text
    assert "Column 2, 'Amplitude', states no unit: taken as µm." in table.file.notes


@pytest.mark.parametrize("cell", [">400", "> 400", ">=400", "≥400", "400+", "＞400", ">400 N"])
def test_a_pull_that_was_stopped_held(cell: str) -> None:
    table = read(f"piece,Strength [N]\n1,{cell}\n")
    assert (table.runs[0].strength_n, table.runs[0].failure) == (400, Failure.HELD)
    assert "the pull was stopped there: it is at least so much" in table.file.repairs[0].why


def test_a_stopped_pull_that_came_apart_is_refused() -> None:
    table = read("piece,Strength [N],Failure\n1,>400,torn\n2,>400,held\n3,350,held\n")
    (cell,) = table.file.refused
    assert (cell.row, cell.column) == (2, 2)
    assert [(one.strength_n, one.failure) for one in table.runs] == [
        (None, Failure.TORN),
        (400.0, Failure.HELD),
        (350.0, Failure.HELD),
    ]


@pytest.mark.parametrize(
    ("row", "column", "why", "runs"),
    [
        ("2,300 mm,2,100,,", 2, "is in mm, its column in ms", 1),
        ("2,-300,2,100,,", 2, "is below 0: weld time is given without a sign", 1),
        ("2,300,<2,100,,", 3, "is a bound, not a value", 1),
        ("2,300,2,<100,,", 4, "is a bound, not a value", 2),
        ("2,300,2,100,burst,", 5, "is no failure that is known", 1),
        ("2,300,2,100,,so so", 6, "is no appearance that is known", 1),
        (",300,2,100,,", 1, "names no piece", 1),
    ],
)
def test_a_cell_is_refused_by_row_and_column_with_a_remedy(
    row: str, column: int, why: str, runs: int
) -> None:
    table = read(f"Piece,Time [ms],Pressure [bar],Strength [N],Failure,Appearance\n1,300,2,100,,\n{row}\n")
    (cell,) = table.file.refused
    assert (cell.row, cell.column, cell.why) == (3, column, why)
    assert cell.remedy
    assert len(table.runs) == runs


@pytest.mark.parametrize(
    ("heading", "why"),
    [
        ("Strength [mm]", "is in mm: strength is given in N; the column is left out"),
        ("Time [bar]", "is in bar: weld time is given in s; the column is left out"),
        ("Humidity", "heads a column of numbers and is not known; the column is left out"),
        ("Cavity", "says not of which part the cavity is; the column is left out"),
    ],
)
def test_a_column_is_refused_by_its_heading(heading: str, why: str) -> None:
    table = read(f"Piece,Pressure [bar],{heading}\n1,2,3\n")
    (cell,) = table.file.refused
    assert (cell.row, cell.column, cell.found, cell.why) == (1, 3, heading, why)


def test_a_time_without_a_unit_is_refused_by_name() -> None:
    with pytest.raises(
        FileRefused, match="has no unit: neither its heading nor its row says in what the weld time"
    ):
        read("Piece,Weld time\n1,300\n")


def test_a_row_that_says_nothing_of_its_piece_is_refused_by_name() -> None:
    table = read("Piece,Pressure [bar],Ridge\n1,2,\n2,,\n\n")
    assert [one.piece for one in table.runs] == ["1"]
    (cell,) = table.file.refused
    assert (cell.row, cell.column, cell.found) == (3, 1, "2")
    assert cell.why == "says neither what was set nor what was found; the row is left out"


@pytest.mark.parametrize(
    ("column", "word"), [("failure", "peeled clean"), ("ridge", "intact"), ("appearance", "bad")]
)
def test_a_piece_that_was_looked_at_is_a_run_without_a_number(column: str, word: str) -> None:
    table = read(f"piece,{column},strength [N]\nA,{word},\nB,,180\n")
    assert [(one.piece, one.strength_n) for one in table.runs] == [("A", None), ("B", 180)]
    assert str(getattr(table.runs[0], column)) == word
    assert table.file.refused == ()


@pytest.mark.parametrize("heading", ["Time [s]", "Pressure [bar]", "Amplitude p-p [µm]"])
def test_a_refused_setting_takes_its_run_out_and_says_so(heading: str) -> None:
    table = read(f"piece,{heading},strength [N]\n1,5,180\n2,five,190\n3,,170\n")
    assert [one.piece for one in table.runs] == ["1", "3"]
    (cell,) = table.file.refused
    assert (cell.row, cell.column) == (3, 2)
    assert cell.remedy.endswith("the row is left out")


def test_the_sample_is_read_with_its_stopped_pulls() -> None:
    file = SAMPLES / "otter_torso_weld.csv"
    table = read_weld_study(file.read_bytes(), file.name, top=TOP, bottom=BOTTOM)
    assert table.file.refused == ()
    stopped = file.read_text().count(">400")
    assert len(table.file.repairs) == stopped
    assert sum(one.failure is Failure.HELD for one in table.runs) == stopped
    assert len(table.runs) == len(file.read_text().splitlines()) - 4

"""Tables of tasks: headings in three languages, units, single times, lists of names, and back again."""

from __future__ import annotations

import io
from statistics import fmean, stdev

import pytest
from hypothesis import strategies as st
from openpyxl import Workbook

from offtool.exchange.line_tasks import TaskLine, read_line_tasks, write_line_tasks
from offtool.exchange.line_tasks.names import names_in, station_in
from offtool.exchange.readings import FileRefused
from tests.core.laws import law
from tests.labels import independent

PLAIN = "task,time [s],spread [s],readings,after,needs\ntrim,12,1.5,10,,\nweld,18.5,1,10,trim,welder\n"


def read(text: str, **how: str) -> list[tuple[str, float | None, float | None, int | None]]:
    found = read_line_tasks(text.encode(), "t.csv", **how)
    return [(one.task, one.time_s, one.spread_s, one.readings) for one in found.rows]


def test_a_plain_table_is_read_with_its_order_and_equipment() -> None:
    found = read_line_tasks(PLAIN.encode(), "t.csv")
    assert read(PLAIN) == [("trim", 12.0, 1.5, 10), ("weld", 18.5, 1.0, 10)]
    assert found.rows[1].after == ("trim",)
    assert found.rows[1].needs == ("welder",)
    assert found.unit == "s"
    assert found.file.refused == ()


GERMAN = """Nr;Arbeitsgang;Zeit [s];Standardabweichung [s];Messungen;Vorgänger;Maschine
1;trim;12,0;1,5;10;;
2;weld;18,5;1,0;10;1;welder
"""
CHINESE = """序号,工序,时间 [s],标准差 [s],测量次数,紧前工序,设备
1,trim,12,1.5,10,,
2,weld,18.5,1,10,1,welder
"""
MINUTES = """task|time [min]|spread [s]|n|predecessors|equipment
trim|0.2|1.5|10||
weld|0.30833333333|1|10|trim|welder
""".replace("|", "\t")


@pytest.mark.parametrize("text", [GERMAN, CHINESE, MINUTES], ids=["German", "Chinese", "minutes and tabs"])
def test_other_languages_decimals_units_and_numbered_orders_say_the_same(text: str) -> None:
    mine = read_line_tasks(text.encode(), "t.csv").rows
    plain = read_line_tasks(PLAIN.encode(), "t.csv").rows
    for one, other in zip(mine, plain, strict=True):
        assert (one.task, one.after, one.needs, one.readings) == (
            other.task,
            other.after,
            other.needs,
            other.readings,
        )
        assert one.time_s == independent(other.time_s, way="the same table in seconds", rel=1e-8)


def test_times_without_a_unit_are_asked_for_and_taken_as_said() -> None:
    bare = "task,time\ntrim,0.2\nweld,0.3\n"
    assert read_line_tasks(bare.encode(), "t.csv").unit == ""
    assert [one[1] for one in read(bare, unit="min")] == [12.0, 18.0]
    assert [one[1] for one in read(bare, unit="s")] == [0.2, 0.3]
    in_cells = "task,time\ntrim,12 s\nweld,18 s\n"
    assert read_line_tasks(in_cells.encode(), "t.csv").unit == "s"


def test_single_times_give_mean_spread_and_readings() -> None:
    text = "task,time 1 [s],time 2 [s],time 3 [s]\ntrim,11,12,14\nweld,18,,19\ncarton,4,,\n"
    trim, weld, carton = read(text)
    assert trim[1] == independent(fmean([11, 12, 14]), way="statistics.fmean")
    assert trim[2] == independent(stdev([11, 12, 14]), way="statistics.stdev")
    assert (trim[3], weld[3], carton[3]) == (3, 2, 1)
    assert carton[2] is None


def test_a_workbook_says_the_same() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ("task", "time [s]", "after", "station"),
        ("trim", 12, None, "S1"),
        ("weld", 18.5, "trim", 2),
    ):
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    found = read_line_tasks(out.getvalue(), "t.xlsx").rows
    assert [(one.task, one.time_s, one.after, one.station) for one in found] == [
        ("trim", 12.0, (), 1),
        ("weld", 18.5, ("trim",), 2),
    ]


def test_cells_that_cannot_be_read_are_named_with_their_row() -> None:
    text = "task,time [s],side,station\ntrim,soon,left,S1\nweld,18,upside,somewhere\n,4,,\n"
    found = read_line_tasks(text.encode(), "t.csv")
    assert [(one.row, one.found) for one in found.file.refused] == [
        (2, "soon"),
        (3, "upside"),
        (3, "somewhere"),
        (4, ""),
    ]
    assert found.rows[0].time_s is None


@pytest.mark.parametrize("content", [b"", b"\x00\xff", b"a,b\n1,2\n", b"task,time [s]\n"])
def test_what_is_no_table_of_tasks_is_refused(content: bytes) -> None:
    with pytest.raises(FileRefused):
        read_line_tasks(content, "t.csv")


@pytest.mark.parametrize(
    ("cell", "found"),
    [
        ("trim; weld", ("trim", "weld")),
        ("trim, weld", ("trim", "weld")),
        ("trim、weld", ("trim", "weld")),
        ("1; 2.0", ("trim", "weld")),
        ("look, then pack", ("look, then pack",)),
        ("paint, eyes", ("paint, eyes",)),
        ("trim; trim", ("trim",)),
        ("-", ()),
        ("", ()),
    ],
)
def test_names_in_a_cell_are_parted_where_that_gives_tasks(cell: str, found: tuple[str, ...]) -> None:
    known = ["trim", "weld", "look, then pack"]
    assert names_in(cell, known, {"1": "trim", "2": "weld"}) == found


@pytest.mark.parametrize(
    ("cell", "number"), [("3", 3), ("S3", 3), ("station 03", 3), ("3.0", 3), ("x", None), ("0", None)]
)
def test_a_station_is_found_by_its_number(cell: str, number: int | None) -> None:
    assert station_in(cell) == number


@law(examples=40, times=st.lists(st.floats(0.01, 5000), min_size=2, max_size=6), spread=st.floats(0.0, 50))
def test_what_is_written_is_read_back(times: list[float], spread: float) -> None:
    names = [f"task {i}" for i in range(len(times))]
    lines = tuple(
        TaskLine(
            task=name, title="=words", time_s=time, spread_s=spread if i else None, readings=i,
            after=tuple(names[:i]), needs=("welder", "jig") if i else (), side="left", together=(),
            apart=(names[0],) if i else (), fixed_station=i or None, station=i + 1, part="A-1", joint="",
            seam="s",
        )
        for i, (name, time) in enumerate(zip(names, times, strict=True))
    )  # fmt: skip
    back = read_line_tasks(write_line_tasks(lines), "t.csv").rows
    for one, line in zip(back, lines, strict=True):
        assert one.time_s == independent(line.time_s, way="what was written", rel=1e-9)
        for name in (
            "task",
            "title",
            "readings",
            "after",
            "needs",
            "apart",
            "side",
            "fixed_station",
            "station",
        ):
            assert getattr(one, name) == getattr(line, name)
        assert (one.part, one.joint, one.seam) == (line.part, line.joint, line.seam)


@pytest.mark.parametrize("heading", ["vorher", "Davor", "vorher fertig", "nach", "前序", "紧前作业"])
def test_the_order_is_read_under_each_of_its_usual_headings(heading: str) -> None:
    found = read_line_tasks(f"Aufgabe;Dauer [s];{heading}\ntrim;12,5;\nweld;18;trim\n".encode(), "t.csv")
    assert found.rows[1].after == ("trim",)
    assert found.ignored == ()


def test_a_column_under_an_unknown_heading_is_named() -> None:
    found = read_line_tasks(b"task,time [s],liebling\ntrim,12,\nweld,18,trim\n", "t.csv")
    assert found.ignored == ("liebling",)
    assert "after" not in found.fields

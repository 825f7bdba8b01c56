"""Long tables: a row a reading."""

from __future__ import annotations

import pytest

from offtool.exchange.readings import FileRefused, Layout
from tests.exchange.readings.gauge_room import cells_of, limits, read, said, taken, values


def test_each_row_is_one_reading() -> None:
    table = read(
        "Value,Characteristic,Cavity,Shot,Part\n4.01,Peg dia,1,21,1\n12.51,Seat,1,21,1\n4.02,Peg dia,2,21,2\n"
    )
    assert table.layout is Layout.LONG
    assert taken(table) == [
        ("Peg dia", "1", 21, 1, 4.01),
        ("Seat", "1", 21, 1, 12.51),
        ("Peg dia", "2", 21, 2, 4.02),
    ]
    assert cells_of(table) == [(2, 1), (3, 1), (4, 1)]


def test_units_differ_from_row_to_row() -> None:
    table = read(
        "characteristic\tcavity\tshot\tvalue\tunit\n"
        "Peg\tCav 1\t1\t0.158\tin\n"
        'Peg\tCav 1\t2\t0.159\t""""\n'
        "Wall\tCav 1\t1\t1203\tµm\n"
        "Torque\tCav 1\t1\t35\tN·mm\n"
        "Weight\tCav 1\t1\t2.51\tg\n",
        "utf-16",
    )
    assert (table.encoding, table.delimiter) == ("UTF-16 LE", "\t")
    assert values(table) == [4.0132, 4.0386, 1.203, 0.035, 2.51]
    assert [each.unit for each in table.characteristics] == ["mm", "mm", "N·m", "g"]
    assert "Readings in inch are given in mm: 'Peg'." in said(table)
    assert "Readings in µm are given in mm: 'Wall'." in said(table)


def test_limits_are_read_from_each_row_once() -> None:
    table = read(
        "No.;Merkmal;Nennmaß;OGW;UGW;Nest;Schuss;Messwert [mm];Urteil\n"
        "12;Zapfen;4,00;4,05;3,95;1;1;4,01;i.O.\n"
        "12;Zapfen;4,00;4,05;3,95;2;1;4,07;n.i.O.\n"
        "13;Sitz;12,5;12,6;;1;1;12,55;i.O.\n"
    )
    assert [(each.number, each.name) for each in table.characteristics] == [("12", "Zapfen"), ("13", "Sitz")]
    assert limits(table) == [(4.0, 3.95, 4.05), (12.5, None, 12.6)]
    assert [t.value for t in taken(table)] == [4.01, 4.07, 12.55]


def test_rows_that_contradict_each_other_about_limits_are_refused() -> None:
    table = read(
        "Characteristic,Nominal,Upper limit,Cavity,Shot,Value\n"
        "Peg,4.00,4.05,1,1,4.01\n"
        "Peg,4.00,4.10,1,2,4.02\n"
    )
    assert limits(table) == [(4.0, None, 4.05)]
    assert [(cell.row, cell.why) for cell in table.refused] == [
        (3, "names other limits than row 2 does for the same characteristic")
    ]


def test_one_characteristic_in_two_kinds_of_unit_is_refused() -> None:
    with pytest.raises(FileRefused, match=r"rows 2 and 3: 'Peg' has readings in mm and in g"):
        read("Characteristic,Cavity,Shot,Value,Unit\nPeg,1,1,4.01,mm\nPeg,1,2,4.02,g\n")


def test_a_column_that_counts_the_rows_is_no_number_of_the_characteristic() -> None:
    table = read("No.,Characteristic,Cavity,Shot,Value\n1,Peg,1,1,4.01\n2,Peg,1,2,4.02\n3,Seat,1,1,12.5\n")
    assert [each.label for each in table.characteristics] == ["Peg", "Seat"]
    assert "Column 1 counts the rows" in said(table)


def test_an_empty_value_is_missing() -> None:
    table = read("Characteristic,Cavity,Shot,Value\nPeg,1,1,4.01\nPeg,1,2,\nPeg,1,3,n/a\n")
    assert values(table) == [4.01]
    assert table.missing == 2
    assert "Without a reading, left out: rows 3 and 4." in said(table)


def test_a_name_written_once_stands_for_the_rows_below() -> None:
    table = read("Characteristic,Cavity,Shot,Value\nPeg,1,1,4.01\n,1,2,4.02\nSeat,1,1,12.5\n,1,2,12.6\n")
    assert [t.characteristic for t in taken(table)] == ["Peg", "Peg", "Seat", "Seat"]
    assert [(repair.row, repair.read_as) for repair in table.repairs] == [(3, "Peg"), (5, "Seat")]


def test_a_reading_of_no_characteristic_is_refused() -> None:
    table = read("Characteristic,Value\nPeg,4.01\n,4.02\n")
    assert values(table) == [4.01]
    assert [(cell.row, cell.column) for cell in table.refused] == [(3, 1)]


def test_the_same_reading_twice_is_said_and_kept() -> None:
    table = read("Characteristic,Cavity,Shot,Value\nPeg,1,1,4.01\nPeg,1,2,4.02\nPeg,1,1,4.01\n")
    assert values(table) == [4.01, 4.02, 4.01]
    assert "1 reading stands for the same characteristic, cavity and shot as one before (row 4)" in said(
        table
    )


def test_a_column_named_result_holds_readings_or_judgements_as_its_cells_say() -> None:
    numbers = read("Characteristic,Cavity,Shot,Result\nPeg,1,1,4.01\n")
    assert values(numbers) == [4.01]
    judged = read("Characteristic,Cavity,Shot,Value,Result\nPeg,1,1,4.01,OK\n")
    assert values(judged) == [4.01]
    assert "A judgement stands in 1 row" in said(judged)


def test_drawing_numbers_alone_name_the_characteristics() -> None:
    """A long table whose characteristic column holds 1, 2, 3 is no wide one with a column of that name."""
    table = read("characteristic,cavity,shot,value\n1,1,1,4.01\n1,2,1,4.02\n2,1,1,32.50\n2,2,1,32.51\n")
    assert table.layout is Layout.LONG
    assert [one.number or one.label for one in table.characteristics] == ["1", "2"]
    assert table.value.tolist() == [4.01, 4.02, 32.50, 32.51]

"""Wide tables: a column a characteristic, a row a part."""

from __future__ import annotations

import pytest

from offtool.exchange.readings import FileRefused, Layout
from tests.exchange.readings.gauge_room import cells_of, limits, read, said, taken, values, written


def test_each_row_gives_one_reading_of_each_characteristic() -> None:
    table = read("Cavity,Shot,Peg dia [mm],Seat width [mm]\n1,21,4.01,12.51\n2,21,4.02,12.52\n")
    assert table.layout is Layout.WIDE
    assert (table.encoding, table.delimiter, table.decimal) == ("UTF-8", ",", ".")
    assert table.cavities == ("1", "2")
    assert [(each.label, each.name, each.unit) for each in table.characteristics] == [
        ("Peg dia [mm]", "Peg dia", "mm"),
        ("Seat width [mm]", "Seat width", "mm"),
    ]
    assert taken(table) == [
        ("Peg dia [mm]", "1", 21, None, 4.01),
        ("Seat width [mm]", "1", 21, None, 12.51),
        ("Peg dia [mm]", "2", 21, None, 4.02),
        ("Seat width [mm]", "2", 21, None, 12.52),
    ]
    assert cells_of(table) == [(2, 3), (2, 4), (3, 3), (3, 4)]
    assert (table.repairs, table.refused, table.missing) == ((), (), 0)


@pytest.mark.parametrize(
    "headings",
    [
        "Shot,Cavity,Part,Peg dia",
        "Schuss,Kavität,Teil,Zapfen",
        "模次,穴号,样品,销径",
        "Shot 模次,Cavity/穴号,Part (样品),Peg",
    ],
)
def test_columns_of_shot_cavity_and_part_stand_in_any_language_and_order(headings: str) -> None:
    shot, cavity, part, size = headings.split(",")
    table = read(written([[size, part, cavity, shot], ["4.01", "3", "2", "17"]]))
    assert taken(table) == [(size, "2", 17, 3, 4.01)]


def test_time_operator_and_remark_are_left_out_and_named() -> None:
    table = read("Time,Shot,Inspector,Peg dia,Remark\n08:15,1,A. N.,4.01,flash\n08:16,2,A. N.,4.02,\n")
    assert values(table) == [4.01, 4.02]
    assert "left out: Time, Inspector, Remark." in said(table)


def test_a_german_protocol_is_read_with_all_that_stands_around_it() -> None:
    table = read(
        "Messprotokoll Seeotter;;;;;\n"
        "Werkzeug:;HO-T1;;Datum:;03.11.2025;\n"
        "Alle Maße in mm;;;;;\n"
        ";;;;;\n"
        "Schuss;Nest;Zapfen Ø;Sitz Breite;Urteil;Bemerkung\n"
        "Nennmaß;;4,00 ±0,05;12,50 +0,10/-0,10;;\n"
        "12;1;4,012;12,51;i.O.;\n"
        "12;2;Ø4,021;12,63;n.i.O.;Grat\n"
        ";;;;;\n"
        "Schuss;Nest;Zapfen Ø;Sitz Breite;Urteil;Bemerkung\n"
        "13;1;4,00*;-;i.O.;\n"
        "Mittelwert;;4,01;12,57;;\n"
        "Prüfer: siehe Stempel;;;;;\n",
        "cp1252",
    )
    assert (table.encoding, table.delimiter, table.decimal) == ("Windows-1252", ";", ",")
    assert [(t.characteristic, t.cavity, t.shot, t.value) for t in taken(table)] == [
        ("Zapfen Ø", "1", 12, 4.012),
        ("Sitz Breite", "1", 12, 12.51),
        ("Zapfen Ø", "2", 12, 4.021),
        ("Sitz Breite", "2", 12, 12.63),
        ("Zapfen Ø", "1", 13, 4.0),
    ]
    assert limits(table) == [(4.0, 3.95, 4.05), (12.5, 12.4, 12.6)]
    assert [each.unit for each in table.characteristics] == ["mm", "mm"]
    assert [(repair.row, repair.column, repair.found) for repair in table.repairs] == [
        (6, 3, "4,00 ±0,05"),
        (6, 4, "12,50 +0,10/-0,10"),
        (8, 3, "Ø4,021"),
        (11, 3, "4,00*"),
    ]
    assert table.missing == 1
    assert "Statistics are left out: row 12 (Mittelwert)." in said(table)
    assert "Headings that are repeated are left out: row 10." in said(table)
    assert "Without a reading, left out: row 13." in said(table)


def test_limits_and_units_stand_in_rows_of_their_own() -> None:
    table = read(
        "Cavity,Shot,Peg dia,Angle,Weight\n"
        "Nominal,,4.00,45,2.50\n"
        "USL,,4.05,46,\n"
        "LSL,,3.95,44,2.40\n"
        "Unit,,mm,°,g\n"
        "1,1,4.01,45.5,2.51\n"
    )
    assert limits(table) == [(4.0, 3.95, 4.05), (45.0, 44.0, 46.0), (2.5, 2.4, None)]
    assert [each.unit for each in table.characteristics] == ["mm", "deg", "g"]
    assert cells_of(table) == [(6, 3), (6, 4), (6, 5)]


def test_numbers_and_names_may_stand_above_the_headings() -> None:
    table = read(
        "No.;;12;13\nMerkmal;;Zapfen;Sitz\nNennmaß;;4,00;12,50\nKavität;Schuss;mm;mm\n1;1;4,01;12,51\n"
    )
    assert [(each.number, each.name, each.unit) for each in table.characteristics] == [
        ("12", "Zapfen", "mm"),
        ("13", "Sitz", "mm"),
    ]
    assert [each.nominal for each in table.characteristics] == [4.0, 12.5]


def test_a_row_of_units_without_a_label_is_understood() -> None:
    table = read("Schuss;Nest;Zapfen;Moment;Winkel\n;;[µm];[N·mm];[°]\n1;1;4012;35;45\n")
    assert values(table) == [4.012, 0.035, 45.0]
    assert [each.unit for each in table.characteristics] == ["mm", "N·m", "deg"]


def test_maximum_and_minimum_above_are_limits_and_below_are_statistics() -> None:
    table = read(
        "Cavity,Shot,Peg dia\nNominal,,4.00\nMax,,4.05\nMin,,3.95\n1,1,4.01\n1,2,4.03\nMax,,4.03\nMin,,4.01\n"
    )
    assert limits(table) == [(4.0, 3.95, 4.05)]
    assert values(table) == [4.01, 4.03]
    assert "Statistics are left out: rows 7 and 8 (Max, Min)." in said(table)


@pytest.mark.parametrize(
    "words",
    [
        ("Mean", "Max", "Min", "σ", "Cpk", "Range"),
        ("Mittelwert", "Spannweite", "Std-Abw."),
        ("平均", "最大值", "标准差", "极差"),
    ],
)
def test_statistics_below_the_readings_are_left_out(words: tuple[str, ...]) -> None:
    rows: list[list[object]] = [
        ["Shot", "Cavity", "Peg dia"],
        [1, 1, 4.01],
        [2, 1, 4.02],
        *([word, "", 4.5] for word in words),
    ]
    assert values(read(written(rows))) == [4.01, 4.02]


def test_a_column_that_counts_the_rows_is_the_part_number() -> None:
    table = read("No.,Peg dia,Seat\n1,4.01,12.5\n2,4.02,12.6\n")
    assert [t.part for t in taken(table)] == [1, 1, 2, 2]
    assert "Column 1 counts the rows" in said(table)


def test_a_part_column_of_names_is_no_part_number() -> None:
    table = read("Part,Cavity,Shot,Peg dia\nTorso,1,1,4.01\nTorso,2,1,4.02\n")
    assert [t.part for t in taken(table)] == [None, None]
    assert "left out: Part." in said(table)


def test_cavities_may_stand_in_the_headings() -> None:
    table = read("Shot,Peg dia Cav 1,Peg dia Cav 2,Seat (Cav 1)\n1,4.01,4.02,12.5\n")
    assert [(t.characteristic, t.cavity, t.value) for t in taken(table)] == [
        ("Peg dia", "1", 4.01),
        ("Peg dia", "2", 4.02),
        ("Seat", "1", 12.5),
    ]


def test_cavities_may_stand_in_a_second_row_of_headings() -> None:
    table = read("Shot,Peg dia,,Seat,\n,Cav 1,Cav 2,Cav 1,Cav 2\n1,4.01,4.02,12.1,12.2\n")
    assert [(t.characteristic, t.cavity, t.value) for t in taken(table)] == [
        ("Peg dia", "1", 4.01),
        ("Peg dia", "2", 4.02),
        ("Seat", "1", 12.1),
        ("Seat", "2", 12.2),
    ]


def test_characteristics_may_be_headed_by_number_alone_or_by_number_and_name() -> None:
    by_number = read("Cavity,Shot,12,13.1\n1,1,4.01,12.5\n")
    assert [(each.number, each.name) for each in by_number.characteristics] == [("12", ""), ("13.1", "")]
    both = read("Cavity,Shot,#12 Peg dia,13: Seat\n1,1,4.01,12.5\n")
    assert [(each.number, each.name) for each in both.characteristics] == [("12", "Peg dia"), ("13", "Seat")]


def test_a_table_without_shot_cavity_and_part_says_what_is_not_recorded() -> None:
    table = read("Peg dia;Seat\n4,01;12,5\n4,02;12,6\n")
    assert values(table) == [4.01, 12.5, 4.02, 12.6]
    assert "No cavity is recorded for any reading." in said(table)
    assert "No shot is recorded for any reading." in said(table)
    assert "No unit is stated for 'Peg dia', 'Seat'" in said(table)


def test_a_single_column_needs_no_separator() -> None:
    table = read("Peg dia\n4.01\n4.02\n")
    assert values(table) == [4.01, 4.02]


def test_shots_out_of_order_and_without_cavity_are_kept_and_said() -> None:
    table = read("Shot,Cavity,Peg dia\n9,1,4.01\n5,1,4.02\n7,,4.03\n")
    assert [(t.shot, t.cavity) for t in taken(table)] == [(9, "1"), (5, "1"), (7, None)]
    assert "Shots do not stand in order (first in row 3)" in said(table)
    assert "No cavity is recorded for 1 of 3 readings." in said(table)


def test_labels_of_cavities_and_shots_come_to_one_spelling() -> None:
    table = read("Shot,Cavity,Peg dia\nShot 3,K2,4.01\n#4,K10,4.02\n第5模,K1,4.03\n")
    assert table.cavities == ("1", "2", "10")
    assert [(t.shot, t.cavity) for t in taken(table)] == [(3, "2"), (4, "10"), (5, "1")]


def test_letters_before_cavity_numbers_stay_when_they_tell_cavities_apart() -> None:
    table = read("Shot,Cavity,Peg dia\n1,K1,4.01\n1,N1,4.02\n")
    assert table.cavities == ("K1", "N1")


def test_a_characteristic_twice_is_refused_with_both_columns() -> None:
    with pytest.raises(FileRefused, match=r"'Peg dia' stands twice: in columns 3 and 5"):
        read("Cavity,Shot,Peg dia,Seat,Peg dia\n1,1,4.01,12.5,4.02\n")


def test_columns_without_a_heading_are_refused_when_they_hold_numbers() -> None:
    table = read("Cavity,Shot,Peg dia,\n1,1,4.01,7.7\n1,2,4.02,7.8\n")
    assert values(table) == [4.01, 4.02]
    assert [(cell.row, cell.column) for cell in table.refused] == [(1, 4)]


def test_a_second_table_with_other_headings_is_refused_wherever_it_begins() -> None:
    first = "Cavity,Shot,Peg dia\n" + "".join(f"1,{shot},4.01\n" for shot in range(400))
    for near in (first[:60], first):
        rows = near.count("\n") + 1
        for second in ("Shot,Cavity,Seat\n1,1,12.5\n", "Cavity,Shot,Seat\n1,1,12.5\n"):
            with pytest.raises(
                FileRefused, match=rf"(another table begins in row|in rows 1 and) {rows}"
            ) as refusal:
                read(near + second)
            assert "put each table in a file or on a sheet of its own" in str(refusal.value)


def test_a_smaller_table_above_is_not_lost_in_silence() -> None:
    with pytest.raises(FileRefused, match="two tables stand in one, with headings in rows 1 and 4"):
        read(
            "Cavity,Shot,Weight,,,\n1,1,2.51,,,\n,,,,,\n"
            "Cavity,Shot,Part,Peg dia,Seat,Wall\n1,1,1,4.01,12.5,1.2\n"
        )


def test_lines_of_a_title_are_not_taken_for_headings() -> None:
    table = read(
        "Part,Torso,Date,2025-11-03,Inspector,A. N.,Material,ABS\n"
        "Tool,HO-T1,Press,80 t,Cavities,4,Colour,sand\n"
        ",,,,,,,\n"
        "Shot,Peg dia,Seat,Wall,,,,\n"
        "1,4.01,12.5,1.2,,,,\n"
        "2,4.02,12.6,1.3,,,,\n"
    )
    assert table.notes[0] == (
        "Layout wide: headings in row 4; columns 2 to 4 hold readings."
        " What stands above row 4 is taken for a title."
    )
    assert values(table) == [4.01, 12.5, 1.2, 4.02, 12.6, 1.3]

"""QIF as measuring programs write it: units, limits, places, statuses, and what cannot be read."""

from __future__ import annotations

import pytest

from offtool.exchange.readings import FileRefused, Layout, ReadingTable, read_table
from tests.exchange.readings.gauge_room import limits, said, taken, values
from tests.exchange.readings.qif_writer import PEG, QIF2, Part, Size, write
from tests.labels import independent, published

ISO = "ISO 23952:2020 (QIF 3.0), Units: one inch is 0.0254 m, S = (X + offset) factor"


def read(content: bytes) -> ReadingTable:
    return read_table(content, "otter.qif")


# units


def test_inches_become_millimetres_values_and_limits_alike() -> None:
    table = read(write([Size(nominal="0.5", deviations=("-0.01", "0.01"))], [Part(["0.505"])], linear="inch"))
    assert values(table) == [published("12.827", source=ISO)]
    assert limits(table) == [(12.7, 12.446, 12.954)]
    assert table.characteristics[0].unit == "mm"
    assert "Readings in inch are given in mm: 'Peg diameter'." in said(table)


def test_radians_become_degrees_and_degrees_stay() -> None:
    angle = Size(kind="Angle", nominal="0.5", limits=("0.4", "0.6"))
    in_radians = read(write([angle], [Part(["0.51"])], angular="radian"))
    assert values(in_radians) == [independent(0.51 * 57.29577951308232, way="180 / pi", within=1e-9)]
    in_degrees = read(write([Size(kind="AngleBetween", limits=("44", "46"))], [Part(["45.5"])]))
    assert values(in_degrees) == [45.5]
    assert {table.characteristics[0].unit for table in (in_radians, in_degrees)} == {"deg"}


def test_a_value_may_name_another_unit_than_the_primary_one() -> None:
    table = read(write([PEG], [Part(["0.12"])], value_attributes=' linearUnit="inch"'))
    assert values(table) == [published("3.048", source=ISO)]
    assert limits(table) == [(3.0, 2.98, 3.03)]


def test_an_angle_without_a_unit_is_refused_and_a_length_stands_as_it_is() -> None:
    sizes = [PEG, Size("2", "Slope", kind="Angle")]
    table = read(write(sizes, [Part(["3.01", "45"])], linear="", angular=""))
    assert values(table) == [3.01]
    assert table.characteristics[0].unit is None
    assert [cell.why[:38] for cell in table.refused] == ["is an angle without a unit: the standa"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<Factor>0.001</Factor>", "<Factor>1</Factor>"),
        ("<Factor>0.001</Factor>", "<Factor>nan</Factor>"),
        ("<Factor>0.001</Factor>", "<Factor>0.001</Factor><Offset>3</Offset>"),
        ("<UnitName>mm</UnitName>", "<UnitName>kg</UnitName>"),
    ],
)
def test_a_unit_that_contradicts_its_conversion_refuses_the_file(old: str, new: str) -> None:
    with pytest.raises(FileRefused, match="which it is not"):
        read(write().replace(old.encode(), new.encode()))


def test_limits_and_values_beyond_measure_after_conversion_are_refused() -> None:
    content = write([Size(nominal="3", limits=("2", "900000"))], [Part(["3.01"])], linear="inch")
    table = read(content)
    assert [cell.found for cell in table.refused] == ["900000"]
    huge = write().replace(b"<UnitName>mm</UnitName>", b"<UnitName>line</UnitName>")
    with pytest.raises(FileRefused, match="holds no reading that can be read"):
        read(huge.replace(b"<Factor>0.001</Factor>", b"<Factor>1e300</Factor>"))


def test_a_unit_of_its_own_name_is_converted_by_its_factor_and_one_without_is_refused() -> None:
    named = write().replace(b"<UnitName>mm</UnitName>", b"<UnitName>line</UnitName>")
    assert values(read(named)) == [3.01]
    with pytest.raises(FileRefused, match="in a unit that the file does not explain"):
        read(write(value_attributes=' linearUnit="ell"'))


def test_numbers_with_and_without_a_unit_in_one_characteristic_refuse_the_file() -> None:
    content = write(linear="", value_attributes=' linearUnit="mm"', parts=[Part(["3.01"]), Part(["3.02"])])
    with pytest.raises(FileRefused, match="with a unit and without"):
        read(content.replace(b' linearUnit="mm"', b"", 1))


# limits


def test_form_and_position_are_limited_above_and_a_point_of_a_profile_on_both_sides() -> None:
    sizes = [
        Size("1", "Round", kind="Circularity", zone="0.05"),
        Size("2", "Place", kind="Position", zone="0.2"),
        Size("3", "Skin", kind="PointProfile", zone="0.4"),
        Size("4", "Fur", kind="PointProfile", zone="1.5", more="<OuterDisposition>1</OuterDisposition>"),
    ]
    table = read(write(sizes, [Part(["0.01", "0.1", "-0.1", "0.9"])]))
    assert limits(table) == [(0.0, None, 0.05), (0.0, None, 0.2), (0.0, -0.2, 0.2), (0.0, -0.5, 1.0)]


def test_plus_and_minus_values_are_deviations() -> None:
    content = write([Size(nominal="3", deviations=("0.02", "0.03"))])
    content = content.replace(b"MaxValue", b"PlusValue").replace(b"MinValue", b"MinusValue")
    assert limits(read(content)) == [(3.0, 2.98, 3.03)]


def test_both_deviations_above_the_nominal_stay_deviations() -> None:
    assert limits(read(write([Size(nominal="3", deviations=("0.01", "0.03"))]))) == [(3.0, 3.01, 3.03)]


def test_a_tolerance_without_a_nominal_and_one_upside_down_are_refused_by_line() -> None:
    table = read(write([Size(deviations=("-0.1", "0.1"))]))
    assert [cell.why for cell in table.refused] == ["is a tolerance without a nominal"]
    table = read(write([Size(nominal="3", limits=("3.1", "2.9"))]))
    assert [cell.why for cell in table.refused] == ["leaves no room above the lower limit"]
    assert limits(table) == [(3.0, None, None)]


# places


def test_serial_numbers_attributes_and_names_say_where_a_reading_was_taken() -> None:
    by_serial = read(write(parts=[Part(["3.01"], "Cav 2 shot 15"), Part(["3.02"], "Cav 1 shot 15")]))
    assert [(t.cavity, t.shot, t.value) for t in taken(by_serial)] == [("2", 15, 3.01), ("1", 15, 3.02)]
    by_attribute = read(
        write(parts=[Part(["3.01"], attributes={"Cavity": "3", "Shot no.": "12", "Sample": "4"})])
    )
    assert [t[1:4] for t in taken(by_attribute)] == [("3", 12, 4)]
    pegs = [Size(name=f"Peg dia, Cav {cavity}", limits=("2", "4")) for cavity in (1, 2)]
    by_name = read(write(pegs, [Part(["3.01", "3.02"])]))
    assert [(t.characteristic, t.cavity) for t in taken(by_name)] == [("Peg dia", "1"), ("Peg dia", "2")]


def test_parts_without_numbers_are_numbered_in_the_order_of_the_file_and_that_is_said() -> None:
    table = read(write(parts=[Part(["3.01"], "AB"), Part(["3.02"], "CD"), Part(["3.03"])]))
    assert [t.part for t in taken(table)] == [1, 2, 3]
    assert "3 parts are numbered in the order of the file ('AB' is part 1)" in said(table)


def test_equal_serial_numbers_are_no_numbers_of_parts() -> None:
    table = read(write(parts=[Part(["3.01"], "A-7"), Part(["3.02"], "B-7")]))
    assert [t.part for t in taken(table)] == [1, 2]


def test_one_part_without_a_number_has_none() -> None:
    assert [t.part for t in taken(read(write()))] == [None]


def test_a_shot_that_is_no_number_is_refused_by_line() -> None:
    table = read(write(parts=[Part(["3.01"], attributes={"Shot": "first"})]))
    assert [cell.found for cell in table.refused] == ["first"]


# what is said


def test_statuses_are_compared_and_missing_values_counted() -> None:
    parts = [
        Part(["3.05"], "1", ["PASS"]),
        Part(["3.00"], "2", ["FAIL"]),
        Part([None], "3"),
        Part(["3"], "4"),
    ]
    table = read(write(parts=parts))
    assert "1 of 3 statuses agree with the limits of the file" in said(table)
    assert "Judged good, yet the reading lies outside its limits" in said(table)
    assert "Judged bad, yet the reading lies inside its limits" in said(table)
    assert table.missing == 1


def test_a_second_measurement_of_a_characteristic_on_a_part_is_said() -> None:
    content = write(parts=[Part(["3.01"], "7"), Part(["3.02"], "7")]).replace(b"<Id>51</Id>", b"<Id>50</Id>")
    assert "1 reading stands for the same characteristic and part as one before" in said(read(content))


def test_time_and_operator_are_noted() -> None:
    traced = (
        "<InspectionTraceability>\n<InspectionStart>2026-03-10T09:00:00</InspectionStart>\n"
        "<InspectionOperator>\n<Name>gauge room 2</Name>\n</InspectionOperator>\n</InspectionTraceability>\n"
    )
    notes = said(read(write(results=traced)))
    assert "Inspection began 2026-03-10T09:00:00." in notes
    assert "Operator: gauge room 2." in notes


def test_characteristics_that_give_no_size_are_left_out_beside_others() -> None:
    table = read(write([PEG, Size("2", "Scratched", kind="UserDefinedAttribute")], [Part(["3.01", "no"])]))
    assert values(table) == [3.01]
    assert "Characteristics that give no size are left out: 'Scratched'." in said(table)


def test_a_value_that_is_no_number_is_refused_by_line_and_character_and_the_others_stand() -> None:
    content = write(parts=[Part(["<0.01"], "1"), Part(["3.02"], "2"), Part(["1e9"], "3")])
    table = read(content)
    assert values(table) == [3.02]
    lines = content.decode().splitlines()
    for cell, text in zip(table.refused, ("&lt;0.01", "1e9"), strict=True):
        assert lines[cell.row - 1][cell.column - 1 :].startswith(text)


def test_the_characteristic_that_stands_twice_refuses_the_file_with_both_lines() -> None:
    with pytest.raises(FileRefused, match=r"'Peg diameter' stands twice: in lines \d+ and \d+"):
        read(write([PEG, PEG], [Part(["3.01", "3.02"])]))


def test_an_item_without_a_name_is_named_by_its_kind() -> None:
    table = read(write([Size("-NONE-", "-NONE-", kind="DistanceBetween", limits=("2", "4"))]))
    assert table.characteristics[0].label == "Distance between, item 30"


# recognised by content


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16"])
def test_qif_is_recognised_by_its_content_in_any_encoding(codec: str) -> None:
    text = write().decode().replace("UTF-8", "UTF-16" if codec == "utf-16" else "UTF-8")
    table = read_table(text.encode(codec), "otter.csv")
    assert table.layout is Layout.QIF
    line = text.splitlines()[int(table.row[0]) - 1]
    assert line[int(table.column[0]) - 1 :].startswith("3.01")


def test_version_2_1_is_read_and_says_so() -> None:
    content = write(space=QIF2, version="2.1.0").replace(
        b"CharacteristicMeasurement>", b"CharacteristicActual>"
    )
    assert "version 2.1.0" in said(read(content))
    assert "as far as it is like 3.0" in said(read(content))


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (write(space="http://example.org/other"), "unknown namespace"),
        (write().replace(b' xmlns="http://qifstandards.org/xsd/qif3"', b""), r"unknown namespace \(none\)"),
        (write(version="4.0.0"), "says it is QIF 4.0.0"),
        (write(version="2.1.0"), "says it is QIF 2.1.0"),
        (b"<?xml version='1.0'?><table><!-- no QIFDocument --></table>", "no QIFDocument"),
    ],
)
def test_another_namespace_version_or_root_is_said(content: bytes, why: str) -> None:
    with pytest.raises(FileRefused, match=why):
        read(content)


def test_another_layout_or_a_sheet_cannot_be_asked_of_qif_nor_qif_of_a_table() -> None:
    with pytest.raises(FileRefused, match="is QIF and is not wide"):
        read_table(write(), "a", layout=Layout.WIDE)
    with pytest.raises(FileRefused, match="has no sheet 'Data'"):
        read_table(write(), "a", sheet="Data")
    with pytest.raises(FileRefused, match="is no QIF"):
        read_table(b"Cavity,Peg\n1,4.01\n", "a", layout=Layout.QIF)
    assert read_table(write(), "a", layout=Layout.QIF).layout is Layout.QIF

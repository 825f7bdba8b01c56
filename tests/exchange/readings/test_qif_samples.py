"""The samples of the standard's own community: what they hold is read, and what they do not is refused."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree import ElementTree

import numpy as np
import pytest

from offtool.exchange.readings import FileRefused, Layout, ReadingTable, read_files, read_table
from offtool.exchange.readings.bundle import SentFile
from offtool.exchange.readings.merged import merge
from tests import published as data
from tests.exchange.readings.gauge_room import cells_of, limits, said, values
from tests.labels import published

FOLDER = data.HERE / "qif"
SOURCE = "QIF samples of github.com/QualityInformationFramework/qif-community, commit 360b05e"
SHEET_METAL = "SheetMetal_QIF_Results_sample_{}.QIF"
CAPABILITY = "qif21_statistics_capability_study_with_subgroups_sample.QIF"


def content(name: str) -> bytes:
    return (FOLDER / name).read_bytes()


def read(name: str) -> ReadingTable:
    return read_table(content(name), name)


def stated_values(name: str) -> Iterator[float]:
    """The values of all measurements, by another way: the plain tree of the standard library."""
    for element in ElementTree.fromstring(content(name)).iter():
        if element.tag.endswith(("CharacteristicMeasurement", "CharacteristicActual")):
            value = next((one for one in element if one.tag.endswith("}Value")), None)
            if value is not None and value.text:
                yield float(value.text)


@pytest.mark.parametrize(
    ("name", "measurements"),
    [
        ("All-in-one.QIF", 4),
        ("QIF_Results_Sample.QIF", 13),
        *((SHEET_METAL.format(i), 38) for i in (1, 2, 3)),
    ],
)
def test_every_measurement_of_a_sample_is_read_with_its_value(name: str, measurements: int) -> None:
    table = read(name)
    assert table.layout is Layout.QIF
    assert len(table.value) == measurements
    assert values(table) == list(stated_values(name))
    assert table.refused == ()


@pytest.mark.parametrize("name", ["All-in-one.QIF", SHEET_METAL.format(1), CAPABILITY])
def test_row_and_column_lead_to_the_value(name: str) -> None:
    lines = content(name).decode().splitlines()
    table = read(name)
    for (row, column), value in zip(cells_of(table), values(table), strict=True):
        assert float(lines[row - 1][column - 1 :].split("<")[0]) == value


@pytest.mark.parametrize(("sample", "agree"), [(1, 38), (2, 37), (3, 37)])
def test_stated_statuses_are_reproduced(sample: int, agree: int) -> None:
    """Two statuses are quirks of the files: 0.0 marked FAIL; −0.500114 with a zone of 1.0 marked PASS."""
    assert f"{agree} of 38 statuses agree with the limits of the file" in said(
        read(SHEET_METAL.format(sample))
    )


def test_the_two_statuses_that_are_not_reproduced_are_named_by_line() -> None:
    second, third = (read(SHEET_METAL.format(i)) for i in (2, 3))
    assert "Judged bad, yet the reading lies inside its limits: row 1399." in said(second)
    assert dict(zip(second.row.tolist(), values(second), strict=True))[1399] == 0
    assert "Judged good, yet the reading lies outside its limits: row 1329." in said(third)
    at = dict(zip(third.row.tolist(), values(third), strict=True))[1329]
    assert at == published("-0.500114", source=SOURCE + ", sheet metal sample 3")


def test_the_mean_of_a_statistics_sample_is_that_of_its_measurements() -> None:
    sent = [SentFile(name, content(name)) for name in ("Exploded_Results1.QIF", "Exploded_Results2.QIF")]
    table = merge(read_files(sent, "Exploded"), "Exploded").table
    assert len(table.characteristics) == 2
    sphere = table.value[table.characteristic == 0]
    assert np.mean(sphere) == published("25.3441663869135", source=SOURCE + ", Exploded_Statistics")
    assert table.part.tolist() == [1, 1, 2, 2]


def test_a_sample_in_one_file_has_the_same_mean_and_its_limits() -> None:
    table = read("All-in-one.QIF")
    sphere = table.value[table.characteristic == 0]
    assert np.mean(sphere) == published("25.3441663869135", source=SOURCE + ", All-in-one")
    assert limits(table) == [(25.4, 25.15, 25.65), (0.0, None, 0.05)]
    assert table.part.tolist() == [1, 1, 2, 2]
    assert "4 of 4 statuses agree" in said(table)
    assert "No unit is stated for" in said(table)


def test_limits_deviations_zones_and_an_unequal_zone_are_read() -> None:
    """Its comments: a uniform zone ±2.0; bi-directional; limits; an offset zone +1.0/−0.5; a basic size."""
    by_number = {one.number: one for one in read("QIF_Results_Sample.QIF").characteristics}
    assert (by_number["5"].lower, by_number["5"].upper) == (-2.0, 2.0)
    two = by_number["2"]
    assert two.nominal is not None
    assert two.lower is not None
    assert two.upper is not None
    assert (two.upper - two.nominal, two.nominal - two.lower) == (pytest.approx(0.2), pytest.approx(0.2))
    assert (by_number["3"].lower, by_number["3"].upper) == (944.80274658203098, 945.20274658203107)
    assert (by_number["4"].lower, by_number["4"].upper) == (-0.5, 1.0)
    assert (by_number["1"].lower, by_number["1"].upper) == (None, None)
    assert {one.unit for one in by_number.values()} == {"mm"}


def test_statuses_of_the_mixed_sample_and_what_else_it_says() -> None:
    notes = said(read("QIF_Results_Sample.QIF"))
    assert "10 of 11 statuses agree" in notes  # 7 PASS and 4 FAIL; a 0 inside its zone is marked FAIL
    assert "Status BASIC_OR_TED stands at 2 readings." in notes
    assert "without the bonus of a material condition: '7'" in notes
    assert "Report of 2015-10-23T05:36:11." in notes


def test_a_serial_number_is_the_number_of_the_part() -> None:
    assert {int(part) for part in read(SHEET_METAL.format(2)).part} == {5802802}
    assert "'SN5802802' is part 5802802" in said(read(SHEET_METAL.format(2)))


def test_the_measurements_of_a_statistics_sample_of_version_2_1_are_read() -> None:
    table = read(CAPABILITY)
    assert values(table) == data.numbers("qif_diameters.txt")
    assert np.mean(table.value) == published("1.984466667", source=SOURCE + ", capability study, Average")
    assert np.std(table.value, ddof=1) == published("0.078690898", source=SOURCE + ", StandardDeviation")
    assert table.part.tolist() == list(range(1, 31))
    # marked as deviations, yet 1.8 and 2.2 around 2.0 are limits: one reading lies outside, as it counts
    assert limits(table) == [(2.0, 1.8, 2.2)]
    assert len(table.repairs) == 2
    outside = (table.value < 1.8) | (table.value > 2.2)
    assert outside.sum() == published("1", source=SOURCE + ", NumberOutOfTolerance")
    assert "30 of 30 statuses agree" in said(table)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("Exploded_Statistics.QIF", "holds statistics and no measurements"),
        ("sheetMetalPlan.QIF", "holds a plan and no measurements"),
        ("qif21_statistics_attribute_sample.QIF", "'Scratched' is no size that is measured"),
    ],
)
def test_samples_without_sizes_are_refused_in_words(name: str, why: str) -> None:
    with pytest.raises(FileRefused, match=why):
        read(name)

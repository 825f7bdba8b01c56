"""The values of the law: those that were read against the printed text, the others against memory."""

from __future__ import annotations

import pytest

from offtool.handbook.toy_law import (
    IN_SI,
    MARKETS,
    SMALL_PARTS,
    TOY_TESTS,
    TOY_TESTS_NAMED,
    Surety,
    ToyTest,
)
from tests import published as files
from tests.labels import published, remembered

READ = files.table("toy_law.csv")
LAW = "16 CFR {section}, edition of {edition}"


def american(section: str, test: str) -> ToyTest:
    """The one row of a section for a test."""
    (row,) = [one for one in TOY_TESTS if one.section.startswith(f"16 CFR {section}(") and one.test == test]
    return row


@pytest.mark.parametrize(
    ("section", "test", "in_law", "unit", "rounded", "rounded_unit", "edition"),
    READ,
    ids=lambda one: str(one),
)
def test_what_was_read_stands_as_printed(
    section: str, test: str, in_law: str, unit: str, rounded: str, rounded_unit: str, edition: str
) -> None:
    source = LAW.format(section=section, edition=edition)
    if test == "mass":
        row = american(section, "drop")
        assert (row.below, row.mass_unit) == (published(in_law, source=source), unit)
        assert row.below_kg == pytest.approx(float(rounded), rel=0.04), (
            "the law rounds its metric values roughly"
        )
        return
    row = american(section, "drop" if test == "drops" else test)
    if test == "drops":
        assert row.times == published(in_law, source=source)
        return
    assert row.value == published(in_law, source=source)
    assert row.unit == unit
    assert row.surety is Surety.READ
    assert edition in row.text
    # The law's kilograms and metres beside its pounds and feet: a force of one kilogram is 9.80665 N.
    in_metric = {"kg·cm": row.si / 0.0980665, "kg": row.si / 9.80665, "m": row.si}[rounded_unit]
    assert in_metric == pytest.approx(float(rounded), rel=0.01)


@pytest.mark.parametrize(
    ("section", "drops", "height", "bite", "flexure", "torque", "tension", "compression"),
    [
        ("1500.51", "10", "4.5", "25", "10", "2", "10", "20"),
        ("1500.52", "4", "3", "50", "15", "3", "15", "25"),
        ("1500.53", "4", "3", "100", "15", "4", "15", "30"),
    ],
)
def test_the_other_values_are_as_remembered(
    section: str,
    drops: str,
    height: str,
    bite: str,
    flexure: str,
    torque: str,
    tension: str,
    compression: str,
) -> None:
    source = f"16 CFR {section}"
    drop = american(section, "drop")
    assert drop.times == remembered(drops, source=source)
    assert drop.value == remembered(height, source=source)
    told = {
        "bite": bite,
        "flexure": flexure,
        "torque": torque,
        "tension": tension,
        "compression": compression,
    }
    for test, printed in told.items():
        assert american(section, test).value == remembered(printed, source=source), test


def test_only_what_was_read_says_so() -> None:
    read = {(section, "drop" if test == "drops" else test) for section, test, *_ in READ if test != "mass"}
    said = {(row.section[7:14], row.test) for row in TOY_TESTS if row.surety is Surety.READ}
    assert said == read


def test_the_european_values_are_as_told() -> None:
    source = "EN 71-1, as told in public texts"
    rows = {(row.test, row.part): row for row in TOY_TESTS if row.market == "EU"}
    assert rows["torque", ""].si == remembered("0.34", source=source)
    assert rows["tension", "part of 6 mm or less"].si == remembered("50", source=source)
    assert rows["tension", "part above 6 mm"].si == remembered("90", source=source)
    assert rows["compression", ""].si == remembered("110", source=source)
    assert rows["impact", ""].value == remembered("100", source=source)
    assert (rows["drop", ""].times, rows["drop", ""].value) == (5, remembered("850", source=source))


def test_the_small_parts_cylinder_is_that_of_the_figure() -> None:
    """In inches, which govern; the millimetres that the law prints beside them are rounded down."""
    source = "16 CFR 1501.4, figure 1"
    assert SMALL_PARTS.diameter_mm / 25.4 == remembered("1.25", source=source)
    assert SMALL_PARTS.shallow_mm / 25.4 == remembered("1.00", source=source)
    assert SMALL_PARTS.deep_mm / 25.4 == remembered("2.25", source=source)
    assert int(SMALL_PARTS.diameter_mm * 10) / 10 == remembered("31.7", source=source)
    assert int(SMALL_PARTS.deep_mm * 10) / 10 == remembered("57.1", source=source)


@pytest.mark.parametrize("row", TOY_TESTS, ids=lambda row: f"{row.section} {row.title}")
def test_every_row_says_what_how_where_and_how_sure(row: ToyTest) -> None:
    assert row.tried
    assert row.how
    assert row.section
    assert row.text
    assert row.market in MARKETS
    assert row.test in TOY_TESTS_NAMED
    assert 0 <= row.from_months < row.to_months
    assert 0 < row.tolerance < row.value
    assert row.unit in IN_SI

"""What benches write without thinking of it: cycles and no condition, a word for nought, a slip of a unit."""

from __future__ import annotations

import pytest

from offtool.exchange.joint_readings import JointTestTable, read_joint_test
from offtool.handbook.terms import JointCondition, JointReadingKind


def read(text: str) -> JointTestTable:
    return read_joint_test(text.encode(), "t.csv")


def torques(*values: object, unit: str = "N·m") -> JointTestTable:
    rows = "".join(f"{number},{value}\n" for number, value in enumerate(values, start=1))
    return read(f"piece,breakaway torque [{unit}]\n{rows}")


def cautions(table: JointTestTable) -> list[str]:
    return [one.text for one in table.file.cautions]


def test_a_row_with_cycles_and_no_condition_is_cycled_and_listed() -> None:
    table = read("piece,breakaway torque [mN·m],cycles\n1,61,0\n1,22,5000\n2,60,\n")
    assert [one.condition for one in table.readings] == [
        JointCondition.FRESH,
        JointCondition.CYCLED,
        JointCondition.FRESH,
    ]
    (repair,) = table.file.repairs
    assert (repair.row, repair.column, repair.found, repair.read_as) == (3, 3, "5000", "cycled")


def test_a_condition_that_is_said_stands_beside_the_cycles() -> None:
    table = read("piece,breakaway torque [mN·m],cycles,condition\n1,61,10,aged\n2,22,10,\n")
    assert [one.condition for one in table.readings] == [JointCondition.AGED, JointCondition.CYCLED]
    headed = read("piece,breakaway torque fresh [mN·m],cycles\n1,61,10\n")
    assert headed.readings[0].condition is JointCondition.FRESH
    assert headed.file.repairs == ()


@pytest.mark.parametrize("word", ["loose", "Falls", "FREE", "turns freely", "lose", "松"])
def test_a_torque_said_in_a_word_for_loose_is_0_and_listed(word: str) -> None:
    table = torques(0.06, word, 0.05)
    assert [one.value for one in table.readings] == [0.06, 0.0, 0.05]
    assert table.file.refused == ()
    (repair,) = table.file.repairs
    assert (repair.row, repair.found, repair.read_as, repair.why) == (
        *(3, word, "0 N·m"),
        "turned freely: 0",
    )


def test_a_word_for_loose_is_no_droop() -> None:
    table = read("piece,droop [deg]\n1,3\n2,free\n")
    assert len(table.readings) == 1
    assert table.file.refused[0].row == 3


def test_a_moment_with_its_unit_is_a_breakaway_torque_and_said_to_be_taken_so() -> None:
    table = read("Teil;Moment [N·cm]\n1;6,1\n")
    assert table.readings[0].what is JointReadingKind.BREAKAWAY
    assert table.readings[0].value == pytest.approx(0.061)
    assert any("'Moment [N·cm]', is taken for the breakaway torque" in note for note in table.file.notes)


def test_a_reading_a_thousand_times_the_median_is_named_with_row_and_column() -> None:
    (said,) = cautions(torques(0.9, 0.85, 1.2, 0.95, 950))
    assert "column 2, 'breakaway torque [N·m]': row 6 is about 1,000 times the median" in said
    assert said.endswith("another unit?")


def test_a_reading_far_below_the_median_is_named_and_nought_is_not() -> None:
    (said,) = cautions(torques(900, 850, 0, 0.9, 950, unit="mN·m"))
    assert "row 5 " in said
    assert said.endswith("another unit, or a loose joint?")


@pytest.mark.parametrize(
    "values", [(0.9, 0.85, 950), (0.9, 0.85, 1.2, 0.95), (0.02, 0.03, 0.04, 0.15), (0, 0, 0, 0.1)]
)
def test_few_readings_and_readings_that_vary_as_joints_do_raise_no_question(
    values: tuple[float, ...],
) -> None:
    assert cautions(torques(*values)) == []


def test_ages_may_lie_far_apart() -> None:
    rows = "".join(f"{number},0.06,{hours}\n" for number, hours in enumerate((0.1, 0.1, 0.1, 1000, 0.1)))
    assert cautions(read(f"piece,breakaway torque [N·m],hours\n{rows}")) == []


def test_a_column_of_torques_too_large_for_a_hand_is_asked_for_its_unit() -> None:
    (said,) = cautions(torques(61, 65, 58))
    assert "median is 61 N·m" in said
    assert said.endswith("is the unit N·m, or mN·m?")
    assert cautions(torques(61, 65, 58, unit="mN·m")) == []


def test_many_slips_are_counted_after_the_first_five() -> None:
    said = cautions(torques(*[0.9] * 20, *[900] * 8))
    assert len(said) == 6
    assert "3 more rows" in said[-1]

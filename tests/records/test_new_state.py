"""A cut makes the tool's next state; nobody invents a steel size that was not measured."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Correction, SteelSize, Tool, ToolState
from offtool.records.operations import MeasuredSteel, record_new_state
from offtool.records.queries import latest_state, steel_in_state
from tests.records.example import Example

AFTER_CUT = MeasuredSteel(measured_mm=4.021, uncertainty_mm=0.002, allowance_mm=0.08)


def sizes(state: ToolState) -> dict[tuple[str, str], tuple[float, float, float]]:
    return {
        (size.feature.code, size.cavity.label): (size.measured_mm, size.uncertainty_mm, size.allowance_mm)
        for size in steel_in_state(state)
    }


def cut(example: Example, corrections: list[Correction], measured: bool = True, **given: object) -> ToolState:
    remeasured = {(example.pin, example.cavities[0]): AFTER_CUT} if measured else {}
    values: dict[str, object] = {"label": None, "made_on": date(2026, 3, 9)} | given
    return record_new_state(example.tool, remeasured=remeasured, cut=corrections, **values)  # type: ignore[arg-type]


def test_what_was_measured_again_is_new_and_the_rest_is_carried_over(example: Example) -> None:
    state = cut(example, [example.correction()])
    assert (state.label, state.ordinal, state.made_on) == ("b", 2, date(2026, 3, 9))
    assert sizes(state) == {("CP1", "1"): (4.021, 0.002, 0.08), ("CP1", "2"): (4.06, 0.003, 0.1)}
    assert sizes(example.state) == {("CP1", "1"): (4.06, 0.003, 0.1), ("CP1", "2"): (4.06, 0.003, 0.1)}
    assert latest_state(example.tool) == state


def test_the_correction_names_the_state_it_led_to(example: Example) -> None:
    correction = example.correction()
    state = cut(example, [correction])
    correction.refresh_from_db()
    assert (correction.status, correction.resulting_state) == ("cut", state)


def test_steel_that_was_cut_and_not_measured_again_has_no_size(example: Example) -> None:
    state = cut(example, [example.correction()], measured=False)
    assert sizes(state) == {("CP1", "2"): (4.06, 0.003, 0.1)}


def test_steel_measured_again_without_a_cut_is_taken(example: Example) -> None:
    assert sizes(cut(example, []))["CP1", "1"] == (4.021, 0.002, 0.08)


def test_states_are_lettered_on_past_z(example: Example) -> None:
    letters = [cut(example, [], measured=False).label for _ in range(27)]
    assert (letters[0], letters[24], letters[25], letters[26]) == ("b", "z", "aa", "ab")


def test_the_first_state_of_a_tool_is_a(example: Example) -> None:
    tool = Tool.objects.create(programme=example.programme, code="M3")
    state = record_new_state(tool, label=None, made_on=None, remeasured={}, cut=[])
    assert (state.label, state.ordinal) == ("a", 1)


def test_a_label_may_be_given_and_must_be_free(example: Example) -> None:
    assert cut(example, [], label="rev B").label == "rev B"
    with pytest.raises(OfftoolError, match="tool M1 has a state 'a' already"):
        cut(example, [], label="a")


@pytest.mark.parametrize("status", ["cut", "dropped"])
def test_only_a_proposed_correction_can_be_cut(status: str, example: Example) -> None:
    state = example.state if status == "cut" else None
    correction = example.correction(status=status, resulting_state=state)
    with pytest.raises(OfftoolError, match=f"the correction of CP1 is {status} already"):
        cut(example, [correction])
    assert ToolState.objects.filter(tool=example.tool).count() == 1


def test_a_correction_of_another_tool_is_refused(example: Example) -> None:
    correction = example.correction()
    with pytest.raises(OfftoolError, match="was made for another tool"):
        record_new_state(example.tool_2, label=None, made_on=None, remeasured={}, cut=[correction])


def test_an_impossible_steel_size_leaves_no_state(example: Example) -> None:
    correction = example.correction()
    wrong = MeasuredSteel(measured_mm=-4.0, uncertainty_mm=0.003, allowance_mm=0.0)
    with pytest.raises(OfftoolError, match="measured_mm must be above 0"):
        record_new_state(
            example.tool,
            label=None,
            made_on=None,
            remeasured={(example.pin, example.cavities[0]): wrong},
            cut=[correction],
        )
    correction.refresh_from_db()
    assert (correction.status, SteelSize.objects.count()) == ("proposed", 2)
    assert ToolState.objects.filter(tool=example.tool).count() == 1

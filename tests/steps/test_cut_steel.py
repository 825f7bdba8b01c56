"""Recording that a tool was cut: the next state, and which corrections it carried out."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Correction, Programme, SteelSize, ToolState
from offtool.steps.correct_tool import keep_changes
from offtool.steps.cut_steel import SteelMeasured, record_cut
from tests.steps.clip import NOON, SLUG, TOOL, keep, stored, trial_file


@pytest.fixture
def decided(clip: Programme) -> Programme:
    """The clip with four corrections decided after its first trial."""
    keep(trial_file())
    keep_changes(SLUG, TOOL, "T1", chosen=None, made_at=NOON, made_by="engineer")
    return clip


def steel(label: str) -> dict[tuple[str, str], tuple[float, float]]:
    """Size and allowance of each feature and cavity in a state."""
    sizes = SteelSize.objects.filter(state__label=label).select_related("feature", "cavity")
    return {(one.feature.code, one.cavity.label): (one.measured_mm, one.allowance_mm) for one in sizes}


def test_the_steel_as_measured_again_makes_the_next_state_and_the_rest_is_carried_over(
    decided: Programme,
) -> None:
    label = record_cut(
        SLUG,
        TOOL,
        remeasured={("CV1", "1"): SteelMeasured(measured_mm=4.021)},
        made_on=date(2026, 3, 9),
        note="first cut",
    )
    state = ToolState.objects.get(label=label)
    assert (label, state.ordinal, state.made_on, state.note) == ("b", 2, date(2026, 3, 9), "first cut")
    before, after = steel("a"), steel("b")
    # 4.021 - 3.985 was removed of an allowance of 0.3
    assert after.pop(("CV1", "1")) == (4.021, pytest.approx(0.264))
    assert after == {place: size for place, size in before.items() if place != ("CV1", "1")}


def test_corrections_whose_steel_was_measured_become_cut_and_the_others_wait(decided: Programme) -> None:
    record_cut(SLUG, TOOL, remeasured={("CV1", "1"): SteelMeasured(measured_mm=4.021)})
    status = {(one.feature.code, one.cavity.label): one.status for one in Correction.objects.all()}
    assert status.pop(("CV1", "1")) == "cut"
    assert set(status.values()) == {"proposed"}
    cut = Correction.objects.get(status="cut")
    assert cut.resulting_state == ToolState.objects.get(label="b")


def test_steel_may_be_measured_without_a_correction_and_with_an_allowance_of_its_own(clip: Programme) -> None:
    again = {("CV2", "2"): SteelMeasured(measured_mm=20.098, uncertainty_mm=0.005, allowance_mm=0.1)}
    assert record_cut(SLUG, TOOL, remeasured=again, label="a2") == "a2"
    assert steel("a2")["CV2", "2"] == (20.098, 0.1)
    assert SteelSize.objects.get(state__label="a2", measured_mm=20.098).uncertainty_mm == 0.005


def test_more_cut_than_was_allowed_leaves_no_allowance(decided: Programme) -> None:
    record_cut(SLUG, TOOL, remeasured={("CV1", "1"): SteelMeasured(measured_mm=4.5)})
    assert steel("b")["CV1", "1"] == (4.5, 0.0)


def test_states_count_on(decided: Programme) -> None:
    for cavity, label in (("1", "b"), ("2", "c")):
        assert record_cut(SLUG, TOOL, remeasured={("CV1", cavity): SteelMeasured(measured_mm=4.02)}) == label


@pytest.mark.parametrize(
    ("place", "size", "label", "said"),
    [
        (("CV9", "1"), 4.0, None, "tool M1 has no steel feature 'CV9'"),
        (("CV1", "3"), 4.0, None, "part P1 has no cavity '3' in tool M1"),
        (("CV1", "1"), 0.0, None, "measured_mm must be above 0"),
        (("CV1", "1"), float("nan"), None, "measured_mm"),
        (("CV1", "1"), 4.0, "a", "tool M1 has a state 'a' already"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_recorded(
    decided: Programme, place: tuple[str, str], size: float, label: str | None, said: str
) -> None:
    before = stored()
    with pytest.raises(OfftoolError) as refusal:
        record_cut(SLUG, TOOL, remeasured={place: SteelMeasured(measured_mm=size)}, label=label)
    assert said in refusal.value.what
    assert refusal.value.remedy
    assert stored() == before
    assert not Correction.objects.filter(status="cut").exists()


def test_no_steel_at_all_is_refused(decided: Programme) -> None:
    with pytest.raises(OfftoolError, match="no steel was measured again"):
        record_cut(SLUG, TOOL, remeasured={})

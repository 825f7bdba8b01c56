"""The order of a tool's trials: by steel, then by day, the undated before the dated, then as entered."""

from __future__ import annotations

from datetime import date

from offtool.records.models import ToolState, Trial
from offtool.records.queries import place_in_time, trials_up_to
from tests.records.example import Example


def test_trials_are_in_order_of_steel_then_day_then_entry(example: Example) -> None:
    state_b = ToolState.objects.create(tool=example.tool, label="b", ordinal=2)

    def run(name: str, state: ToolState, day: date | None) -> Trial:
        return Trial.objects.create(tool=example.tool, name=name, state=state, shot_on=day)

    later, early = run("T2", state_b, date(2026, 3, 9)), run("T3", state_b, date(2026, 3, 2))
    undated, again = run("T4", state_b, None), run("T5", state_b, date(2026, 3, 2))
    of_old_steel = run("T6", example.state, date(2026, 4, 1))
    asked = [later, early, undated, again, of_old_steel, example.trial]
    in_time = [example.trial, of_old_steel, undated, early, again, later]
    assert sorted(asked, key=place_in_time) == in_time
    assert trials_up_to(again) == in_time[:5]
    assert trials_up_to(example.trial) == [example.trial]

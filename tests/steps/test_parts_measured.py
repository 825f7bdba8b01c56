"""What is read of one part again and again is one part."""

from __future__ import annotations

import numpy as np
import pytest

from offtool.records.models import Programme
from offtool.records.reading_arrays import ReadingArrays
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.parts_measured import PartsMeasured, parts_measured
from tests.steps.clip import SLUG, TOOL, csv_of, keep


def parts(value: list[float], **columns: list[int]) -> PartsMeasured:
    given = {
        name: np.array(columns.get(name, [-1] * len(value)))
        for name in ("cavity_id", "shot", "part", "source_id")
    }
    rest = {name: np.arange(len(value)) for name in ("characteristic_id", "reading_id", "row", "column")}
    return parts_measured(ReadingArrays(value=np.array(value), **given, **rest), np.arange(len(value)))


def test_readings_of_one_cavity_and_shot_are_one_part_with_their_mean() -> None:
    found = parts([4.0, 4.2, 5.0, 4.4], cavity_id=[1, 1, 2, 1], shot=[7, 7, 7, 8])
    assert found.value.tolist() == pytest.approx([4.1, 5.0, 4.4])
    assert (found.cavity_id.tolist(), found.shot.tolist(), found.averaged) == ([1, 2, 1], [7, 7, 8], 1)


@pytest.mark.parametrize(
    ("columns", "count"),
    [
        ({"cavity_id": [1] * 4}, 4),
        ({"cavity_id": [1] * 4, "part": [1, 2, 1, 2]}, 2),
        ({"cavity_id": [1] * 4, "part": [1, 2, 1, 2], "source_id": [1, 1, 2, 2]}, 4),
        ({"cavity_id": [1] * 4, "shot": [3] * 4, "part": [1, 2, 1, 2]}, 2),
        ({"cavity_id": [1] * 4, "shot": [3] * 4, "source_id": [1, 1, 2, 2]}, 1),
    ],
)
def test_a_part_is_told_by_its_shot_or_else_by_its_number_in_the_file(
    columns: dict[str, list[int]], count: int
) -> None:
    assert len(parts([4.0, 4.1, 4.2, 4.3], **columns).value) == count


def test_five_readings_of_each_part_show_no_more_than_one(clip: Programme) -> None:
    rng = np.random.default_rng(5)
    pegs = {(shot, cavity): 4.005 + rng.normal(0, 0.003) for shot in range(30, 36) for cavity in (1, 2)}
    once = csv_of(["Shot", "Cavity", "P1 1"], [(*at, f"{peg:.4f}") for at, peg in pegs.items()])
    often = csv_of(
        ["Shot", "Cavity", "P1 1"], [(*at, f"{peg:.4f}") for at, peg in pegs.items() for _ in range(5)]
    )
    keep(once)
    keep(often, trial="T2", name="often.csv")
    first, second = (inspect_trial(SLUG, TOOL, trial).sizes[0].finding for trial in ("T1", "T2"))
    assert [one.parts for one in second.cavities] == [one.parts for one in first.cavities] == [6, 6]
    assert second.cavities[0].index is not None
    assert first.cavities[0].index is not None
    assert second.cavities[0].index.low == pytest.approx(first.cavities[0].index.low)
    fact = next(one.says for one in inspect_trial(SLUG, TOOL, "T2").rests_on if one.about == "Readings")
    assert "48 repeat a part and are averaged" in fact

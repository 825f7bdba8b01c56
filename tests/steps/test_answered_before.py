"""An answer is kept for the same question only, and only so many are."""

from __future__ import annotations

import numpy as np
import pytest

from offtool.steps.answered_before import MOST_KEPT, answered_before


def test_the_same_question_is_asked_once_and_another_anew() -> None:
    asked: list[float] = []

    @answered_before
    def total(values: np.ndarray, *, times: int = 1) -> float:
        asked.append(float(values.sum()))
        return times * float(values.sum())

    one = np.array([1.0, 2.0])
    assert [total(one), total(one.copy()), total(one, times=2), total(one + 1)] == [3, 3, 6, 5]
    assert asked == [3.0, 3.0, 5.0]
    one[0] = 7.0
    assert total(one) == 9.0, "the array that was asked of has changed: another question"


def test_a_refusal_is_not_kept() -> None:
    asked = []

    @answered_before
    def refuse(value: int) -> int:
        asked.append(value)
        raise ValueError(value)

    for _ in range(2):
        with pytest.raises(ValueError, match="3"):
            refuse(3)
    assert asked == [3, 3]


def test_the_oldest_answer_makes_room() -> None:
    asked: list[int] = []

    @answered_before
    def same(value: int) -> int:
        asked.append(value)
        return value

    for value in range(MOST_KEPT + 1):
        same(value)
    same(MOST_KEPT)
    same(0)
    assert asked == [*range(MOST_KEPT + 1), 0]

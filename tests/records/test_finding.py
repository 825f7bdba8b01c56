"""What a user names is found, or answered with the nearest name there is."""

from __future__ import annotations

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Tool
from offtool.records.queries import find_programme, find_tool, find_trial, latest_state
from tests.records.example import Example


def test_names_that_are_there_are_found(example: Example) -> None:
    assert find_programme("otter") == example.programme
    assert find_tool(example.programme, "M2") == example.tool_2
    assert find_trial(example.tool, "T1") == example.trial


def test_a_misspelt_name_is_answered_with_the_nearest(example: Example) -> None:
    with pytest.raises(OfftoolError, match="no programme 'oter'; did you mean 'otter'"):
        find_programme("oter")
    with pytest.raises(OfftoolError, match="no tool 'm-1' in otter; known are: M1, M2"):
        find_tool(example.programme, "m-1")


def test_the_same_name_in_another_programme_is_not_found(example: Example) -> None:
    with pytest.raises(OfftoolError, match="no tool 'M1' in other; there are none yet"):
        find_tool(example.other, "M1")
    with pytest.raises(OfftoolError, match="no trial 'T11' of tool M1; did you mean 'T1'"):
        find_trial(example.tool, "T11")


def test_a_tool_without_a_state_has_no_latest(example: Example) -> None:
    assert latest_state(Tool.objects.create(programme=example.programme, code="M3")) is None

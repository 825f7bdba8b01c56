"""What a trial and a size ask for: parts before a cut that rests on few, steel before a cut at all."""

from __future__ import annotations

import pytest

from offtool.records.models import Programme, Tool
from offtool.steps.inspect_size import inspect_size
from offtool.steps.inspect_trial import inspect_trial
from tests.steps.clip import SLUG, TOOL, keep, trial_file

HERE = (SLUG, TOOL, "T1")


def shots(number: int) -> bytes:
    """The first so many shots of the file, each with a part of both cavities."""
    return b"\n".join([*trial_file().splitlines()[: 1 + 2 * number], b""])


@pytest.mark.parametrize(("number", "asks"), [(2, True), (3, False), (12, False)])
def test_a_cut_on_less_than_three_parts_is_measured_before(clip: Programme, number: int, asks: bool) -> None:
    keep(shots(number))
    found = inspect_trial(*HERE)
    assert found.plan is not None
    assert found.plan.cuts
    asked = [one.do for one in found.actions]
    assert ("Measure more parts before any steel is cut." in asked) is asks
    if asks:
        cut = next(one for one in asked if one.startswith("Cut "))
        assert asked.index("Measure more parts before any steel is cut.") < asked.index(cut)


def test_a_size_that_fails_says_which_steel_to_measure_and_the_trial_says_the_same(clip: Programme) -> None:
    Tool.objects.get().features.get(code="CV2").sizes.all().delete()
    keep(trial_file())
    of_size = {one.do for one in inspect_size(*HERE, "P1 2").actions}
    assert "Measure CV2 in the steel for P1 2." in of_size
    assert of_size & {one.do for one in inspect_trial(*HERE).actions}
    assert not any("CV2" in one.do for one in inspect_size(*HERE, "P1 1").actions)

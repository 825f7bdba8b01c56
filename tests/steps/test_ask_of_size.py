"""What a joint asks of a size: one demand counts a size, and it is dropped with a reason."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.records.models import JointDemand, Programme
from offtool.records.queries import demands_counting
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ask_of_size import SizeDemanded, ask_of_size, drop_demand
from tests.steps.clip import NOON
from tests.steps.jointed import a_joint, with_bore


@pytest.fixture
def hinged(clip: Programme) -> Programme:
    """The clip with a joint between its peg and the lid's bore."""
    with_bore(clip)
    a_joint()
    return clip


def ask(size: str = "P1 1", joint: str = "hinge", **changed: Any) -> SizeDemanded:
    given: dict[str, Any] = {
        "target": 4.01, "lower": 4.0, "upper": 4.02, "reason": "loose in three of four pairs",
        "made_at": NOON, "made_by": "tester",
    } | changed  # fmt: skip
    return ask_of_size("clip", joint, size, **given)


@pytest.mark.parametrize("name", ["P1 1", " P1  1 ", "1", "peg_diameter"])
def test_a_demand_is_made_by_the_size_its_number_or_its_role(hinged: Programme, name: str) -> None:
    made = ask(name)
    assert (made.size, made.unit, made.target, made.lower, made.upper) == ("P1 1", "mm", 4.01, 4.0, 4.02)
    assert [one.pk for one in demands_counting(hinged)] == [made.demand_id]


@pytest.mark.parametrize(
    ("changed", "argument"),
    [
        ({"target": 3.9}, "lower"),
        ({"target": 4.1}, "upper"),
        ({"target": float("nan")}, "target"),
        ({"upper": float("inf")}, "upper"),
    ],
)
def test_a_target_that_cannot_be_is_refused_by_name(
    hinged: Programme, changed: dict[str, float], argument: str
) -> None:
    with pytest.raises(ImpossibleInput) as found:
        ask(**changed)
    assert found.value.argument == argument
    assert JointDemand.objects.count() == 0


def test_a_size_that_is_none_of_the_joint_is_answered_with_its_sizes(hinged: Programme) -> None:
    with pytest.raises(NotInRecord, match="no size 'P3 2' of joint hinge; did you mean 'P2 2'"):
        ask("P3 2")
    with pytest.raises(NotInRecord, match="no joint 'hing'"):
        ask(joint="hing")
    with pytest.raises(OfftoolError, match="no reason is given"):
        ask(reason=" ")


def test_one_demand_counts_a_size_whichever_joint_asks(hinged: Programme) -> None:
    ask()
    a_joint(code="other")
    with pytest.raises(
        OfftoolError, match=r"joint hinge asks 4\.01 mm of P1 1 already; drop that demand first"
    ):
        ask(joint="other")
    ask("P2 2", joint="other")
    assert len(demands_counting(hinged)) == 2


def test_a_dropped_demand_stays_with_its_reason_and_makes_room(hinged: Programme) -> None:
    first = ask()
    with pytest.raises(OfftoolError, match="no reason is given"):
        drop_demand("clip", "hinge", "P1 1", reason="", made_by="tester")
    drop_demand("clip", "hinge", "P1 1", reason="it turns well now", made_by="tester")
    assert JointDemand.objects.get(pk=first.demand_id).dropped == "it turns well now"
    assert demands_counting(hinged) == []
    with pytest.raises(NotInRecord, match="that hinge asks of"):
        drop_demand("clip", "hinge", "P1 1", reason="again", made_by="tester")
    later = NOON + timedelta(days=1)
    assert ask(lower=None, upper=None, made_at=later).demand_id != first.demand_id

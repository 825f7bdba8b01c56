"""Which joints there are, what was read of them, and what they ask."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from django.db.models import QuerySet
from numpy.typing import NDArray

from offtool.core.values import nearest
from offtool.records.models import Joint, JointDemand, JointReading, JointTest, Programme, Tool
from offtool.records.queries.finding import NotInRecord


def find_joint(programme: Programme, code: str) -> Joint:
    """The joint with this code, its sizes beside it. Raises NotInRecord."""
    found = _with_sizes(Joint.objects.filter(programme=programme, code=code)).first()
    if found is None:
        known = Joint.objects.filter(programme=programme).values_list("code", flat=True)
        raise NotInRecord(f"no joint {code!r} in {programme.slug}", remedy=nearest(code, known))
    return found


def joints_of(programme: Programme) -> list[Joint]:
    """All joints of a programme by code, their sizes beside them."""
    return list(_with_sizes(Joint.objects.filter(programme=programme).order_by("code")))


def _with_sizes(joints: QuerySet[Joint]) -> QuerySet[Joint]:
    return joints.select_related("programme").prefetch_related("sizes__characteristic__part__resin")


def find_joint_test(joint: Joint, name: str) -> JointTest:
    """The test of this joint with this name, without its bytes. Raises NotInRecord."""
    found = next((one for one in joint_tests_of(joint) if one.name == name), None)
    if found is None:
        known = joint.tests.values_list("name", flat=True)
        raise NotInRecord(f"no test {name!r} of joint {joint.code}", remedy=nearest(name, known))
    return found


def joint_tests_of(joint: Joint, *, counting: bool = False) -> list[JointTest]:
    """The tests of a joint, newest first, without their bytes; only those not set aside where `counting`."""
    tests = JointTest.objects.filter(joint=joint, **({"set_aside": ""} if counting else {}))
    loaded = tests.select_related("gauge", "inner_trial__tool", "outer_trial__tool").defer("content")
    return sorted(loaded, key=when_done, reverse=True)


def when_done(test: Any) -> tuple[date, int]:
    """By the day it was measured, else the day it was read."""
    return test.done_on or test.read_at.date(), test.pk


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JointReadings:
    """Readings of joints in arrays of equal length, in the order of the files."""

    test_id: NDArray[np.int64]
    piece: NDArray[np.object_]
    inner: NDArray[np.object_]
    """Label of the cavity; empty where none is recorded."""
    outer: NDArray[np.object_]
    what: NDArray[np.object_]
    condition: NDArray[np.object_]
    hours: NDArray[np.float64]
    """NaN where they are not known."""
    cycles: NDArray[np.int64]
    """-1 where they are not known."""
    operator: NDArray[np.object_]
    repeat: NDArray[np.int64]
    value: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.value)


def joint_readings(tests: Collection[JointTest]) -> JointReadings:
    """All readings of these tests."""
    rows = JointReading.objects.filter(test__in=[one.pk for one in tests]).order_by("test", "row", "column")
    read = list(
        rows.values_list(
            *("test_id", "piece", "inner_cavity__label", "outer_cavity__label", "what", "condition"),
            *("hours", "cycles", "operator", "repeat", "value"),
        )
    )
    columns = list(zip(*read, strict=True)) if read else [()] * 11
    test_id, piece, inner, outer, what, condition, hours, cycles, operator, repeat, value = columns
    return JointReadings(
        test_id=np.array(test_id, np.int64),
        piece=texts(piece),
        inner=texts(inner),
        outer=texts(outer),
        what=texts(what),
        condition=texts(condition),
        hours=numbers(hours),
        cycles=np.array([-1 if one is None else one for one in cycles], np.int64),
        operator=texts(operator),
        repeat=np.array(repeat, np.int64),
        value=numbers(value),
    )


def texts(column: Collection[str | None]) -> NDArray[np.object_]:
    """A column of words; empty where there is none."""
    return np.array([one or "" for one in column], dtype=object)


def numbers(column: Collection[float | None]) -> NDArray[np.float64]:
    """A column of numbers; NaN where there is none."""
    return np.array([np.nan if one is None else one for one in column], dtype=float)


def demands_counting(of: Programme | Tool | Joint) -> list[JointDemand]:
    """What joints ask now of the sizes of a programme, of the parts a tool makes, or of one joint."""
    demands = JointDemand.objects.filter(dropped="").select_related("joint", "characteristic__part")
    if isinstance(of, Programme):
        demands = demands.filter(joint__programme=of)
    elif isinstance(of, Joint):
        demands = demands.filter(joint=of)
    else:
        demands = demands.filter(characteristic__part__in=of.cavities.values("part"))
    return list(demands.order_by("characteristic__part__code", "characteristic__number", "pk"))

"""Joints and seams in the record: whole or not at all, set aside with a reason, and what counts of them."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import Appearance, Failure, JointCondition, JointReadingKind, Ridge
from offtool.records.models import (
    Joint,
    JointDemand,
    JointReading,
    JointSize,
    JointTest,
    Seam,
    WeldRun,
    WeldStudy,
)
from offtool.records.operations import (
    AlreadyKept,
    FileOfTest,
    NewDemand,
    NewJointReading,
    NewJointTest,
    NewSize,
    NewWeldRun,
    NewWeldStudy,
    delete_joint,
    delete_seam,
    drop_joint_demand,
    keep_demand,
    kept_studies_of,
    kept_tests_of,
    store_joint,
    store_joint_test,
    store_seam,
    store_weld_study,
)
from offtool.records.queries import (
    demands_counting,
    find_joint,
    find_seam,
    joint_readings,
    joint_tests_of,
    joints_of,
    seams_of,
    studies_of_seam,
    weld_runs,
)
from offtool.records.queries.finding import NotInRecord
from tests.records.example import Example

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def a_joint(example: Example, code: str = "hip") -> Joint:
    sizes = [
        NewSize(role="peg_diameter", value=4.0, plus_minus=0.02),
        NewSize(role="socket_bore", characteristic=example.bore),
    ]
    return store_joint(example.programme, {"code": code, "kind": "peg in socket"}, sizes, made_by="Ada")


def a_seam(example: Example, code: str = "torso") -> Seam:
    columns = {"code": code, "kind": "ridge", "top_part": example.body, "bottom_part": example.limb}
    return store_seam(example.programme, columns, [NewSize(role="ridge_height", value=0.5)], made_by="Ada")


def a_file(name: str = "1", **changed: Any) -> FileOfTest:
    given = {
        "name": name,
        "done_on": None,
        "note": "",
        "file_name": f"{name}.csv",
        "content": name.encode(),
    } | changed
    return FileOfTest(**given)


def reading(example: Example, **changed: Any) -> NewJointReading:
    given = {
        "piece": "1", "inner_cavity": None, "outer_cavity": example.cavities[0],
        "what": JointReadingKind.BREAKAWAY, "condition": JointCondition.FRESH, "hours": None, "cycles": None,
        "operator": "", "repeat": 1, "value": 0.06, "row": 2, "column": 3,
    } | changed  # fmt: skip
    return NewJointReading(**given)


def keep_test(example: Example, joint: Joint, name: str = "1", **changed: Any) -> JointTest:
    readings = [reading(example), reading(example, piece="2", hours=24.0, cycles=5, row=3)]
    new = NewJointTest(file=a_file(name, **changed), outer_trial=example.trial)
    return store_joint_test(joint, new, readings, read_at=NOON, read_by="bench")


def run(**changed: Any) -> NewWeldRun:
    given = {
        "piece": "1", "top_cavity": None, "bottom_cavity": None, "time_s": 0.3, "pressure_bar": None,
        "amplitude_um": None, "hold_s": None, "energy_j": None, "collapse_mm": None, "strength_n": 400.0,
        "failure": Failure.HELD, "height_mm": None, "flash_mm": None, "appearance": Appearance.GOOD,
        "ridge": Ridge.NOT_LOOKED, "row": 2,
    } | changed  # fmt: skip
    return NewWeldRun(**given)


def keep_study(seam: Seam, name: str = "1", **changed: Any) -> WeldStudy:
    new = NewWeldStudy(file=a_file(name, **changed))
    return store_weld_study(
        seam, new, [run(), run(piece="2", time_s=None, row=3)], read_at=NOON, read_by="bench"
    )


def test_a_joint_is_written_with_its_sizes_under_the_name_of_who_did_it(example: Example) -> None:
    joint = a_joint(example)
    assert {one.role: one.value for one in joint.sizes.all()} == {"peg_diameter": 4.0, "socket_bore": None}
    assert {one.history_user_id for one in JointSize.history.all()} == {"Ada"}
    assert joint.history.get().history_user_id == "Ada"


def test_changing_a_joint_changes_only_the_sizes_that_differ(example: Example) -> None:
    joint = a_joint(example)
    before = {one.role: one.pk for one in joint.sizes.all()}
    sizes = [
        NewSize(role="peg_diameter", value=4.1),
        NewSize(role="socket_bore", characteristic=example.bore),
        NewSize(role="contact_length", value=6.0),
    ]
    store_joint(
        example.programme, {"code": "hip 2", "kind": "peg in socket"}, sizes, made_by="Bo", joint=joint
    )
    after = {one.role: one for one in find_joint(example.programme, "hip 2").sizes.all()}
    assert after.keys() == before.keys() | {"contact_length"}
    assert after["peg_diameter"].pk == before["peg_diameter"]
    assert after["peg_diameter"].value == 4.1
    assert after["socket_bore"].history.count() == 1


def test_a_size_that_is_refused_leaves_nothing_behind(example: Example) -> None:
    wrong = [NewSize(role="a", value=1.0, characteristic=example.bore)]
    with pytest.raises(OfftoolError, match="not both"):
        store_joint(example.programme, {"code": "hip", "kind": "peg in socket"}, wrong, made_by="")
    assert (Joint.objects.count(), JointSize.objects.count()) == (0, 0)


def test_a_test_is_kept_with_its_bytes_and_every_reading(example: Example) -> None:
    joint = a_joint(example)
    kept = keep_test(example, joint)
    assert bytes(JointTest.objects.get(pk=kept.pk).content) == b"1"
    assert kept.history.get().history_user_id == "bench"
    found = joint_readings([kept])
    assert found.value.tolist() == [0.06, 0.06]
    assert found.piece.tolist() == ["1", "2"]
    assert found.outer.tolist() == ["1", "1"]
    assert found.inner.tolist() == ["", ""]
    assert np.isnan(found.hours[0])
    assert (found.hours[1], found.cycles.tolist()) == (24.0, [-1, 5])
    assert set(found.what) == {"breakaway torque"}


def test_readings_of_no_test_are_empty_arrays(example: Example) -> None:
    assert len(joint_readings([])) == 0
    assert joint_readings([]).value.dtype == float
    assert len(weld_runs([])) == 0


def test_a_reading_that_cannot_be_leaves_nothing_behind(example: Example) -> None:
    joint = a_joint(example)
    new = NewJointTest(file=a_file())
    for wrong, what in (
        (reading(example, value=float("inf")), "value must be"),
        (reading(example, hours=-1.0), "hours must be"),
    ):
        with pytest.raises(OfftoolError, match=what):
            store_joint_test(joint, new, [wrong], read_at=NOON, read_by="")
    with pytest.raises(NotEnoughData, match="no readings"):
        store_joint_test(joint, new, [], read_at=NOON, read_by="")
    assert (JointTest.objects.count(), JointReading.objects.count()) == (0, 0)


def test_a_name_is_taken_once_and_the_same_bytes_are_kept_once(example: Example) -> None:
    joint = a_joint(example)
    keep_test(example, joint)
    with pytest.raises(OfftoolError, match="joint hip has a test 1 already"):
        keep_test(example, joint, content=b"other")
    with pytest.raises(AlreadyKept, match="the same file is test 1 of joint hip"):
        keep_test(example, joint, "2", content=b"1")
    with pytest.raises(OfftoolError, match="the test has no name"):
        keep_test(example, joint, "  ")
    kept_tests_of(joint).set_aside("1", "the peg was worn", made_by="tooling")
    assert keep_test(example, joint, "2", content=b"1").name == "2"
    assert keep_test(example, a_joint(example, "knee"), "2", content=b"1").name == "2"


def test_a_test_is_set_aside_once_with_a_reason_and_stays(example: Example) -> None:
    joint = a_joint(example)
    keep_test(example, joint)
    with pytest.raises(OfftoolError, match="no reason is given"):
        kept_tests_of(joint).set_aside("1", "  ", made_by="")
    kept_tests_of(joint).set_aside("1", "the peg was worn", made_by="tooling")
    with pytest.raises(OfftoolError, match="set aside already: the peg was worn"):
        kept_tests_of(joint).set_aside("1", "again", made_by="")
    assert [one.set_aside for one in joint_tests_of(joint)] == ["the peg was worn"]
    assert joint_tests_of(joint, counting=True) == []


def test_tests_stand_newest_first_by_the_day_they_were_measured(example: Example) -> None:
    joint = a_joint(example)
    for name, done in (("old", date(2026, 1, 1)), ("undated", None), ("new", date(2026, 3, 3))):
        keep_test(example, joint, name, done_on=done)
    assert [one.name for one in joint_tests_of(joint)] == ["new", "undated", "old"]


def test_a_joint_with_a_test_or_a_demand_stays(example: Example) -> None:
    tested, asking, plain = (a_joint(example, code) for code in ("tested", "asking", "plain"))
    keep_test(example, tested)
    new = NewDemand(characteristic=example.bore, target=4.0, lower=None, upper=None, reason="loose")
    keep_demand(asking, new, made_at=NOON, made_by="Ada")
    delete_joint(plain, made_by="Ada")
    for joint, what in ((tested, "has tests"), (asking, "has demands")):
        with pytest.raises(OfftoolError, match=what):
            delete_joint(joint, made_by="Ada")
    assert [one.code for one in joints_of(example.programme)] == ["asking", "tested"]


def test_one_demand_counts_a_size_until_it_is_dropped(example: Example) -> None:
    joint, other = a_joint(example), a_joint(example, "knee")
    new = NewDemand(characteristic=example.bore, target=4.0, lower=3.99, upper=4.01, reason="loose")
    first = keep_demand(joint, new, made_at=NOON, made_by="Ada")
    with pytest.raises(OfftoolError, match="drop that one first"):
        keep_demand(other, new, made_at=NOON, made_by="Ada")
    with pytest.raises(OfftoolError, match="no reason is given"):
        drop_joint_demand(first, " ", made_by="Ada")
    for where in (example.programme, example.tool, joint):
        assert demands_counting(where) == [first]
    for where in (example.other, example.tool_2, other):
        assert demands_counting(where) == []
    drop_joint_demand(first, "it turns well now", made_by="Ada")
    with pytest.raises(OfftoolError, match="dropped already: it turns well now"):
        drop_joint_demand(first, "again", made_by="Ada")
    keep_demand(other, new, made_at=NOON, made_by="Ada")
    assert JointDemand.objects.count() == 2


def test_a_target_outside_its_ends_is_refused(example: Example) -> None:
    new = NewDemand(characteristic=example.bore, target=4.2, lower=3.99, upper=4.01, reason="loose")
    with pytest.raises(OfftoolError, match="the target must lie between the ends"):
        keep_demand(a_joint(example), new, made_at=NOON, made_by="Ada")


def test_names_that_are_not_there_are_answered_with_the_nearest(example: Example) -> None:
    a_joint(example, "shoulder")
    a_seam(example)
    with pytest.raises(NotInRecord, match="no joint 'sholder' in otter; did you mean 'shoulder'"):
        find_joint(example.programme, "sholder")
    with pytest.raises(NotInRecord, match="no seam 'torsoo' in otter; did you mean 'torso'"):
        find_seam(example.programme, "torsoo")
    with pytest.raises(NotInRecord, match="there are none yet"):
        find_joint(example.other, "shoulder")


def test_a_weld_study_is_kept_with_every_run(example: Example) -> None:
    seam = a_seam(example)
    kept = keep_study(seam)
    found = weld_runs([kept])
    assert found.piece.tolist() == ["1", "2"]
    assert found.numbers["time_s"][0] == 0.3
    assert np.isnan(found.numbers["time_s"][1])
    assert found.failure.tolist() == ["held", "held"]
    assert seam.history.get().history_user_id == "Ada"


def test_what_a_run_cannot_be_leaves_nothing_behind(example: Example) -> None:
    seam = a_seam(example)
    new = NewWeldStudy(file=a_file())
    with pytest.raises(OfftoolError, match="strength_n must be at least 0"):
        store_weld_study(seam, new, [run(strength_n=-1.0)], read_at=NOON, read_by="")
    with pytest.raises(NotEnoughData, match="no runs"):
        store_weld_study(seam, new, [], read_at=NOON, read_by="")
    assert (WeldStudy.objects.count(), WeldRun.objects.count()) == (0, 0)


def test_a_weld_study_is_kept_once_and_set_aside_with_a_reason(example: Example) -> None:
    seam = a_seam(example)
    keep_study(seam)
    with pytest.raises(AlreadyKept, match="the same file is weld study 1 of seam torso"):
        keep_study(seam, "2", content=b"1")
    with pytest.raises(OfftoolError, match="has weld studies"):
        delete_seam(seam, made_by="Ada")
    kept_studies_of(seam).set_aside("1", "wrong horn", made_by="tooling")
    assert studies_of_seam(seam, counting=True) == []
    assert [one.set_aside for one in studies_of_seam(seam)] == ["wrong horn"]


def test_a_seam_without_studies_can_go(example: Example) -> None:
    delete_seam(a_seam(example), made_by="Ada")
    assert seams_of(example.programme) == []


def test_sizes_keep_the_order_in_which_they_are_given_last(example: Example) -> None:
    def given(*roles: str) -> list[NewSize]:
        return [NewSize(role=role, value=1.0) for role in roles]

    columns = {"code": "gap", "kind": "chain of sizes"}
    joint = store_joint(example.programme, columns, given("a", "b", "c"), made_by="")
    assert [one.role for one in joint.sizes.all()] == ["a", "b", "c"]
    store_joint(example.programme, columns, given("c", "new", "a"), made_by="", joint=joint)
    assert [one.role for one in joint.sizes.all()] == ["c", "new", "a"]


def test_a_name_that_is_too_long_is_refused_and_never_cut(example: Example) -> None:
    long = "x" * 101
    with pytest.raises(OfftoolError, match="code has 101 signs, and 100 are kept"):
        a_joint(example, code=long)
    columns = {"code": "gap", "kind": "chain of sizes", "note": "n" * 1000}
    with pytest.raises(OfftoolError, match="the name of a size has 101 signs"):
        store_joint(example.programme, columns, [NewSize(role=long, value=1.0)], made_by="")
    assert not Joint.objects.exists()
    joint = store_joint(example.programme, columns, [NewSize(role=long[:100], value=1.0)], made_by="")
    assert (joint.note, joint.sizes.get().role) == ("n" * 1000, long[:100])
    with pytest.raises(OfftoolError, match="the name has 101 signs"):
        a_file(long).as_kept(read_at=NOON, read_by="")

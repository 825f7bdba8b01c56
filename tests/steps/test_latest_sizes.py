"""Sizes as they stand today: which trial each cavity is taken from, and what is said where they differ."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from offtool.records.models import Cavity, Characteristic, Programme, Tool, ToolState, Trial
from offtool.steps.judge_joint import judge_joint
from offtool.steps.latest_sizes import LatestSize, SizesMeasured, latest_sizes
from tests.steps.clip import SLUG, csv_of, keep, trial_file
from tests.steps.hinge import make_hinge


def peg_file(means: dict[str, float], *, parts: int = 5) -> bytes:
    """The peg alone, with the same spread in each cavity."""
    rows: list[Sequence[object]] = [
        (shot, cavity, f"{mean + 0.001 * (shot % 5 - 2):.4f}")
        for cavity, mean in means.items()
        for shot in range(30, 30 + parts)
    ]
    return csv_of(["Shot", "Cavity", "P1 1"], rows)


def peg() -> Characteristic:
    return Characteristic.objects.get(part__programme__slug=SLUG, part__code="P1", number="1")


def latest() -> LatestSize:
    return latest_sizes([peg()])[peg().pk]


def taken(found: LatestSize) -> dict[str, str]:
    """Trial of each cavity."""
    return {one.cavity: one.trial.name for one in found.measured}


def said(found: LatestSize) -> list[str]:
    return [one.text for one in found.cautions]


def test_one_trial_that_measured_all_stands_without_a_word(clip: Programme) -> None:
    keep(trial_file())
    assert taken(latest()) == {"1": "T1", "2": "T1"}
    assert not said(latest())


def test_a_newer_trial_that_measured_all_takes_its_place(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    keep(peg_file({"1": 4.00, "2": 4.01}), trial="T2", name="two.csv")
    assert taken(latest()) == {"1": "T2", "2": "T2"}
    assert [round(one.mean, 3) for one in latest().cavities] == [4.0, 4.01]
    assert not said(latest())


def test_a_newer_trial_of_one_cavity_leaves_the_others_as_they_were(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    keep(peg_file({"1": 4.00}), trial="T2", name="two.csv")
    assert taken(latest()) == {"1": "T2", "2": "T1"}
    assert [round(one.mean, 3) for one in latest().cavities] == [4.0, 3.97]
    assert said(latest()) == ["P1 1: T2 measured cavity 1 only; 2 is as in T1"]
    assert latest().trial.name == "T2"
    assert [one.name for one in latest().trials] == ["T2", "T1"]


def test_a_joint_of_it_is_judged_with_all_cavities_and_says_so(clip: Programme) -> None:
    make_hinge(clip, 4.02)
    keep(peg_file({"1": 4.00}), trial="T2", name="two.csv")
    found = judge_joint(SLUG, "hinge")
    assert found.assembled is not None
    assert {one.cavities for one in found.assembled.pairs} == {("1", "1"), ("1", "2"), ("2", "1"), ("2", "2")}
    assert any("T2 measured cavity 1 only; 2 is as in T1" in one.text for one in found.cautions)


def test_readings_without_a_cavity_do_not_replace_those_of_cavities(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    rows = [(shot, f"{4.2 + 0.001 * shot:.3f}") for shot in range(6)]
    keep(csv_of(["Shot", "P1 1"], rows), trial="T2", name="two.csv")
    assert taken(latest()) == {"1": "T1", "2": "T1"}
    assert said(latest()) == ["T2 recorded no cavity of P1 1: older readings, which say more, are used"]


def test_readings_without_a_cavity_stand_where_there_are_no_others(clip: Programme) -> None:
    rows = [(shot, f"{4.0 + 0.001 * shot:.3f}") for shot in range(6)]
    keep(csv_of(["Shot", "P1 1"], rows))
    assert taken(latest()) == {"": "T1"}


def test_a_single_part_does_not_replace_several(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    keep(peg_file({"1": 4.00, "2": 4.01}, parts=1), trial="T2", name="two.csv")
    assert taken(latest()) == {"1": "T1", "2": "T1"}
    assert said(latest()) == [
        "T2 read one part only of P1 1 in cavities 1 and 2: older readings, which say more, are used"
    ]


def test_a_single_part_stands_where_a_cavity_has_nothing_else(clip: Programme) -> None:
    keep(peg_file({"1": 3.96}))
    keep(peg_file({"2": 4.01}, parts=1), trial="T2", name="two.csv")
    assert taken(latest()) == {"1": "T1", "2": "T2"}


def test_steel_cut_since_any_of_its_trials_makes_it_stale(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    tool = Tool.objects.get(programme=clip)
    state = ToolState.objects.create(tool=tool, label="b", ordinal=2, made_on=date(2026, 3, 5))
    Trial.objects.create(tool=tool, name="T2", state=state, shot_on=date(2026, 3, 9))
    keep(peg_file({"1": 4.00}), trial="T2", name="two.csv")
    assert taken(latest()) == {"1": "T2", "2": "T1"}
    assert [one.name for one in latest().stale_trials] == ["T1"]


def test_another_tool_of_the_same_part_is_named(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    other = Tool.objects.create(programme=clip, code="M2", cut_sd_mm=0.004)
    for label in ("5", "6"):
        Cavity.objects.create(tool=other, part=peg().part, label=label)
    assert taken(latest()) == {"1": "T1", "2": "T1"}
    assert said(latest()) == [
        "P1 1 is that of M1; P1 is made in M2 too, whose cavities 5 and 6 are not in this answer"
    ]


def test_what_trials_measured_is_read_once(clip: Programme, django_assert_num_queries: object) -> None:
    keep(trial_file())
    sizes = SizesMeasured()
    first = sizes.latest([peg()])
    size = peg()
    with django_assert_num_queries(0):  # type: ignore[operator]
        assert sizes.latest([size])[size.pk] is first[size.pk]


def test_a_trial_is_read_once_whatever_is_asked_of_it(
    clip: Programme, django_assert_num_queries: object
) -> None:
    keep(trial_file())
    sizes, trial = SizesMeasured(), Trial.objects.select_related("tool").get(name="T1")
    seen, settled = sizes.evidence_of(trial).sizes, sizes.settled_from(trial)
    with django_assert_num_queries(0):  # type: ignore[operator]
        assert sizes.evidence_of(trial).only([seen[0].characteristic.pk])[0] is seen[0]
        assert sizes.settled_from(trial) == settled


def test_a_trial_that_is_asked_for_is_taken_though_a_newer_one_is_there(clip: Programme) -> None:
    keep(peg_file({"1": 3.96, "2": 3.97}))
    keep(peg_file({"1": 4.00, "2": 4.01}), trial="T2", name="two.csv")
    first = Trial.objects.get(name="T1")
    (found,) = SizesMeasured().in_trials([peg()], [first]).values()
    assert taken(found) == {"1": "T1", "2": "T1"}

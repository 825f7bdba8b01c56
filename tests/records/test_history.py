"""Every change of a definition is kept, with who made it, when and why."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.apps import apps
from django.db.models import ProtectedError

from offtool.records.acting import acting_as, name_of_actor
from offtool.records.models import Characteristic, Programme, SteelSize
from tests.records.example import Example
from tests.records.joined import demand_of, joint_reading_of, joint_test_of, weld_run_of, weld_study_of

KEPT = {
    *("programme", "resin", "part", "gauge", "characteristic", "tool", "cavity", "toolstate"),
    *("steelfeature", "steelsize", "move", "trial", "correction"),
    *("defect", "look", "gaugestudy"),
    *("joint", "jointsize", "jointtest", "jointdemand", "seam", "seamsize", "weldstudy"),
    *("press", "pressholds", "job", "build", "buildpart", "detail", "detailinstate"),
    *("stagename", "signshare", "sample", "samplepart"),
    *("pressoff", "engineersthere", "colourchange", "trialrequest", "trialwant"),
    *("line", "lineequipment", "linestation", "linestationhas", "linebreak", "linepress"),
    *("linetask", "linetaskafter", "linetaskneeds", "linepair", "pilot", "pilottrial", "pilotfile"),
    *("releaseline", "evidence", "toytestrun", "changemade", "stepdays"),
    *("concession", "limitsample", "signature"),
    *("seendetail", "seensign", "samplesize", "samplecolour"),  # they are set aside, with a reason
}


def test_definitions_keep_a_history_and_measurements_need_none() -> None:
    with_history = {
        model._meta.model_name
        for model in apps.get_app_config("records").get_models()
        if hasattr(model, "history") and not hasattr(model, "history_type")
    }
    assert with_history == KEPT


def test_a_changed_limit_leaves_the_old_one_in_the_history(example: Example) -> None:
    bore = example.bore
    bore.upper = 4.08
    bore._change_reason = "drawing B"
    with acting_as("Ada"):
        bore.save()
    now, before = Characteristic.history.filter(id=bore.pk)
    assert (now.upper, now.history_user_id, now.history_change_reason) == (4.08, "Ada", "drawing B")
    assert (before.upper, before.history_user_id, before.history_type) == (4.05, "", "+")


@pytest.mark.parametrize("make", [Example.study, joint_test_of, weld_study_of])
def test_the_history_of_a_study_does_not_keep_its_file_again(
    make: Callable[[Example], Any], example: Example
) -> None:
    study = make(example)
    study.set_aside = "the wrong part"
    with acting_as("Bo"):
        study.save()
    now, before = type(study).history.filter(id=study.pk)
    assert (now.set_aside, now.history_user_id, before.set_aside) == ("the wrong part", "Bo", "")
    assert not hasattr(now, "content")


def test_outside_the_block_nobody_is_named() -> None:
    with acting_as("Ada"):
        assert name_of_actor() == "Ada"
    assert name_of_actor() == ""


def test_a_name_longer_than_the_record_holds_is_cut(example: Example) -> None:
    with acting_as("A" * 300):
        example.bore.save()
    assert Characteristic.history.filter(id=example.bore.pk).first().history_user_id == "A" * 100


def test_what_something_measured_hangs_on_cannot_be_deleted(example: Example) -> None:
    example.stored()
    for row in (
        example.programme,
        example.tool,
        example.trial,
        example.cavities[0],
        example.bore,
        example.state,
    ):
        with pytest.raises(ProtectedError):
            row.delete()


def test_a_steel_size_protects_its_feature_and_state(example: Example) -> None:
    for row in (example.pin, example.state, example.tool):
        with pytest.raises(ProtectedError):
            row.delete()
    assert SteelSize.objects.count() == 2


def test_what_a_look_or_a_study_hangs_on_cannot_be_deleted(example: Example) -> None:
    flaw = example.flaw()
    example.photograph(look=flaw.look)
    reading = example.gauge_reading()
    for row in (flaw.look, flaw.defect, example.trial, example.gauge, reading.study, example.cavities[0]):
        with pytest.raises(ProtectedError):
            row.delete()


def test_what_a_joint_test_a_weld_study_or_a_demand_hangs_on_cannot_be_deleted(example: Example) -> None:
    reading, run, demand = joint_reading_of(example), weld_run_of(example), demand_of(example)
    for row in (
        *(reading.test, reading.test.joint, example.limb_cavity, example.gauge, example.trial),
        *(run.study, run.study.seam, example.body),
        *(demand.joint, example.bore),
    ):
        with pytest.raises(ProtectedError):
            row.delete()


def test_a_programme_on_which_nothing_hangs_can_go(example: Example) -> None:
    example.other_part.delete()
    example.other.delete()
    assert not Programme.objects.filter(slug="other").exists()
    assert [row.history_type for row in Programme.history.filter(slug="other")] == ["-", "+"]

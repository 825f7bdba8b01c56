"""The sample files of a joint test and a weld study fit the harbour otter as it is committed."""

from __future__ import annotations

from pathlib import Path

import pytest
from examples.make_harbour_otter import HERE, PROGRAMME

from offtool.steps.define_joint import JointDefined, define_joint
from offtool.steps.define_seam import SeamDefined, define_seam
from offtool.steps.keep_joint_test import JointTestAbout, keep_joint_test
from offtool.steps.keep_weld_study import WeldStudyAbout, keep_weld_study
from offtool.steps.load_programme import load_programme
from tests.steps.clip import NOON

SAMPLES = Path(__file__).parents[2] / "examples" / "readings_files"


@pytest.mark.django_db
def test_the_samples_are_kept_without_a_cell_left_out() -> None:
    load_programme(HERE / PROGRAMME, loaded_by="tester")
    shoulder = JointDefined(
        code="sample-shoulder",
        kind="peg in socket",
        sizes={
            "peg_diameter": "HO-04 2",
            "socket_bore": "HO-02 4",
            "socket_outer": 7.6,
            "contact_length": 5.0,
        },
    )
    torso = SeamDefined(
        code="sample-torso",
        kind="ridge",
        top_part="HO-02",
        bottom_part="HO-03",
        sizes={"joint_width": 1.8, "seam_length": 150.0, "ridge_height": "HO-02 7"},
    )
    joint = define_joint("harbour-otter", shoulder, made_by="tester")
    seam = define_seam("harbour-otter", torso, made_by="tester")
    torques, pulls = SAMPLES / "otter_shoulder_torque.csv", SAMPLES / "otter_torso_weld.csv"
    test = keep_joint_test(
        torques.read_bytes(), torques.name, programme="harbour-otter", joint=joint, test="1",
        about=JointTestAbout(), read_at=NOON, read_by="tester",
    )  # fmt: skip
    study = keep_weld_study(
        pulls.read_bytes(), pulls.name, programme="harbour-otter", seam=seam, study="1",
        about=WeldStudyAbout(), read_at=NOON, read_by="tester",
    )  # fmt: skip
    assert (test.readings, test.left_out) == (96, 0)
    assert (test.inner_trial.split()[0], test.outer_trial.split()[0]) == ("M3", "M1")
    assert (study.runs, study.left_out) == (40, 0)
    assert {study.top_trial.split()[0], study.bottom_trial.split()[0]} == {"M1"}

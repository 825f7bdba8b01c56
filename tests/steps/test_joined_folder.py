"""Joints and seams from a folder into the record and out again: measured things are added, never changed."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import (
    Cavity,
    Joint,
    JointDemand,
    JointReading,
    JointSize,
    JointTest,
    Programme,
    Seam,
    SeamSize,
    WeldRun,
    WeldStudy,
)
from offtool.steps.dump_programme import dump_programme
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.joined_otter import FILES, TOML, TORQUES, WELDS, write_joined_otter
from tests.exchange.programme.otter import change
from tests.steps.test_programme_folder import changes, counts, load

pytestmark = pytest.mark.django_db

NEW = {
    "joints": (3, 0),
    "joint_sizes": (10, 0),
    "joint_tests": (1, 0),
    "joint_readings": (2, 0),
    "joint_demands": (2, 0),
    "seams": (1, 0),
    "seam_sizes": (3, 0),
    "weld_studies": (1, 0),
    "weld_runs": (2, 0),
}
KEPT = (Joint, JointSize, JointTest, JointDemand, Seam, SeamSize, WeldStudy)


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_joined_otter(tmp_path / "otter")


def test_all_of_it_is_in_the_record(otter: Path) -> None:
    assert changes(load(otter)).items() >= NEW.items()
    hip = Joint.objects.get(code="hip")
    assert (hip.kind, hip.limb_mass_g, hip.friction_high, hip.safety_factor) == (
        "peg in socket",
        1.4,
        0.4,
        2,
    )
    sizes = {size.role: size for size in hip.sizes.all()}
    assert str(sizes["peg_diameter"].characteristic.part.code) == "limb"
    assert (sizes["contact_length"].value, sizes["contact_length"].plus_minus) == (4.0, 0.05)
    test = hip.tests.get()
    assert (bytes(test.content), test.inner_trial.name, test.gauge.code) == (TORQUES, "T1", "PG")
    first, second = test.readings.order_by("row")
    assert (first.inner_cavity, first.value) == (Cavity.objects.get(part__code="limb"), 0.043)
    assert (second.inner_cavity, second.hours, second.repeat) == (None, None, 1)
    assert [demand.target for demand in hip.demands.filter(dropped="")] == [4.045]
    seam = Seam.objects.get()
    assert (seam.top_part.code, seam.bottom_part.code, seam.sizes.count()) == ("body", "limb", 3)
    study = seam.studies.get()
    assert (bytes(study.content), study.top_trial.name, study.bottom_trial) == (WELDS, "T1", None)
    assert [run.strength_n for run in study.runs.order_by("row")] == [110, None]
    for kept in KEPT:
        assert set(kept.history.values_list("history_user_id", "history_type")) == {("Ada", "+")}


def test_loading_twice_changes_nothing(otter: Path) -> None:
    load(otter)
    history = [model.history.count() for model in KEPT]
    report = load(otter)
    assert report.is_unchanged
    assert report.cautions == ()
    assert [model.history.count() for model in KEPT] == history


def test_what_is_dumped_loads_as_it_was_and_is_dumped_again_as_the_same_bytes(
    otter: Path, tmp_path: Path
) -> None:
    load(otter)
    dump_programme("otter", tmp_path / "out")
    assert load(tmp_path / "out").is_unchanged
    dump_programme("otter", tmp_path / "again")
    assert bytes_in(tmp_path / "out") == bytes_in(tmp_path / "again")
    assert (tmp_path / "out" / "joint_tests" / "J1.csv").read_bytes() == TORQUES
    assert (tmp_path / "out" / "weld_studies" / "W1.csv").read_bytes() == WELDS


def test_the_links_of_a_chain_keep_the_order_in_which_they_were_given(otter: Path, tmp_path: Path) -> None:
    links = '"back wall" = { size = "body 2", factor = -1 }\nroom = 30.4\n'
    change(otter, "programme.toml", links, "z = 1\nb = 2\na = 3\n")
    load(otter)
    dump_programme("otter", tmp_path / "out")
    assert "z = 1.0\nb = 2.0\na = 3.0\n" in (tmp_path / "out" / "programme.toml").read_text(encoding="utf-8")
    change(tmp_path / "out", "programme.toml", 'slug = "otter"', 'slug = "again"')
    load(tmp_path / "out")
    again = JointSize.objects.filter(joint__programme__slug="again", joint__code="stack").order_by("pk")
    assert [size.role for size in again] == ["z", "b", "a"]
    change(tmp_path / "out", "programme.toml", "z = 1.0\nb = 2.0\na = 3.0\n", "a = 3.0\nz = 1.0\nb = 2.0\n")
    assert changes(load(tmp_path / "out")) == {"joint_sizes": (0, 3)}
    stack = Joint.objects.get(programme__slug="again", code="stack")
    assert [size.role for size in stack.sizes.all()] == ["a", "z", "b"]
    assert load(tmp_path / "out").is_unchanged


def test_a_folder_of_before_loads_beside_it_and_nothing_is_removed(otter: Path, tmp_path: Path) -> None:
    older = shutil.copytree(otter, tmp_path / "older")
    change(older, "programme.toml", TOML, "")
    for name in FILES:
        (older / name).unlink()
    for folder in ("joint_tests", "weld_studies"):
        shutil.rmtree(older / folder)
    load(otter)
    report = load(older)
    assert report.is_unchanged
    assert {name: kept for name, (_, _, _, kept) in counts(report).items() if kept} == {
        name: added for name, (added, _) in NEW.items()
    }
    assert "3 joints of the record are not in the folder; loading removes nothing" in map(
        str, report.cautions
    )


def test_a_changed_definition_is_changed_and_the_old_one_kept(otter: Path) -> None:
    load(otter)
    change(otter, "programme.toml", "lever_mm = 17", "lever_mm = 18.5")
    change(otter, "programme.toml", "room = 30.4", "room = { value = 30.4, plus_minus = 0.1 }")
    change(otter, "programme.toml", "seam_length = 84", "seam_length = 86")
    change(otter, "programme.toml", "required_n = 90", "required_n = 95")
    assert changes(load(otter)) == {
        "joints": (0, 1),
        "joint_sizes": (0, 1),
        "seams": (0, 1),
        "seam_sizes": (0, 1),
    }
    now, before = Joint.history.filter(code="hip")
    assert (now.lever_mm, before.lever_mm) == (18.5, 17)
    assert (now.history_user_id, now.history_change_reason) == ("Ada", "loaded from a programme folder")


@pytest.mark.parametrize(
    ("file", "old", "new", "model"),
    [
        ("joint_tests.csv", "Z,Ada,\n", "Z,Ada,the jig slipped\n", JointTest),
        ("weld_studies.csv", "Z,Ada,\n", "Z,Ada,the jig slipped\n", WeldStudy),
    ],
)
def test_a_test_or_study_that_is_set_aside_is_so_in_the_record_with_its_history(
    file: str, old: str, new: str, model: type[JointTest | WeldStudy], otter: Path
) -> None:
    load(otter)
    change(otter, file, old, new)
    assert changes(load(otter)) == {file.removesuffix(".csv"): (0, 1)}
    now, before = model.history.all()
    assert (now.set_aside, before.set_aside) == ("the jig slipped", "")
    change(otter, file, new, old)
    assert changes(load(otter)) == {file.removesuffix(".csv"): (0, 1)}


def test_a_demand_is_dropped_and_another_made_in_its_place(otter: Path) -> None:
    load(otter)
    again = "hip,limb,1,4.05,,,still loose,2026-03-09T09:00:00Z,Bo,\n"
    change(otter, "joint_demands.csv", "09:00:00Z,Ada,\n", f"09:00:00Z,Ada,not enough\n{again}")
    assert changes(load(otter)) == {"joint_demands": (1, 1)}
    assert JointDemand.objects.get(dropped="").target == 4.05
    assert JointDemand.history.filter(dropped="not enough").count() == 1


SETTLED = [
    (
        "programme.toml",
        'kind = "ridge"\n',
        'kind = "step"\n',
        "kind: 'step', but the record has 'ridge', and that is settled",
    ),
    (
        "programme.toml",
        'top_part = "body"',
        'top_part = "limb"',
        "top_part: 'limb', but the record has 'body', and that is settled",
    ),
    (
        "joint_tests.csv",
        "2026-03-05,,J1",
        "2026-03-06,,J1",
        "joint_tests.csv line 2, done_on: datetime.date(2026, 3, 6), but the record has datetime.date(2026",
    ),
    (
        "joint_tests.csv",
        "J1,PG",
        "J1,",
        "joint_tests.csv line 2, gauge: '', but the record has 'PG', and that is settled",
    ),
    (
        "joint_tests.csv",
        "M1,T1,M1,T1",
        ",,M1,T1",
        "joint_tests.csv line 2, inner_tool: '', but the record has 'M1', and that is settled",
    ),
    (
        "joint_readings.csv",
        "0.051",
        "0.052",
        "joint_readings.csv line 3, value: 0.052, but the record has 0.051, and that is settled",
    ),
    (
        "joint_readings.csv",
        "M1,body,2",
        "M1,body,1",
        "joint_readings.csv line 3, outer_cavity: '1', but the record has '2', and that is settled",
    ),
    (
        "joint_readings.csv",
        "fresh,24",
        "aged,24",
        "joint_readings.csv line 2, condition: 'aged', but the record has 'fresh', and that is settled",
    ),
    (
        "joint_readings.csv",
        "0.051,3,2",
        "0.051,4,2",
        "joint_readings.csv line 3, column: row 4, column 2 of J1, a new one, but the record has the whole",
    ),
    (
        "joint_readings.csv",
        "hip,J1,P2,,,,M1,body,2,breakaway torque,aged,,,,,0.051,3,2\n",
        "",
        "joint_readings.csv: row 3, column 2 of J1 is not there, but the record has the whole study",
    ),
    (
        "joint_demands.csv",
        "4.045",
        "4.046",
        "joint_demands.csv line 2, target: 4.046, but the record has 4.045, and that is settled",
    ),
    (
        "joint_demands.csv",
        "loose in every pair",
        "loose",
        "joint_demands.csv line 2, reason: 'loose', but the record has 'loose in every pair', and that",
    ),
    (
        "weld_studies.csv",
        "M1,T1,,",
        "M1,T1,M1,T1",
        "weld_studies.csv line 2, bottom_tool: 'M1', but the record has '', and that is settled",
    ),
    (
        "weld_runs.csv",
        "110,material",
        "120,material",
        "weld_runs.csv line 2, strength_n: 120.0, but the record has 110.0, and that is settled",
    ),
    (
        "weld_runs.csv",
        "material torn",
        "peeled clean",
        "weld_runs.csv line 2, failure: 'peeled clean', but the record has 'material torn', and that",
    ),
    (
        "weld_runs.csv",
        ",,3\n",
        ",,4\n",
        "weld_runs.csv line 3, row: row 4 of W1, a new one, but the record has the whole study",
    ),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), SETTLED, ids=[f"{file}: {new}" for file, _, new, _ in SETTLED]
)
def test_what_was_measured_or_decided_is_never_changed(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    extra = "side_gap = 0.08\n" if "step" in new else ""
    load(otter)
    change(otter, file, old, new)
    change(otter, "programme.toml", "joint_width = 1.2\n", f"joint_width = 1.2\n{extra}")
    change(otter, "programme.toml", "Invented otter", "Renamed")
    if "top_part" in new:
        change(otter, "weld_runs.csv", "M1,1,M1,1", ",,M1,1")
    with pytest.raises(OfftoolError) as refused:
        load(otter)
    assert said in str(refused.value)
    assert refused.value.remedy
    assert Programme.objects.get().title == "Invented otter"


def test_the_kind_of_a_joint_with_sizes_is_settled(otter: Path) -> None:
    load(otter)
    change(otter, "programme.toml", 'kind = "peg in socket"', 'kind = "peg in clip"')
    with pytest.raises(OfftoolError, match="kind: 'peg in clip', but the record has 'peg in socket'"):
        load(otter)


def test_a_size_on_which_a_demand_counts_stays_in_its_joint(otter: Path) -> None:
    load(otter)
    change(otter, "programme.toml", '"limb 1"', "4.0")
    change(otter, "programme.toml", "friction_low = 0.2", 'inner_resin = "ABS"\nfriction_low = 0.2')
    change(otter, "joint_demands.csv", "09:00:00Z,Ada,\n", "09:00:00Z,Ada,the drawing rules\n")
    with pytest.raises(OfftoolError) as refused:
        load(otter)
    assert "drop that demand first" in str(refused.value)


def test_more_may_be_tested_welded_and_asked(otter: Path) -> None:
    load(otter)
    for file, row in (
        (
            "joint_tests.csv",
            (otter / "joint_tests.csv").read_text().splitlines()[1].replace("J1,PG", "J2,PG"),
        ),
        ("joint_readings.csv", "hip,J2,P1,,,,,,,droop,cycled,,200,Bo,1,4.5,2,2"),
        (
            "weld_studies.csv",
            (otter / "weld_studies.csv").read_text().splitlines()[1].replace("W1,,", "W2,,"),
        ),
        ("weld_runs.csv", "torso,W2,A,,,,,,,,,,,,,,,,,2"),
    ):
        with (otter / file).open("a", encoding="utf-8") as out:
            out.write(f"{row}\n")
    assert changes(load(otter)) == {
        "joint_tests": (1, 0),
        "joint_readings": (1, 0),
        "weld_studies": (1, 0),
        "weld_runs": (1, 0),
    }
    assert load(otter).is_unchanged


def test_an_error_in_the_middle_leaves_no_trace(otter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise OfftoolError("the press stopped")

    monkeypatch.setattr("offtool.steps.load_programme.bring_in_predictions", fails)
    with pytest.raises(OfftoolError, match="the press stopped"):
        load(otter)
    for model in (Programme, Joint, JointReading, WeldRun):
        assert not model.objects.exists()

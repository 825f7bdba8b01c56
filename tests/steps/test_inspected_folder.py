"""What was seen, studied and left out, from a folder into the record: added, never changed, and kept."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import (
    Cavity,
    Defect,
    Exclusion,
    Flaw,
    GaugeReading,
    GaugeStudy,
    Look,
    Photograph,
    Programme,
    Trial,
)
from offtool.records.operations import leave_out_readings, take_back_in
from offtool.records.queries import left_out_of
from offtool.steps.defect_list import edit_defect
from offtool.steps.dump_programme import dump_programme
from offtool.steps.findings_at_press import look_back
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.inspected_otter import PICTURE, STUDY, write_inspected_otter
from tests.exchange.programme.otter import change
from tests.steps import press
from tests.steps.press import make_tool
from tests.steps.test_programme_folder import changes, counts, load

pytestmark = pytest.mark.django_db

NEW = {
    "defects": (2, 0),
    "looks": (2, 0),
    "flaws": (2, 0),
    "photographs": (1, 0),
    "gauge_studies": (1, 0),
    "gauge_readings": (2, 0),
    "exclusions": (3, 0),
}


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_inspected_otter(tmp_path / "otter")


def trial() -> Trial:
    return Trial.objects.get(name="T1")


def test_all_of_it_is_in_the_record(otter: Path) -> None:
    assert changes(load(otter)).items() >= NEW.items()
    look = Look.objects.get(pieces=5)
    assert (look.trial, look.cavity, look.shot_number) == (trial(), Cavity.objects.get(label="1"), 4)
    picture = Photograph.objects.get()
    assert (picture.look, picture.flaw, bytes(picture.content)) == (
        look,
        Flaw.objects.get(place="left ear"),
        PICTURE,
    )
    study = GaugeStudy.objects.get()
    assert (study.characteristic.number, bytes(study.content), study.readings.count()) == ("1", STUDY, 2)
    assert [row.reason for row in left_out_of(trial()).rows] == ["a crack"]
    assert (trial().hours_to_measuring, trial().settled_reason) == (24.5, "the heater was on")
    for kept in (Look, Defect, GaugeStudy):
        assert set(kept.history.values_list("history_user_id", "history_type")) == {("Ada", "+")}


def test_loading_twice_changes_nothing(otter: Path) -> None:
    load(otter)
    history = [model.history.count() for model in (Look, Defect, GaugeStudy, Trial)]
    report = load(otter)
    assert report.is_unchanged
    assert report.cautions == ()
    assert [model.history.count() for model in (Look, Defect, GaugeStudy, Trial)] == history


def test_what_is_dumped_loads_as_it_was_and_is_dumped_again_as_the_same_bytes(
    otter: Path, tmp_path: Path
) -> None:
    load(otter)
    dump_programme("otter", tmp_path / "out")
    assert load(tmp_path / "out").is_unchanged
    dump_programme("otter", tmp_path / "again")
    assert bytes_in(tmp_path / "out") == bytes_in(tmp_path / "again")
    assert (tmp_path / "out" / "photographs" / "ear.png").read_bytes() == PICTURE
    assert (tmp_path / "out" / "gauge_studies" / "S1.csv").read_bytes() == STUDY


def listed(flash: str) -> str:
    """When flash came onto the list or went off it, as the folder says it."""
    return f"flash,flash,,,{flash}"


def test_since_when_a_defect_is_off_the_list_is_kept_in_the_folder_and_in_the_record(
    otter: Path, tmp_path: Path
) -> None:
    off = '"{""2026-03-02T10:30:00+00:00"": false}"'
    change(otter, "defects.csv", "is_listed\n", "is_listed,list_changes\n")
    change(otter, "defects.csv", "critical,yes\n", "critical,yes,\n")
    change(otter, "defects.csv", listed("no"), listed(f"no,{off}"))
    load(otter)
    assert Defect.objects.get(code="flash").list_changes == {"2026-03-02T10:30:00+00:00": False}
    assert Defect.objects.get(code="short").list_changes == {}
    dump_programme("otter", tmp_path / "out")
    assert f"flash,flash,,major,no,{off}\n" in (tmp_path / "out" / "defects.csv").read_text()
    assert load(tmp_path / "out").is_unchanged


def test_where_findings_stand_is_the_same_after_the_folder_was_dumped_and_loaded(tmp_path: Path) -> None:
    make_tool()
    now = datetime.now
    press.look("T1", "2", 12, press.seen("flash", 9), at=now(UTC))
    press.look("T1", "2", 50, at=now(UTC))
    edit_defect(press.SLUG, "whisker", name="whisker", made_by="tooling")
    press.look("T1", "2", 2, press.seen("whisker", 1), at=now(UTC))
    edit_defect(press.SLUG, "flash", is_listed=False, made_by="tooling")
    press.look("T2", "2", 30, at=now(UTC))
    edit_defect(press.SLUG, "whisker", is_listed=False, made_by="tooling")
    press.look("T2", "2", 40, at=now(UTC))
    edit_defect(press.SLUG, "whisker", is_listed=True, made_by="tooling")
    before = {one.defect: one for one in press.found("T2").followed}
    assert before["flash"].says.startswith(
        "Off the list: open since T1 (state a) when it was taken off, 9 of"
    )
    assert [str(one) for one in before["whisker"].trials] == ["1 of 2 in T1", "0 of 30 in T2"]
    dump_programme(press.SLUG, tmp_path / "out")
    change(tmp_path / "out", "programme.toml", f'slug = "{press.SLUG}"', 'slug = "again"')
    load(tmp_path / "out")
    assert {one.defect: one for one in look_back("again", press.TOOL, "T2").followed} == before


def test_a_yes_or_no_written_by_hand_holds_from_now_on_and_what_was_known_stays(otter: Path) -> None:
    load(otter)
    assert Defect.objects.get(code="flash").list_changes == {}
    change(otter, "defects.csv", listed("no"), listed("yes"))
    before = datetime.now(UTC)
    assert changes(load(otter)) == {"defects": (0, 1)}
    ((at, is_listed),) = Defect.objects.get(code="flash").list_changes.items()
    assert is_listed
    assert before < datetime.fromisoformat(at) < datetime.now(UTC)
    assert load(otter).is_unchanged
    change(otter, "defects.csv", listed("yes"), listed("no"))
    load(otter)
    assert list(Defect.objects.get(code="flash").list_changes.values()) == [True, False]


def test_a_folder_of_before_loads_beside_it_and_nothing_is_removed(otter: Path, tmp_path: Path) -> None:
    older = shutil.copytree(otter, tmp_path / "older")
    for name in (*NEW, "photographs", "gauge_studies"):
        shutil.rmtree(older / name, ignore_errors=True)
        (older / f"{name}.csv").unlink(missing_ok=True)
    load(otter)
    report = load(older)
    assert report.is_unchanged
    assert {name: kept for name, (_, _, _, kept) in counts(report).items() if kept} == {
        name: added for name, (added, _) in NEW.items()
    }


@pytest.mark.parametrize(
    ("file", "old", "new", "model"),
    [
        ("looks.csv", "Z,Ada,\n", "Z,Ada,the wrong part\n", Look),
        ("gauge_studies.csv", "Z,Ada,\n", "Z,Ada,the wrong part\n", GaugeStudy),
    ],
)
def test_a_look_or_study_that_is_set_aside_is_so_in_the_record_with_its_history(
    file: str, old: str, new: str, model: type[Look | GaugeStudy], otter: Path
) -> None:
    load(otter)
    change(otter, file, old, new)
    assert changes(load(otter)) == {file.removesuffix(".csv"): (0, 1)}
    row = model.objects.get(set_aside="the wrong part")
    now, before = model.history.filter(id=row.pk)
    assert (now.set_aside, now.history_change_reason) == ("the wrong part", "loaded from a programme folder")
    assert before.set_aside == ""
    change(otter, file, new, old)
    assert changes(load(otter)) == {file.removesuffix(".csv"): (0, 1)}


SETTLED = [
    (
        "looks.csv",
        "body,1,4,5",
        "body,2,4,5",
        "looks.csv line 2, cavity: '2', but the record has '1', and that",
    ),
    (
        "looks.csv",
        ",,,20,",
        ",,,21,",
        "looks.csv line 3, pieces: 21, but the record has 20, and that is settled",
    ),
    (
        "looks.csv",
        "a box of all",
        "",
        "looks.csv line 3, note: '', but the record has 'a box of all', and that",
    ),
    (
        "flaws.csv",
        "left ear,2",
        "left ear,3",
        "flaws.csv line 2, pieces: 3, but the record has 2, and that is",
    ),
    (
        "flaws.csv",
        "half filled",
        "",
        "flaws.csv line 2, note: '', but the record has 'half filled', and that",
    ),
    (
        "photographs.csv",
        "short,left ear",
        "flash,",
        "photographs.csv line 2, defect: 'flash', but the record has 'short', and that is settled",
    ),
    (
        "photographs.csv",
        "40,30",
        "41,30",
        "photographs.csv line 2, width: 41, but the record has 40, and that",
    ),
    (
        "gauge_studies.csv",
        "body,1,,",
        "body,1,0.2,",
        "gauge_studies.csv line 2, tolerance: 0.2, but the record has None, and that is settled",
    ),
    (
        "gauge_studies.csv",
        "crossed,body,1",
        "nested,body,1",
        "gauge_studies.csv line 2, kind: 'nested', but the record has 'crossed', and that is settled",
    ),
    (
        "gauge_readings.csv",
        "4.0,4.02",
        "4.0,4.03",
        "gauge_readings.csv line 3, value: 4.03, but the record has 4.02, and that is settled",
    ),
    (
        "gauge_readings.csv",
        "PG,S1,A,Ada,2",
        "PG,S1,B,Ada,2",
        "gauge_readings.csv line 3, repeat: part B, operator Ada, repeat 2 of S1, a new one, but the record",
    ),
    (
        "gauge_readings.csv",
        "PG,S1,A,Ada,2,4.0,4.02,2,4\n",
        "",
        "gauge_readings.csv: part A, operator Ada, repeat 2 of S1 is not there, but the record has the whole",
    ),
    (
        "exclusions.csv",
        "yes,it fell",
        "no,it fell",
        "exclusions.csv line 2, is_left_out: False, but the record has True; what was said of a reading",
    ),
    (
        "exclusions.csv",
        "a crack",
        "a split",
        "exclusions.csv line 4, reason: 'a split', but the record has 'a cr",
    ),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), SETTLED, ids=[f"{file}: {new}" for file, _, new, _ in SETTLED]
)
def test_what_was_seen_measured_or_said_is_never_changed(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    load(otter)
    change(otter, file, old, new)
    change(otter, "programme.toml", "Invented otter", "Renamed")
    with pytest.raises(OfftoolError) as refused:
        load(otter)
    assert said in str(refused.value)
    assert refused.value.remedy
    assert Programme.objects.get().title == "Invented otter"


def test_more_may_be_seen_and_said(otter: Path) -> None:
    load(otter)
    for file, row in (
        ("looks.csv", "M1,T1,3,body,2,,3,,2026-03-02T09:00:00Z,Bo,\n"),
        ("flaws.csv", "M1,T1,3,flash,rim,1,\n"),
        ("exclusions.csv", "T1.csv,3,1,no,a hair,2026-03-05T08:00:00Z,Bo\n"),
    ):
        with (otter / file).open("a", encoding="utf-8") as out:
            out.write(row)
    assert changes(load(otter)) == {"looks": (1, 0), "flaws": (1, 0), "exclusions": (1, 0)}
    assert Flaw.objects.get(place="rim").look.pieces == 3
    assert len(left_out_of(trial())) == 0
    assert load(otter).is_unchanged


def test_the_numbers_of_looks_are_the_folders_own(otter: Path) -> None:
    load(otter)
    change(otter, "looks.csv", "M1,T1,1", "M1,T1,7")
    change(otter, "photographs.csv", "M1,T1,1", "M1,T1,7")
    for _ in (1, 2):
        change(otter, "flaws.csv", "M1,T1,1", "M1,T1,7")
    assert load(otter).is_unchanged


def test_a_look_that_another_person_added_before_does_not_shift_the_flaws(
    otter: Path, tmp_path: Path
) -> None:
    load(otter)
    Look.objects.create(trial=trial(), pieces=1, looked_at=datetime(2026, 3, 1, tzinfo=UTC), looked_by="Bo")
    report = load(otter)
    assert report.is_unchanged
    assert [str(caution) for caution in report.cautions] == [
        "1 looks of the record are not in the folder; loading removes nothing"
    ]
    dump_programme("otter", tmp_path / "out")
    assert "\nM1,T1,2,short,left ear,2" in (tmp_path / "out" / "flaws.csv").read_text()
    assert load(tmp_path / "out").is_unchanged


def test_two_looks_that_say_the_same_stay_two(otter: Path, tmp_path: Path) -> None:
    with (otter / "looks.csv").open("a", encoding="utf-8") as out:
        out.write("M1,T1,3,,,,20,a box of all,2026-03-02T11:00:00Z,Ada,counted twice\n")
    load(otter)
    assert Look.objects.filter(pieces=20).count() == 2
    assert load(otter).is_unchanged
    dump_programme("otter", tmp_path / "out")
    assert load(tmp_path / "out").is_unchanged


def test_what_is_left_out_and_taken_back_in_the_record_reaches_the_folder(
    otter: Path, tmp_path: Path
) -> None:
    load(otter)
    at = datetime(2026, 3, 6, 8, tzinfo=UTC)
    key = left_out_of(trial()).reading_ids.tolist()
    take_back_in(trial(), key, reason="a hair", made_at=at, made_by="Bo")
    leave_out_readings(trial(), key, reason="it was a crack", made_at=at, made_by="Cy")
    dump_programme("otter", tmp_path / "out")
    said = (tmp_path / "out" / "exclusions.csv").read_text().splitlines()
    assert [line.split(",")[4] for line in said[1:]] == [
        "it fell",
        "it was another part",
        "a crack",
        "a hair",
        "it was a crack",
    ]
    report = load(otter)
    assert report.is_unchanged
    assert counts(report)["exclusions"] == (0, 0, 3, 2)
    assert Exclusion.objects.count() == 5


def test_an_error_in_the_middle_leaves_no_trace(otter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise OfftoolError("the press stopped")

    monkeypatch.setattr("offtool.steps.load_programme.bring_in_predictions", fails)
    with pytest.raises(OfftoolError, match="the press stopped"):
        load(otter)
    for model in (Programme, Look, Photograph, GaugeReading, Exclusion):
        assert not model.objects.exists()

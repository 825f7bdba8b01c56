"""What is planned from a folder into the record and out again: plans change, what was measured never does."""

from __future__ import annotations

import shutil
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import (
    ColourChange,
    ColourShot,
    EngineersThere,
    PartMesh,
    Press,
    PressOff,
    Programme,
    Tool,
    TrialRequest,
    TrialWant,
)
from offtool.records.queries import (
    colour_changes_of,
    colour_shots,
    engineers_of,
    find_request,
    newest_mesh,
    press_off_of,
    running_jobs,
)
from offtool.steps.dump_programme import dump_programme
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.otter import change
from tests.exchange.programme.planned_otter import FILES, SHAPE, SHOTS, TOML, write_planned_otter
from tests.exchange.programme.sampled_otter import FILES as SAMPLED_FILES
from tests.exchange.programme.sampled_otter import write_sampled_otter
from tests.steps.test_programme_folder import changes, counts, load

pytestmark = pytest.mark.django_db

NEW = {
    "press_off": (1, 0),
    "engineers_there": (2, 0),
    "meshes": (1, 0),
    "colour_changes": (1, 0),
    "colour_shots": (2, 0),
    "trial_requests": (2, 0),
    "trial_wants": (3, 0),
}
KEPT = (PressOff, EngineersThere, ColourChange, TrialRequest, TrialWant)


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_planned_otter(tmp_path / "otter")


def test_all_of_it_is_in_the_record(otter: Path) -> None:
    assert changes(load(otter)).items() >= NEW.items()
    programme = Programme.objects.get()
    press, tool = Press.objects.get(code="P3"), Tool.objects.get()
    assert (programme.currency, programme.resins.get().price_per_kg) == ("USD", 2.4)
    assert (press.clamp_kn, press.workdays, tool.feed, tool.runner_g) == (
        785.0,
        "Mon Tue Wed Thu Fri",
        "cold runner",
        4.2,
    )
    (off,), (half_day, day) = (
        press_off_of(programme),
        sorted(engineers_of(programme), key=lambda one: one.ends_at),
    )
    assert (off.press, off.why, half_day.who, day.who) == (press, "new check ring", "Bo", "Ada")
    assert [job.code for job in running_jobs(programme, date(2026, 3, 5))] == ["J-17", "J-18"]
    request = find_request("otter", "M1", "T3")
    assert (request.is_fixed, request.press, request.starts_at) == (
        True,
        press,
        datetime(2026, 3, 30, 8, tzinfo=UTC),
    )
    for kept in KEPT:
        assert set(kept.history.values_list("history_user_id", "history_type")) == {("Ada", "+")}


def test_shapes_and_colour_changes_are_there_byte_for_byte(otter: Path) -> None:
    load(otter)
    mesh = newest_mesh(Programme.objects.get().parts.get(code="body"))
    assert mesh is not None
    assert (bytes(mesh.content), mesh.size, mesh.measured, mesh.picture) == (SHAPE, len(SHAPE), None, None)
    (watched,) = colour_changes_of(Press.objects.get(code="P3"))
    shots = colour_shots(watched)
    assert (bytes(watched.content), watched.changed_on) == (SHOTS, date(2026, 3, 6))
    assert (shots.number.tolist(), shots.lab.tolist()) == ([1, 2], [[40, 5, 5], [45, 4, 4]])


def test_loading_twice_changes_nothing(otter: Path) -> None:
    load(otter)
    report = load(otter)
    assert report.is_unchanged
    assert report.cautions == ()
    assert [model.history.count() for model in KEPT] == [model.objects.count() for model in KEPT]


def test_what_is_dumped_loads_as_it_was_and_is_dumped_again_as_the_same_bytes(
    otter: Path, tmp_path: Path
) -> None:
    load(otter)
    dump_programme("otter", tmp_path / "out")
    assert load(tmp_path / "out").is_unchanged
    dump_programme("otter", tmp_path / "again")
    assert bytes_in(tmp_path / "out") == bytes_in(tmp_path / "again")
    assert (tmp_path / "out" / "meshes" / "body.stl").read_bytes() == SHAPE


def test_a_folder_of_before_loads_beside_it_and_no_table_loses_a_row(otter: Path, tmp_path: Path) -> None:
    older = shutil.copytree(otter, tmp_path / "older")
    for old, new in TOML:
        change(older, "programme.toml", f"{old}{new}", old)
    for name in FILES:
        (older / name).unlink()
    for name in ("presses.csv", "jobs.csv"):
        (older / name).write_text(SAMPLED_FILES[name], encoding="utf-8", newline="")
    for folder in ("meshes", "colour_changes"):
        shutil.rmtree(older / folder)
    load(otter)
    report = load(older)
    assert changes(report) == {
        "programme": (0, 1),
        "resins": (0, 1),
        "tools": (0, 1),
        "presses": (0, 1),
        "jobs": (0, 1),
    }
    assert {name: kept for name, (_, _, _, kept) in counts(report).items() if kept} == {
        name: added for name, (added, _) in NEW.items()
    }


def test_a_folder_of_before_alone_loads_as_it_was(tmp_path: Path) -> None:
    load(write_sampled_otter(tmp_path / "older"))
    press, tool = Press.objects.get(code="P3"), Tool.objects.get()
    assert (press.clamp_kn, press.workdays, tool.feed, Programme.objects.get().currency) == (None, "", "", "")


def test_plans_are_changed_and_what_was_planned_before_is_kept(otter: Path) -> None:
    load(otter)
    change(otter, "trial_requests.csv", "2026-04-03", "2026-04-10")
    change(otter, "trial_wants.csv", "assembly,40", "assembly,50")
    change(otter, "press_off.csv", "12:00:00Z", "14:00:00Z")
    change(otter, "jobs.csv", "yes,62", "no,62")
    assert changes(load(otter)) == {
        "jobs": (0, 1),
        "press_off": (0, 1),
        "trial_requests": (0, 1),
        "trial_wants": (0, 1),
    }
    now, before = TrialRequest.history.filter(name="T2")
    assert (now.due, before.due, now.history_user_id) == (date(2026, 4, 10), date(2026, 4, 3), "Ada")


def test_a_colour_change_is_set_aside_with_its_history(otter: Path) -> None:
    load(otter)
    change(otter, "colour_changes.csv", "Z,Ada,", "Z,Ada,the lamp was off")
    assert changes(load(otter)) == {"colour_changes": (0, 1)}
    now, before = ColourChange.history.all()
    assert (now.set_aside, before.set_aside) == ("the lamp was off", "")


SETTLED = [
    ("meshes.csv", "STL,mm", "STL,in", "line 2, unit: 'in', but the record has 'mm', and that is settled"),
    ("meshes.csv", "STL,mm,,,", "STL,mm,1,,", "line 2, axis_x: 1.0, but the record has 0.0, and that is"),
    ("colour_changes.csv", "25.5", "26.5", "line 2, shot_g: 26.5, but the record has 25.5, and that is"),
    ("colour_changes.csv", "grey,60", "grey,61", "line 2, to_lightness: 61.0, but the record has 60.0"),
    (
        "colour_shots.csv",
        "2,45,4,4",
        "2,46,4,4",
        "line 3, lightness: 46.0, but the record has 45.0, and that",
    ),
    (
        "colour_shots.csv",
        "P3,to grey,2,45,4,4,3\n",
        "",
        ": row 3 of to grey is not there, but the record has",
    ),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), SETTLED, ids=[f"{file}: {new}" for file, _, new, _ in SETTLED]
)
def test_what_was_measured_is_never_changed(file: str, old: str, new: str, said: str, otter: Path) -> None:
    load(otter)
    change(otter, file, old, new)
    change(otter, "programme.toml", "Invented otter", "Renamed")
    with pytest.raises(OfftoolError) as refused:
        load(otter)
    assert f"{file}{'' if said.startswith(':') else ' '}{said}" in str(refused.value)
    assert refused.value.remedy
    assert Programme.objects.get().title == "Invented otter"


def test_a_newer_shape_counts_and_the_older_stays(otter: Path) -> None:
    load(otter)
    table = otter / "meshes.csv"
    row = table.read_text(encoding="utf-8").splitlines()[1]
    with table.open("a", encoding="utf-8") as out:
        out.write(row.replace("mm,,,,2026-03-20", "in,,,,2026-03-21") + "\n")
    assert changes(load(otter)) == {"meshes": (1, 0)}
    mesh = newest_mesh(Programme.objects.get().parts.get(code="body"))
    assert mesh is not None
    assert (mesh.unit, PartMesh.objects.count(), ColourShot.objects.count()) == ("in", 2, 2)
    assert load(otter).is_unchanged

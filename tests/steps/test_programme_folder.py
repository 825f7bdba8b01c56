"""A programme folder into the record and out again: without loss, whole or not at all, and twice is once."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from io import StringIO
from pathlib import Path

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings

from offtool.core.values import OfftoolError
from offtool.exchange.programme import FolderRefused, ProgrammeFolder, write_folder
from offtool.exchange.programme.csv_tables import show_cell
from offtool.exchange.programme.folder import FILES
from offtool.exchange.programme.readings import TrialReadings, write_readings
from offtool.exchange.programme.rows import Row, cells_of
from offtool.records.models import (
    Characteristic,
    Correction,
    Prediction,
    Programme,
    Reading,
    SourceFile,
    Trial,
)
from offtool.steps.dump_programme import dump_programme, programme_as_rows
from offtool.steps.load_programme import LoadReport, load_programme
from tests.exchange.programme.folders import bytes_in, programme_folders
from tests.exchange.programme.otter import change, write_otter

TOP = Path(__file__).parents[2]


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_otter(tmp_path / "otter")


def load(folder: Path) -> LoadReport:
    return load_programme(folder, loaded_by="Ada")


def counts(report: LoadReport) -> dict[str, tuple[int, int, int, int]]:
    return {each.table: (each.added, each.changed, each.unchanged, each.kept) for each in report.tables}


def changes(report: LoadReport) -> dict[str, tuple[int, int]]:
    """Tables in which anything was added or changed."""
    return {each.table: (each.added, each.changed) for each in report.tables if each.added or each.changed}


@contextmanager
def empty_record() -> Iterator[None]:
    """A record that is empty at the start of the block, and again after it."""
    assert not Programme.objects.exists()
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def shown(told: ProgrammeFolder) -> dict[str, list[str]]:
    """All that a folder says, each table in an order of its own."""
    tables = [each.name for each in fields(told) if isinstance(getattr(told, each.name), tuple)]
    return {
        **{table: sorted(map(_shown, getattr(told, table))) for table in tables},
        "readings": sorted(f"{trial}{_lines(readings)}" for trial, readings in told.readings.items()),
        "originals": sorted(repr(told.original_of(row)) for table in FILES for row in getattr(told, table)),
    }


def _shown(row: Row) -> str:
    """A row without its line; negative zero is zero in SQLite, and PostgreSQL puts JSON's keys in order."""
    cells = cells_of(type(row))
    return str([show_cell(cell, getattr(row, column)) for column, cell in cells.items()]).replace(
        "-0.0", "0.0"
    )


def _lines(readings: TrialReadings) -> list[str]:
    out = StringIO()
    write_readings(out, readings)
    return sorted(out.getvalue().replace("-0.0", "0.0").split("\n"))


@pytest.mark.django_db
@settings(
    max_examples=20 if "DATABASE_URL" in os.environ else 60,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
@given(programme_folders())
def test_loading_what_was_dumped_gives_the_same_record(told: ProgrammeFolder) -> None:
    with tempfile.TemporaryDirectory() as place:
        given_folder, first, second = Path(place, "given"), Path(place, "first"), Path(place, "second")
        write_folder(told, given_folder)
        with empty_record():
            load(given_folder)
            dump_programme(told.programme.slug, first)
            assert load(first).is_unchanged
            kept = programme_as_rows(Programme.objects.get())
            assert shown(kept) == shown(told)
        with empty_record():
            load(first)
            dump_programme(told.programme.slug, second)
            assert load(given_folder).is_unchanged
        assert bytes_in(first) == bytes_in(second)


@pytest.mark.django_db
def test_loading_says_what_it_did(otter: Path) -> None:
    report = load(otter)
    assert (report.slug, report.title, report.is_new, report.cautions) == (
        "otter",
        "Invented otter",
        True,
        (),
    )
    assert {name: found for name, found in counts(report).items() if any(found)} == {
        "programme": (1, 0, 0, 0),
        "resins": (1, 0, 0, 0),
        "parts": (1, 0, 0, 0),
        "gauges": (1, 0, 0, 0),
        "tools": (1, 0, 0, 0),
        "cavities": (2, 0, 0, 0),
        "states": (2, 0, 0, 0),
        "characteristics": (2, 0, 0, 0),
        "features": (1, 0, 0, 0),
        "moves": (1, 0, 0, 0),
        "steel_sizes": (2, 0, 0, 0),
        "trials": (1, 0, 0, 0),
        "sources": (1, 0, 0, 0),
        "corrections": (1, 0, 0, 0),
        "predictions": (1, 0, 0, 0),
    }
    assert Reading.objects.count() == 2


@pytest.mark.django_db
def test_loading_twice_changes_nothing(otter: Path) -> None:
    load(otter)
    history = Characteristic.history.count()
    report = load(otter)
    assert report.is_unchanged
    assert not report.is_new
    assert counts(report)["characteristics"] == (0, 0, 2, 0)
    assert Characteristic.history.count() == history


@pytest.mark.django_db
def test_a_changed_definition_is_changed_and_the_old_one_kept(otter: Path) -> None:
    load(otter)
    change(otter, "characteristics.csv", "3.95,4.05", "3.95,4.08")
    assert changes(load(otter)) == {"characteristics": (0, 1)}
    now, before = Characteristic.history.filter(number="1")
    assert (now.upper, before.upper) == (4.08, 4.05)
    assert (now.history_user_id, now.history_change_reason) == ("Ada", "loaded from a programme folder")
    assert (before.history_user_id, before.history_type) == ("Ada", "+")


@pytest.mark.django_db
def test_a_new_trial_of_a_known_programme_is_added(otter: Path) -> None:
    load(otter)
    change(
        otter, "programme.toml", "[[trial]]", '[[trial]]\ntool = "M1"\nname = "T2"\nstate = "b"\n\n[[trial]]'
    )
    change(otter, "programme.toml", "Invented otter", "Invented harbour otter")
    assert changes(load(otter)) == {"programme": (0, 1), "trials": (1, 0)}
    assert sorted(Trial.objects.values_list("name", flat=True)) == ["T1", "T2"]


@pytest.mark.django_db
def test_nothing_is_removed_and_the_report_says_so(otter: Path) -> None:
    load(otter)
    for file in (
        "predictions.csv",
        "corrections.csv",
        "sources.csv",
        "readings/M1_T1.csv",
        "originals/T1.csv",
    ):
        (otter / file).unlink()
    report = load(otter)
    assert report.is_unchanged
    assert [str(caution) for caution in report.cautions] == [
        f"1 {table} of the record are not in the folder; loading removes nothing"
        for table in ("sources", "corrections", "predictions")
    ]
    assert (SourceFile.objects.count(), Reading.objects.count(), Correction.objects.count()) == (1, 2, 1)


@pytest.mark.django_db
def test_a_size_may_get_another_forming_feature(otter: Path) -> None:
    load(otter)
    change(otter, "steel.csv", "M1,CP1", "M1,CP0,,body,core half,per side,-2,,\nM1,CP1")
    change(otter, "moves.csv", "M1,CP1,1,-2,yes", "M1,CP0,1,-2,yes\nM1,CP1,1,-2,no")
    assert changes(load(otter)) == {"features": (1, 0), "moves": (1, 1)}
    change(otter, "moves.csv", "M1,CP0,1,-2,yes\nM1,CP1,1,-2,no", "M1,CP0,1,-2,no\nM1,CP1,1,-2,yes")
    assert changes(load(otter)) == {"moves": (0, 2)}


@pytest.mark.django_db
def test_a_remeasured_steel_size_is_changed_and_the_old_one_kept(otter: Path) -> None:
    load(otter)
    change(otter, "steel_sizes.csv", "4.061", "4.0615")
    assert changes(load(otter)) == {"steel_sizes": (0, 1)}


@pytest.mark.django_db
def test_a_proposed_correction_may_be_cut_and_a_prediction_judged(otter: Path) -> None:
    change(otter, "corrections.csv", "cut,2026-03-04T09:00:00Z,Ada,b", "proposed,2026-03-04T09:00:00Z,Ada,")
    load(otter)
    change(otter, "corrections.csv", "proposed,2026-03-04T09:00:00Z,Ada,", "cut,2026-03-04T09:00:00Z,Ada,b")
    change(otter, "predictions.csv", "09:00:00Z,,", "09:00:00Z,T1,confirmed")
    assert changes(load(otter)) == {"corrections": (0, 1), "predictions": (0, 1)}
    assert (Correction.objects.get().status, Prediction.objects.get().outcome) == ("cut", "confirmed")


SETTLED = [
    ("readings/M1_T1.csv", "4.03,T1.csv", "4.035,T1.csv", "line 2, value: 4.035, but the record has 4.03"),
    ("readings/M1_T1.csv", "body,1,2,1", "body,1,1,1", "line 3, cavity: 'another', but the record has"),
    ("readings/M1_T1.csv", "body,1,2,1", "body,1,2,9", "line 3, shot: 9, but the record has 1"),
    ("readings/M1_T1.csv", "T1.csv,3,1", "T1.csv,4,1", "line 3, row: 4, but the record has 3"),
    ("readings/M1_T1.csv", "body,1,2,1,,4.04,T1.csv,3,1\n", "", "'1 readings of T1.csv', but the record has"),
    ("sources.csv", "long,{}", 'long,"{""a"": 1}"', "line 2, read_options: {'a': 1}, but the record has {}"),
    ("sources.csv", "+01:00,Ada", "+01:00,Bo", "line 2, read_by: 'Bo', but the record has 'Ada'"),
    (
        "steel.csv",
        "pin,body",
        "pin,limb",
        "line 2, part: 'limb', but the record has 'body', and that is settled",
    ),
    (
        "characteristics.csv",
        "diameter,mm",
        "diameter,deg",
        "line 2, unit: 'deg', but the record has 'mm', and",
    ),
    ("corrections.csv", "CP1,1,0.02", "CP1,1,0.03", "line 2, amount_mm: 0.03, but the record has 0.02, and"),
    (
        "corrections.csv",
        "cut,2026-03-04T09:00:00Z,Ada,b",
        "proposed,2026-03-04T09:00:00Z,Ada,",
        "line 2, status: 'proposed', but the record has 'cut', and that is settled",
    ),
]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("file", "old", "new", "said"), SETTLED, ids=[f"{file}: {new}" for file, _, new, _ in SETTLED]
)
def test_what_was_measured_or_decided_is_never_changed(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    change(otter, "programme.toml", "[[gauge]]", '[[part]]\ncode = "limb"\nresin = "ABS"\n\n[[gauge]]')
    load(otter)
    if file == "steel.csv":
        for other in ("moves.csv", "steel_sizes.csv", "corrections.csv", "predictions.csv"):
            (otter / other).unlink()
    change(otter, file, old, new)
    change(otter, "programme.toml", "Invented otter", "Renamed")
    with pytest.raises(OfftoolError) as refused:
        load(otter)
    assert file in refused.value.where
    assert said in str(refused.value)
    assert refused.value.remedy
    assert Programme.objects.get().title == "Invented otter"


@pytest.mark.django_db
def test_a_unit_on_which_no_reading_hangs_may_change(otter: Path) -> None:
    load(otter)
    change(otter, "characteristics.csv", "length,mm", "length,deg")
    assert changes(load(otter)) == {"characteristics": (0, 1)}


@pytest.mark.django_db
def test_a_judged_prediction_is_not_judged_again(otter: Path) -> None:
    change(otter, "predictions.csv", "09:00:00Z,,", "09:00:00Z,T1,confirmed")
    load(otter)
    change(otter, "predictions.csv", "T1,confirmed", "T1,refuted")
    with pytest.raises(OfftoolError, match="line 2, outcome: 'refuted', but the record has 'confirmed'"):
        load(otter)


@pytest.mark.django_db
def test_a_folder_that_cannot_be_leaves_no_trace(otter: Path) -> None:
    change(otter, "predictions.csv", "body,1,1,4,", "body,1,7,4,")
    with pytest.raises(FolderRefused):
        load(otter)
    assert not Programme.objects.exists()


@pytest.mark.django_db
def test_an_error_in_the_middle_leaves_no_trace(otter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise OfftoolError("the press stopped")

    monkeypatch.setattr("offtool.steps.load_programme.bring_in_predictions", fails)
    with pytest.raises(OfftoolError, match="the press stopped"):
        load(otter)
    assert not Programme.objects.exists()
    assert not SourceFile.objects.exists()


@pytest.mark.django_db
def test_trials_are_dumped_as_people_count_them(otter: Path, tmp_path: Path) -> None:
    more = "".join(f'[[trial]]\ntool = "M1"\nname = "{name}"\nstate = "a"\n\n' for name in ("T10", "T2"))
    change(otter, "programme.toml", "[[trial]]", more + "[[trial]]")
    load(otter)
    dump_programme("otter", tmp_path / "out")
    text = (tmp_path / "out" / "programme.toml").read_text()
    assert text.index('"T1"') < text.index('"T2"') < text.index('"T10"')


@pytest.mark.django_db
def test_an_unknown_programme_is_answered_with_the_nearest(otter: Path, tmp_path: Path) -> None:
    load(otter)
    with pytest.raises(OfftoolError, match="no programme 'oter'; did you mean 'otter'"):
        dump_programme("oter", tmp_path / "out")


@pytest.mark.django_db
def test_formulas_do_not_run_where_the_tables_are_opened(otter: Path, tmp_path: Path) -> None:
    change(otter, "characteristics.csv", "hip bore", "=cmd()")
    load(otter)
    assert Characteristic.objects.get(number="1").name == "=cmd()"
    dump_programme("otter", tmp_path / "out")
    assert ",'=cmd()," in (tmp_path / "out" / "characteristics.csv").read_text()
    assert load(tmp_path / "out").is_unchanged


def test_a_second_record_gets_the_same_programme(otter: Path, tmp_path: Path) -> None:
    """Two record files and two processes, as two people with one folder would have them."""
    code = """
import sys
from pathlib import Path
from offtool.setup import open_record
open_record(sys.argv[1])
from offtool.steps.dump_programme import dump_programme
from offtool.steps.load_programme import load_programme
load_programme(Path(sys.argv[2]), loaded_by="Ada")
dump_programme("otter", Path(sys.argv[3]))
"""
    environment = {**os.environ, "PYTHONPATH": str(TOP / "src")}
    for record, source, target in (("a", otter, "first"), ("b", tmp_path / "first", "second")):
        arguments = [str(tmp_path / f"{record}.sqlite3"), str(source), str(tmp_path / target)]
        subprocess.run([sys.executable, "-c", code, *arguments], env=environment, check=True)
    assert bytes_in(tmp_path / "first") == bytes_in(tmp_path / "second")

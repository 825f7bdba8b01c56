"""What was said of readings of a trial that came in many files."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from offtool.records.models import Exclusion, Programme, Reading, Trial
from offtool.records.operations import leave_out_readings
from offtool.records.queries import load_readings
from offtool.steps import bringing_in_inspection
from offtool.steps.dump_programme import dump_programme
from offtool.steps.load_programme import load_programme
from tests.steps.clip import NOON, SLUG, csv_of, keep

pytestmark = pytest.mark.django_db
FILES = 4


def test_a_trial_is_loaded_once_for_all_its_files_and_each_word_finds_its_reading(
    clip: Programme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for i in range(FILES):
        rows = [("1", i + 1, 3.96 + i / 1000), ("2", i + 1, 3.97)]
        keep(csv_of(("Cavity", "Shot", "P1 1"), rows), "T1", f"{i}.csv")
    trial = Trial.objects.get(name="T1")
    for i, one in enumerate(Reading.objects.filter(source__trial=trial).order_by("pk")[::2]):
        leave_out_readings(
            trial, [one.pk], reason=f"file {i}", made_at=NOON + timedelta(hours=i), made_by="Ada"
        )
    said = sorted(Exclusion.objects.values_list("reason", "reading__source__name", "reading__row"))
    dump_programme(SLUG, tmp_path / "out")
    loaded: list[Trial] = []

    def counted(trial: Trial) -> object:
        loaded.append(trial)
        return load_readings(trial)

    monkeypatch.setattr(bringing_in_inspection, "load_readings", counted)
    assert load_programme(tmp_path / "out", loaded_by="Ada").is_unchanged
    assert loaded == [trial]
    assert len(said) == FILES
    assert sorted(Exclusion.objects.values_list("reason", "reading__source__name", "reading__row")) == said

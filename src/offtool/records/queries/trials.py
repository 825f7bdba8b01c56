"""The trials of a tool in order of time."""

from __future__ import annotations

from datetime import date

from offtool.records.models import Trial


def place_in_time(trial: Trial) -> tuple[int, date, int]:
    """What trials of a tool are sorted by: the steel they ran on, then the day, undated ones first."""
    return trial.state.ordinal, trial.shot_on or date.min, trial.pk


def trials_up_to(trial: Trial) -> list[Trial]:
    """The trials of a tool up to and with this one, in order of time."""
    ordered = sorted(trial.tool.trials.select_related("state"), key=place_in_time)
    return ordered[: [one.pk for one in ordered].index(trial.pk) + 1]

"""What a careful reader says of the readings: judgements that do not fit, shots out of order, doubles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.ledger import Ledger, rows_named
from offtool.exchange.readings.table import FoundCharacteristic
from offtool.exchange.readings.walk import Judged, Readings

_ROUNDING = 1e-9
"""A limit converted from inch differs in the last digits from a reading converted alike; that is no miss."""


def not_recorded(name: str, which: str = "any reading") -> str:
    """What is noted where cavity or shot is missing."""
    return f"No {name} is recorded for {which}."


def repeats(*keys: NDArray[Any]) -> NDArray[np.bool_]:
    """Which rows have the same numbers in all columns as a row before."""
    together = np.zeros(len(keys[0]), np.int64)
    for key in keys:
        _, code = np.unique(key, return_inverse=True)
        _, together = np.unique(together * (int(code.max(initial=0)) + 1) + code, return_inverse=True)
    again = np.ones(len(together), bool)
    again[np.unique(together, return_index=True)[1]] = False
    return again


def say_places(readings: Readings, ledger: Ledger) -> None:
    """Say which of cavity and shot are not recorded, and whether shots stand in order."""
    count = len(readings["value"])
    for name in ("cavity", "shot"):
        without = int((readings[name] < 0).sum())
        if without:
            which = "any reading" if without == count else f"{without:,} of {count:,} readings"
            ledger.note(not_recorded(name, which))
    series = _series(readings)
    order = np.argsort(series, kind="stable")
    shot = readings["shot"][order]
    back = (np.diff(shot) < 0) & (np.diff(series[order]) == 0) & (shot[1:] >= 0)
    if back.any():
        row = int(readings["row"][order][1:][back].min())
        ledger.note(f"Shots do not stand in order (first in row {row}); they are taken by their numbers.")


def say_doubles(readings: Readings, ledger: Ledger) -> None:
    """Say which readings share characteristic, cavity, shot and part."""
    known = (readings["cavity"] >= 0) & (readings["shot"] >= 0)
    if not known.any():
        return
    again = repeats(_series(readings)[known], readings["shot"][known], readings["part"][known])
    if again.any():
        rows = set((readings["row"][known][again] - 1).tolist())
        number = int(again.sum())
        what = "1 reading stands" if number == 1 else f"{number:,} readings stand"
        ledger.note(
            f"{what} for the same characteristic, cavity and shot as one before ({rows_named(rows)});"
            " all are kept."
        )


def say_judgements(
    readings: Readings, found: Sequence[FoundCharacteristic], judged: Judged, ledger: Ledger
) -> None:
    """Compare OK and NG as stated with the readings and the limits of the file."""
    if not judged.good and not judged.bad:
        return
    number = len(judged.good | judged.bad)
    stand = (
        "A judgement stands in 1 row; it is"
        if number == 1
        else f"Judgements stand in {number:,} rows; they are"
    )
    ledger.note(f"{stand} compared with the limits of the file, and not kept.")
    rows = readings["row"] - 1
    beyond = set(rows[outside(readings, found)].tolist())
    limited = np.array([each.lower is not None or each.upper is not None for each in found], bool)
    judgeable = set(rows[limited[readings["characteristic"]]].tolist())
    wrongly_good = (judged.good - judged.bad) & beyond
    wrongly_bad = (judged.bad & judgeable) - beyond
    if wrongly_good:
        ledger.note(f"Judged good, yet a reading lies outside its limits: {rows_named(wrongly_good)}.")
    if wrongly_bad:
        ledger.note(f"Judged bad, yet each reading lies inside its limits: {rows_named(wrongly_bad)}.")


def outside(readings: Readings, found: Sequence[FoundCharacteristic]) -> NDArray[np.bool_]:
    """Which readings lie outside the limits of their characteristic."""
    lower = np.array([-np.inf if each.lower is None else each.lower for each in found])
    upper = np.array([np.inf if each.upper is None else each.upper for each in found])
    value, index = readings["value"], readings["characteristic"]
    room = _ROUNDING * np.maximum(1.0, np.abs(value))
    outside: NDArray[np.bool_] = (value < lower[index] - room) | (value > upper[index] + room)
    return outside


def _series(readings: Readings) -> NDArray[np.int32]:
    """One number for each characteristic in each cavity."""
    cavities = int(readings["cavity"].max()) + 2
    series: NDArray[np.int32] = readings["characteristic"] * np.int32(cavities) + (readings["cavity"] + 1)
    return series

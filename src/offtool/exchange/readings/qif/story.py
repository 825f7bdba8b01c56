"""What is said of a QIF file: how it was understood, who measured when, which readings stand twice."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.ledger import Ledger, quote, rows_named
from offtool.exchange.readings.qif.document import Element
from offtool.exchange.readings.qif.measured import Run

_PEOPLE = (("InspectionOperator", "Operator:"), ("ReportPreparer", "Report prepared by"))
_TIMES = (
    ("InspectionStart", "Inspection began"),
    ("InspectionEnd", "Inspection ended"),
    ("ReportPreparationDate", "Report of"),
)
_LISTED = 6


def say_how(version: str, parts: int, readings: int, ledger: Ledger) -> None:
    """The first note: the layout, its version, and how much of it was read."""
    count = f"{readings:,} measurement{'s' * (readings > 1)} of {parts:,} part{'s' * (parts > 1)}"
    old = "" if version.startswith("3.") else "; it is read as far as it is like 3.0"
    ledger.note(f"Layout QIF, version {version}: {count}{old}.")


def say_doubles(rows: NDArray[np.int32], ledger: Ledger) -> None:
    """Say which readings share part and characteristic with one before."""
    if len(rows):
        stand = "1 reading stands" if len(rows) == 1 else f"{len(rows):,} readings stand"
        ledger.note(
            f"{stand} for the same characteristic and part as one before"
            f" ({rows_named(set((rows - 1).tolist()))}); all are kept."
        )


def say_who_and_when(results: Sequence[Element], runs: Sequence[Run], ledger: Ledger) -> None:
    """Say when measurements were taken and by whom, as far as the file does."""
    times = sorted({one.time for run in runs for one in run.measured if one.time})
    if times:
        until = f" to {quote(times[-1])}" if len(times) > 1 else ""
        ledger.note(f"Measured {quote(times[0])}{until}.")
    traced = [
        one
        for element in (*results, *(run.element for run in runs))
        if (one := element.child("InspectionTraceability"))
    ]
    for tag, words in _TIMES:
        _say(words, [one.said(tag) for one in traced], ledger)
    for tag, words in _PEOPLE:
        _say(words, [one.said(tag, "Name") for one in traced], ledger)


def _say(words: str, told: Sequence[str], ledger: Ledger) -> None:
    shown = [quote(one) for one in dict.fromkeys(told) if one]
    if shown:
        more = f" and {len(shown) - _LISTED} more" if len(shown) > _LISTED else ""
        ledger.note(f"{words} {', '.join(shown[:_LISTED])}{more}.")

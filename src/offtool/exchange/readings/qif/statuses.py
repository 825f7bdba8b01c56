"""The statuses of a QIF file beside our own judgement by its limits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.checks import outside
from offtool.exchange.readings.ledger import Ledger, rows_named
from offtool.exchange.readings.table import FoundCharacteristic
from offtool.exchange.readings.walk import Readings

_PASS, _FAIL = "PASS", "FAIL"


def say_statuses(
    readings: Readings, found: Sequence[FoundCharacteristic], statuses: Sequence[str], ledger: Ledger
) -> None:
    """Say how many PASS and FAIL agree with the limits, and in which lines they do not."""
    said = np.array(statuses, dtype=object)
    limited = np.array([one.lower is not None or one.upper is not None for one in found], bool)
    judged = np.isin(said, (_PASS, _FAIL)) & limited[readings["characteristic"]]
    if judged.any():
        out = outside(readings, found)
        wrong = judged & (out != (said == _FAIL))
        ledger.note(
            f"{int((judged & ~wrong).sum()):,} of {int(judged.sum()):,} statuses agree with the limits of the"
            " file; statuses are not kept."
        )
        _say(wrong & out, "Judged good, yet the reading lies outside its limits", readings, ledger)
        _say(wrong & ~out, "Judged bad, yet the reading lies inside its limits", readings, ledger)
    others = Counter(one for one in statuses if one not in ("", _PASS, _FAIL))
    for status, count in sorted(others.items()):
        ledger.note(f"Status {status[:40]} stands at {count:,} reading{'s' * (count > 1)}.")


def _say(which: NDArray[np.bool_], what: str, readings: Readings, ledger: Ledger) -> None:
    if which.any():
        rows = set((readings["row"][which] - 1).tolist())
        ledger.note(f"{what}: {rows_named(rows)}.")

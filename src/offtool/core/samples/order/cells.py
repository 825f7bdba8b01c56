"""Single cells of a lot: readings that stand against all others, and looks that would tell most."""

from __future__ import annotations

from math import log

import numpy as np
from scipy.special import entr

from offtool.core.samples.order.changes import Numbers
from offtool.core.samples.order.found import READ_WRONG, CellToLook, OddCell
from offtool.core.samples.order.lot import Columns, Lot

MOST_LOOKS = 5
FEWEST_BITS = 0.01
SUREST = 1e-9
WORDS = ("not there", "there")


def odd_cells(lot: Lot, columns: Columns, shown: Numbers) -> tuple[OddCell, ...]:
    """Readings that more likely than not do not show the steel; `shown` is P(there), samples × columns."""
    right = np.where(columns.read == 1, shown, 1 - shown)
    cells = np.argwhere((columns.read >= 0) & (right < 0.5))
    found = [_odd(lot, columns, sample, column, right[sample, column]) for sample, column in cells.tolist()]
    return tuple(sorted(found, key=lambda one: -one.log_odds))


def _odd(lot: Lot, columns: Columns, sample: int, column: int, right: float) -> OddCell:
    read, right = int(columns.read[sample, column]), max(right, SUREST)
    return OddCell(
        sample=lot.samples[columns.sample[sample]],
        detail=columns.names[column],
        read=WORDS[read],
        expected=WORDS[1 - read],
        log_odds=log((1 - right) / right),
        words=READ_WRONG,
    )


def look_next(
    lot: Lot, columns: Columns, shown: Numbers, *, missed: float, imagined: float
) -> tuple[CellToLook, ...]:
    """The looks of the highest expected information.

    A reading depends on the order and on the sample's state by nothing but whether the detail is there. What
    it is expected to tell of both is thus H(reading) - P(there) H(missed) - P(not there) H(imagined).
    """
    yes = shown * (1 - missed) + (1 - shown) * imagined
    bits = _entropy(yes) - shown * _entropy(missed) - (1 - shown) * _entropy(imagined)
    order = np.argsort(-bits, axis=None, kind="stable")[:MOST_LOOKS]
    cells = zip(*np.unravel_index(order, bits.shape), strict=True)
    return tuple(
        CellToLook(
            sample=lot.samples[columns.sample[sample]],
            detail=columns.names[column],
            bits=float(bits[sample, column]),
            again=bool(columns.read[sample, column] >= 0),
        )
        for sample, column in cells
        if bits[sample, column] > FEWEST_BITS
    )


def _entropy(probability: Numbers | float) -> Numbers:
    """Of a yes or no, in bits."""
    one = np.asarray(probability, dtype=float)
    found: Numbers = (entr(one) + entr(1 - one)) / log(2)
    return found

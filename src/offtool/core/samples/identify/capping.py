"""How much a finding may count at most."""

from __future__ import annotations

from math import log

import numpy as np

from offtool.core.samples.identify.hypotheses import Logs

SOFT_CAP = 20.0
"""What is only usual, or can be changed back, counts twenty to one at most. Common practice says about ten;
in the virtual archive, without records, ten costs two right answers of a hundred; thirty gains few more."""
TAG_CAP = 30.0
"""Bags are mixed up and tags fall off; our own."""
MEASURED_CAP = 1e4
"""A number can be read wrong, or be of another piece; our own."""


def capped(logs: Logs, most: float) -> tuple[Logs, bool]:
    """No make or occasion falls behind the best by more than `most` to one; whether that took hold."""
    floor = logs.max() - log(most)
    return np.maximum(logs, floor), bool((logs < floor).any())

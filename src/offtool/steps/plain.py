"""Results as plain data: one form for `--json` and for the pages' JSON."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import Enum
from typing import Any

import numpy as np


def as_plain(result: Any) -> Any:
    """A result as dicts, lists, text and numbers that JSON can carry; NaN and infinity become null."""
    if is_dataclass(result) and not isinstance(result, type):
        return {one.name: as_plain(getattr(result, one.name)) for one in fields(result)}
    if isinstance(result, Enum):
        return result.value
    if isinstance(result, (date, datetime)):
        return result.isoformat()
    if isinstance(result, dict):
        return {str(key): as_plain(value) for key, value in result.items()}
    if isinstance(result, (list, tuple)):
        return [as_plain(one) for one in result]
    if isinstance(result, (np.ndarray, np.generic)):
        return as_plain(result.tolist())
    if isinstance(result, float):
        return result if math.isfinite(result) else None
    return result

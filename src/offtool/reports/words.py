"""How numbers are worded, once for every page, sheet, workbook and command."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import ceil, isfinite, isnan

from offtool.core.inspection import PerformanceIndex
from offtool.core.values import Interval, Verdict

MINUS = "−"
NONE = "–"
MOST_DECIMALS = 6
PER_MILLION = 1e6
LARGEST_IN_FULL = 1e9
"""No size in a moulding shop reaches it; beyond, powers of ten are written."""

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


VERDICTS = {
    Verdict.HOLDS: ("holds", "hold"),
    Verdict.FAILS: ("does not hold", "do not hold"),
    Verdict.NOT_SHOWN: ("is not shown", "are not shown"),
}


def number(value: float, decimals: int) -> str:
    """3.970, −0.020; ∞ where there is no end, – where there is no number; never −0.000."""
    if isnan(value):
        return NONE
    if not isfinite(value):
        return "∞" if value > 0 else f"{MINUS}∞"
    written = f"{abs(value):.{decimals}f}" if abs(value) < LARGEST_IN_FULL else f"{abs(value):.{decimals}e}"
    return f"{MINUS}{written}" if value < 0 and float(written) != 0 else written


def signed(value: float, decimals: int) -> str:
    """+0.03, −0.02, and 0 where nothing is left after rounding."""
    written = number(value, decimals)
    if isfinite(value) and float(written.replace(MINUS, "-")) == 0:
        return "0"
    return f"+{written}" if value > 0 else written


def decimals_to_write(values: Sequence[float], at_least: int = 0) -> int:
    """The fewest decimals that write every value as it is meant; limits of a drawing are never rounded."""
    for decimals in range(at_least, MOST_DECIMALS):
        if all(abs(round(value, decimals) - value) <= 1e-9 * max(1.0, abs(value)) for value in values):
            return decimals
    return MOST_DECIMALS


def limits(lower: float | None, upper: float | None, *, nominal: float, decimals: int) -> str:
    """62.00 ± 0.15, 4.00 +0.03/−0.02, 4.05 +0.03/0, at most 5.0, at least 0.30.

    `decimals` are those of a mean; limits have one less, at most two, unless they need more to be exact.
    """
    ends = [end for end in (lower, upper) if end is not None]
    least = min(max(decimals - 1, 0), 2)
    if lower is None or upper is None:
        word = "at least" if upper is None else "at most"
        return f"{word} {number(ends[0], decimals_to_write(ends, least))}" if ends else "no limits"
    above, below = upper - nominal, lower - nominal
    places = decimals_to_write([nominal, above, below], least)
    if signed(above, places) == signed(-below, places):
        return f"{number(nominal, places)} ± {number(above, places)}"
    return f"{number(nominal, places)} {signed(above, places)}/{signed(below, places)}"


def between(lower: float | None, upper: float | None, *, decimals: int) -> str:
    """The limits as two ends, 3.98 to 4.03, where the nominal says nothing: at the bench, beside a part."""
    if lower is None or upper is None:
        end = lower if upper is None else upper
        return limits(lower, upper, nominal=end or 0.0, decimals=decimals)
    places = decimals_to_write([lower, upper], min(max(decimals - 1, 0), 2))
    return f"{number(lower, places)} to {number(upper, places)}"


def with_interval(value: float, interval: Interval, decimals: int) -> str:
    """4.003 ± 0.006; both ends where they are not alike; "no interval" where it is infinite."""
    if not (isfinite(interval.low) and isfinite(interval.high)):
        return f"{number(value, decimals)}, no interval"
    below, above = value - interval.low, interval.high - value
    if number(below, decimals) != number(above, decimals):
        return f"{number(value, decimals)} ({span(interval, decimals)})"
    return f"{number(value, decimals)} ± {reach(above, decimals)}"


def reach(half_width: float, decimals: int) -> str:
    """What stands behind ±; a reach that rounds to nothing is not nothing."""
    written = number(half_width, decimals)
    nothing = float(written) == 0 < half_width if isfinite(half_width) else False
    return f"<{number(10.0**-decimals, decimals)}" if nothing else written


def span(interval: Interval, decimals: int) -> str:
    """3.997 to 4.009."""
    return ends(interval.low, interval.high, decimals)


def ends(low: float, high: float, decimals: int) -> str:
    """3.997 to 4.009."""
    return f"{number(low, decimals)} to {number(high, decimals)}"


def index(found: PerformanceIndex | None) -> str:
    """1.21 (1.05 to 1.40), or that there is none."""
    if found is None:
        return "no index"
    return f"{number(found.value, 2)} ({number(found.low, 2)} to {number(found.high, 2)})"


def percent(share: float, decimals: int = 2) -> str:
    """A share as 0.73 %."""
    return f"{number(100 * share, decimals)} %" if isfinite(share) else NONE


def parts_outside(share: float) -> str:
    """A share of parts: 1.3 %; below 1 % in parts per million, 63 ppm; what is not nothing is never 0 ppm."""
    if share >= 0.01:
        return percent(share, 1)
    return "under 1 ppm" if 0 < PER_MILLION * share < 1 else f"{PER_MILLION * share:,.0f} ppm"


def most_outside(share: float) -> str:
    """An upper bound on a share of parts, rounded up: never 0 ppm."""
    return percent(share, 1) if share >= 0.01 else f"{ceil(PER_MILLION * share):,} ppm"


def percent_span(interval: Interval, decimals: int = 0) -> str:
    """4 to 9 %; 4 % or more where there is no upper end."""
    if not isfinite(interval.high):
        return f"{percent(interval.low, decimals)} or more"
    return f"{number(100 * interval.low, decimals)} to {percent(interval.high, decimals)}"


def percent_with_interval(share: float, interval: Interval | None, decimals: int = 1) -> str:
    """15.0 % (13.6 to 19.6 %)."""
    said = percent(share, decimals)
    return f"{said} ({percent_span(interval, decimals)})" if interval is not None else said


def chance(probability: float) -> str:
    """A probability in whole per cent; never 0 % or 100 %: one worked out as 1 is rounded, not certain."""
    if probability < 0.005:
        return "under 1 %"
    if probability >= 0.995:
        return "over 99 %"
    return percent(probability, 0)


def place(value: float, lower: float | None, upper: float | None, decimals: int) -> str:
    """Where a value stands to its limits: 0.010 below the lower limit; inside, 0.012 from the upper limit."""
    if lower is not None and value < lower:
        return _from_limit(lower - value, decimals, "below the lower limit", at="at the lower limit")
    if upper is not None and value > upper:
        return _from_limit(value - upper, decimals, "above the upper limit", at="at the upper limit")
    room = {
        "lower": value - lower if lower is not None else float("inf"),
        "upper": upper - value if upper is not None else float("inf"),
    }
    nearer = "lower" if room["lower"] < room["upper"] else "upper"
    if not isfinite(room[nearer]):
        return "without limits" if lower is None and upper is None else "inside"
    at = f"at the {nearer} limit"
    return _from_limit(room[nearer], decimals, f"from the {nearer} limit", at=at, start="inside, ")


def _from_limit(distance: float, decimals: int, words: str, *, at: str, start: str = "") -> str:
    written = number(distance, decimals)
    return at if isfinite(distance) and float(written) == 0 else f"{start}{written} {words}"


def amount(amount_mm: float) -> str:
    """How much steel, in the toolmaker's step or finer: 0.03, 0.015. No sign: the verb says which way."""
    return number(abs(amount_mm), min(decimals_to_write([amount_mm], 2), 4))


def cavity(label: str) -> str:
    """cavity 3, or that it was not recorded."""
    return f"cavity {label}" if label else "cavity not recorded"


def counted(sizes: int, verdict: Verdict) -> str:
    """3 do not hold, 1 is not shown."""
    one, many = VERDICTS[verdict]
    return f"{sizes} {one if sizes == 1 else many}"


def listed(items: Sequence[str]) -> str:
    """1, 2 and 4."""
    return " and ".join(filter(None, [", ".join(items[:-1]), items[-1]])) if items else ""


def day(when: date | None) -> str:
    """14 March 2026."""
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}" if when is not None else "no date"

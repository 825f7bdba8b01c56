"""From when on purging pays: what each shot must be worth, over how many shots are kept; both logarithmic.

Where money is not known it stands in minutes of the press for each shot, which everybody can price.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log10

from offtool.core.planning.colour_change import Amount, BreakEven
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, LINE, MARK, NO, WHITE
from offtool.reports.drawing import at, level, svg, upright

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 560.0, 26.0, 160.0, 34.0, 52.0, 18.0
WORD = 10.5
FEWEST, MOST = 5.0, 1000.0
SHOTS = (5, 10, 20, 50, 100, 200, 500, 1000)
STEPS = (1.0, 2.0, 5.0)


def draw_break_even(found: BreakEven, *, currency: str = "", width: float = WIDTH) -> str:
    """What a shot in the product's colour must be worth so that purging pays, against shots kept."""
    more = found.more_money or found.more_minutes
    if more.low <= 0:
        return ""
    bottom, right = TOP + HEIGHT, width - RIGHT
    along = Scale(log10(FEWEST), log10(MOST), LEFT, right)
    low, high = more.low / MOST, more.high / FEWEST
    worth = found.worth_per_shot if found.more_money is not None else None
    ends = [low, high, *([worth] if worth else [])]
    up = Scale(log10(min(ends)), log10(max(ends)), bottom, TOP)
    unit = (currency or "money") if found.more_money is not None else "min of the press"
    inside = [
        *_axes(along, up, right, bottom),
        _band(more, along, up),
        _line(more.value, along, up),
        *(_worth(worth, up, right, unit) if worth else ()),
        *_trial(found.trial_shots, more, along, up, unit),
        text(f"a shot must be worth, {unit}", LEFT, 14, size=WORD),
        text("above the band purging pays, below it does not", right, 14, anchor="end", size=WORD),
    ]
    return svg("break-even", width, bottom + BELOW, break_even_in_words(found, currency=currency), inside)


def break_even_in_words(found: BreakEven, *, currency: str = "") -> str:
    """The drawing in a sentence or two."""
    shots = words.number(found.trial_shots, 0)
    if found.needs_worth is None:
        minutes, kg = found.more_minutes, found.more_kg
        each = minutes.times(1 / found.trial_shots)
        return (
            f"Purging takes {_span(minutes, 0)} min of the press and {_span(kg, 1)} kg more than shooting "
            f"as it is: {_span(each, 1)} min for each of {shots} shots"
        )
    money = f" {currency}".rstrip()
    said = (
        f"With {shots} shots purging pays if each is worth over {_span(found.needs_worth, 2)}{money} for "
        "being in the product's colour"
    )
    if found.needs_shots is not None and found.worth_per_shot:
        said += (
            f"; at {found.worth_per_shot:g}{money} a shot from {_span(found.needs_shots, 0)} shots on, up to "
            f"{_end(found.pays_to_price)}{money} a kg or {_end(found.pays_to_hour)}{money} an hour of "
            "the press"
        )
    return said


def _span(amount: Amount, decimals: int) -> str:
    low, high = words.number(amount.low, decimals), words.number(amount.high, decimals)
    return f"{words.number(amount.value, decimals)} ({low} to {high})"


def _end(value: float | None) -> str:
    """A price up to which it pays; where none does, not even nothing."""
    return "no" if value is None else words.number(value, 0 if value >= 10 else 2)


def _line(more: float, along: Scale, up: Scale) -> str:
    spots = [f"{at(along.at(x))} {at(up.at(log10(more) - x))}" for x in (along.low, along.high)]
    return f'<path class="line" d="M{"L".join(spots)}" fill="none" stroke="{MARK}" stroke-width="1.8"/>'


def _band(more: Amount, along: Scale, up: Scale) -> str:
    """Straight on these scales: worth times shots is what purging takes."""
    upper = [f"{at(along.at(x))} {at(up.at(log10(more.high) - x))}" for x in (along.low, along.high)]
    lower = [f"{at(along.at(x))} {at(up.at(log10(more.low) - x))}" for x in (along.high, along.low)]
    return f'<path class="interval" d="M{"L".join([*upper, *lower])}Z" fill="{MARK}" fill-opacity="0.16"/>'


def _axes(along: Scale, up: Scale, right: float, bottom: float) -> Iterator[str]:
    for power in range(int(up.low) - 2, int(up.high) + 2):
        for step in STEPS:
            place = power + log10(step)
            if up.low <= place <= up.high:
                y = up.at(place)
                yield level("tick", LEFT, right, y, LINE, 0.7)
                yield text(f"{step * 10.0**power:g}", LEFT - 6, y + 3.5, anchor="end", size=WORD)
    yield level("axis", LEFT, right, bottom, INK, 0.9)
    for shots in SHOTS:
        x = along.at(log10(shots))
        yield upright("tick", x, bottom, bottom + 4, INK, 0.9)
        yield text(f"{shots:,}", x, bottom + 15, anchor="middle", size=WORD)
    yield text("shots that are kept", right, bottom + 29, anchor="end", size=WORD)


def _worth(worth: float, up: Scale, right: float, unit: str) -> Iterator[str]:
    y = up.at(log10(worth))
    yield level("worth", LEFT, right, y, INK, 1.3, ' stroke-dasharray="5 4"')
    yield text(f"worth {worth:g} {unit}", right - 3, y - 4, anchor="end", colour=INK, size=WORD)


def _trial(shots: float, more: Amount, along: Scale, up: Scale, unit: str) -> Iterator[str]:
    """The trial that is asked about."""
    if not FEWEST <= shots <= MOST:
        return
    x, y = along.at(log10(shots)), up.at(log10(more.value / shots))
    dot = f'<circle class="trial" cx="{at(x)}" cy="{at(y)}" r="4" fill="{NO}" stroke="{WHITE}"/>'
    said = f"this trial, {shots:g} shots: {words.number(more.value / shots, 2)} {unit}"
    yield hovered(dot, said)
    yield text(f"this trial, {shots:g} shots", x - 8, y + 15, anchor="end", colour=INK, size=WORD)

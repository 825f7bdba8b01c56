"""The plan of trials over time: a row for each press, its jobs as bars, its trials, closed hours shaded.

Words carry it: each bar says its job, each trial its name; hatching marks the time of the changes. Colours of
plastic are patches beside the words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, LINE, MARK, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.hatch import hatch
from offtool.steps.slots_found import JobOnPress, PressHours, SlotsFound, TrialSlot
from offtool.steps.slots_sentences import hours_in_words, short_when

A_DAY_WIDE = 62.0
TOP, ROW, JOB_HIGH, TRIAL_HIGH = 30.0, 98.0, 18.0, 20.0
LEFT, RIGHT = 8.0, 8.0
LETTER = 5.4
"""About the width of a letter; a word that does not fit is left to the title and the tables."""
LEAST_WIDE = 3.0
ABOVE, BELOW = -3.0, TRIAL_HIGH + 10
"""Where the name of a trial stands at its bar; where neither has room, in the title and the tables."""


class _Days:
    """Places of days and times."""

    def __init__(self, first: date, days: int, zone: object) -> None:
        self.first, self.days = first, days
        self.begins = datetime(first.year, first.month, first.day, tzinfo=zone)  # type: ignore[arg-type]
        self.left, self.right = LEFT, LEFT + days * A_DAY_WIDE

    def at(self, when: datetime) -> float:
        share = (when - self.begins) / timedelta(days=1)
        return self.left + min(max(share, 0.0), self.days) * A_DAY_WIDE


def draw_slots(found: SlotsFound) -> str:
    """The plan as SVG."""
    zone = next(
        (one.open[0][0].tzinfo for one in found.presses if one.open), datetime.now().astimezone().tzinfo
    )
    days = _Days(found.from_day, found.days, zone)
    high = TOP + ROW * len(found.presses) + 26
    said = "; ".join(f"{one.trial} on {one.press}, {short_when(one.begins)}" for one in found.placed)
    return svg(
        "slots",
        days.right + RIGHT,
        high,
        f"Plan: {said or 'no trial has a place'}",
        _inside(found, days, high),
    )


def _inside(found: SlotsFound, days: _Days, high: float) -> Iterator[str]:
    for row, press in enumerate(found.presses):
        top = TOP + row * ROW
        yield from _closed(press, days, top)
        yield text(press.press, days.left + 2, top + 11, colour=INK, size=10)
        for job in found.jobs:
            if job.press == press.press:
                yield _job(job, days, top + 18)
        yield from _trials([one for one in found.placed if one.press == press.press], days, top + 53)
        yield level("row", days.left, days.right, top + ROW - 4, LINE, 0.7)
    yield from _dates(days, high)
    yield from _key(days, high)


def _closed(press: PressHours, days: _Days, top: float) -> Iterator[str]:
    """Hours in which the press is not worked."""
    edge = days.left
    for begins, ends in press.open:
        yield from _shade(edge, days.at(begins), top)
        edge = days.at(ends)
    yield from _shade(edge, days.right, top)


def _shade(left: float, right: float, top: float) -> Iterator[str]:
    if right - left > 0.3:
        place = f'x="{at(left)}" y="{at(top + 15)}" width="{at(right - left)}" height="{at(ROW - 22)}"'
        yield f'<rect class="closed" {place} fill="{OUTSIDE}"/>'


def _dates(days: _Days, high: float) -> Iterator[str]:
    for number in range(days.days + 1):
        x = days.left + number * A_DAY_WIDE
        yield upright("day", x, 18, high - 26, LINE, 0.8)
        if number < days.days:
            day = days.first + timedelta(days=number)
            yield text(f"{day:%a} {day.day} {day:%b}", x + 3, 14, size=10)


def _job(job: JobOnPress, days: _Days, top: float) -> str:
    left = days.at(job.begins)
    right = days.at(job.ends) if job.ends is not None else days.right
    wide = max(right - left, LEAST_WIDE)
    place = f'x="{at(left)}" y="{at(top)}" width="{at(wide)}" height="{at(JOB_HIGH)}"'
    bar = f'<rect class="job" {place} fill="{WHITE}" stroke="{QUIET}" stroke-width="0.9"/>'
    patch = ""
    if job.on_screen and wide > 12:
        spot = f'x="{at(left + 2)}" y="{at(top + 3)}" width="10" height="12"'
        patch = f'<rect {spot} fill="{job.on_screen}" stroke="{QUIET}" stroke-width="0.6"/>'
    stops = {True: "", False: ", must not stop", None: ", may it stop?"}[job.may_stop]
    word = f"{job.job} {job.colour}".rstrip() + stops
    room = int((wide - 18) / LETTER)
    shown = word if len(word) <= room else (job.job if len(job.job) <= room else "")
    label = text(shown, left + 15, top + 12.5, colour=INK) if shown else ""
    return hovered(bar + patch + label, f"{job.says}; {short_when(job.begins)} to {_end(job)}")


def _end(job: JobOnPress) -> str:
    later = f", {hours_in_words(job.later_h)} later than said" if job.later_h > 0 else ""
    return (short_when(job.ends) if job.ends is not None else "past the plan") + later


def _trials(trials: Sequence[TrialSlot], days: _Days, top: float) -> Iterator[str]:
    """The trials of a press in order of time, each name where no other name stands."""
    free = {ABOVE: 0.0, BELOW: 0.0}
    for trial in trials:
        word = _word(trial)
        wide, left, right = LETTER * len(word), days.at(trial.begins), days.at(trial.ends)
        begins = right - wide if left + wide > days.right else left
        place = next((one for one, taken in free.items() if begins >= taken), None)
        label = ""
        if place is not None:
            free[place] = begins + wide + LETTER
            label = text(word, begins, top + place, colour=INK, size=10)
        yield _trial(trial, days, top, label)


def _word(trial: TrialSlot) -> str:
    return f"{trial.trial} {trial.begins.hour}:{trial.begins:%M}{', fixed' if trial.is_fixed else ''}"


def _trial(trial: TrialSlot, days: _Days, top: float, label: str) -> str:
    left, right = days.at(trial.begins), days.at(trial.ends)
    wide = max(right - left, LEAST_WIDE)
    place = f'x="{at(left)}" y="{at(top)}" width="{at(wide)}" height="{at(TRIAL_HIGH)}"'
    bar = f'<rect class="change" {place} fill="{WHITE}" stroke="{MARK}" stroke-width="1.2"/>'
    bar += hatch(left, top, wide, TRIAL_HIGH, MARK, gap=4, stroke=0.7)
    first = days.at(trial.first_shot)
    run = max(days.at(trial.last_shot) - first, LEAST_WIDE)
    shot = f'x="{at(first)}" y="{at(top)}" width="{at(run)}" height="{at(TRIAL_HIGH)}"'
    bar += f'<rect class="trial" {shot} fill="{MARK}"/>'
    fixed = ", fixed" if trial.is_fixed else ""
    return hovered(
        bar + label, f"{trial.trial}{fixed}: {short_when(trial.begins)} to {short_when(trial.ends)}"
    )


def _key(days: _Days, high: float) -> Iterator[str]:
    y, x = high - 18, days.left
    yield f'<rect x="{at(x)}" y="{at(y)}" width="14" height="11" fill="{MARK}"/>'
    yield text("first shot to last", x + 19, y + 9, colour=INK)
    yield hatch(x + 110, y, 14, 11, MARK, gap=4, stroke=0.7)
    yield text("changes", x + 129, y + 9, colour=INK)
    yield f'<rect x="{at(x + 184)}" y="{at(y)}" width="14" height="11" fill="{OUTSIDE}"/>'
    yield text("not worked", x + 203, y + 9, colour=INK)

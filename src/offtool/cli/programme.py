"""offtool programme: how far a release is, what decides it, and how long its steps take."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from offtool.cli.options import DAY, command, open_for_reading, shared_options, who
from offtool.cli.terminal import say, say_json

USUAL = "handbook"
"""Typed for the days of a step that are to be the handbook's again."""


@command(example="offtool programme harbour-otter --days laboratory=8-12 --due 2026-06-15")
@click.argument("programme")
@click.option("--on", "on_day", type=DAY, metavar="YYYY-MM-DD", help="Counted from this day; else today.")
@click.option("--days", "days", multiple=True, metavar="STEP=LOW-HIGH",
              help="Working days of a step in this shop; STEP=handbook takes them back.")  # fmt: skip
@click.option("--due", metavar="YYYY-MM-DD", help="The day release is asked for by; none for no day.")
@click.option("--steps", "all_steps", is_flag=True, help="List every step, with its days.")
@shared_options
def programme(
    programme: str,
    on_day: datetime | None,
    days: tuple[str, ...],
    due: str | None,
    all_steps: bool,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say how far the release is and what to do next.

    The day has a band: it rests on the working days of each step, which --days says for this shop.
    """
    said = dict(_days(one) for one in days)
    day_due = _due(due)
    open_for_reading(record)
    done = _keep(programme, said, due, day_due)
    from offtool.steps.plain import as_plain
    from offtool.steps.programme_standing import programme_standing
    from offtool.steps.review_day import review_day

    day = on_day.date() if on_day is not None else review_day(programme, today=date.today())
    found = programme_standing(programme, day)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_programme import programme_lines

    say([*done_lines(done), *programme_lines(found, all_steps=all_steps)])


def _keep(
    programme: str, said: dict[str, tuple[float | None, float | None]], due: str | None, day: date | None
) -> list[str]:
    """Keep what was typed; returns what was done."""
    done = []
    if said:
        from offtool.steps.step_days import keep_step_days

        keep_step_days(programme, said, by=who())
        done.append("The days of the steps are kept.")
    if due is not None:
        from offtool.steps.step_days import ask_release_by

        ask_release_by(programme, day, by=who())
        done.append(f"Release is asked for by {day}." if day else "No day is asked for any more.")
    return done


def _days(typed: str) -> tuple[str, tuple[float | None, float | None]]:
    step, equals, days = (one.strip() for one in typed.partition("="))
    if equals and days.casefold() == USUAL:
        return step, (None, None)
    low, dash, high = days.partition("-")
    try:
        pair = float(low.replace(",", ".")), float((high if dash else low).replace(",", "."))
    except ValueError:
        equals = ""
    if not step or not equals:
        raise click.UsageError(f"--days {typed!r}: type it as --days laboratory=8-12, or laboratory={USUAL}")
    return step, pair


def _due(typed: str | None) -> date | None:
    if typed is None or typed.strip().casefold() in ("", "none"):
        return None
    try:
        return date.fromisoformat(typed.strip())
    except ValueError:
        raise click.UsageError(f"--due {typed!r}: type it as 2026-06-15, or none") from None

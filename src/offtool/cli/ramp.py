"""offtool ramp: when a quantity is there, if production goes on from where a pilot ended."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from offtool.cli.options import ABOVE_ZERO, DAY, command, open_for_reading, shared_options
from offtool.cli.terminal import say, say_json


@command(example="offtool ramp harbour-otter P1 --quantity 20000 --from 2026-05-04")
@click.argument("programme")
@click.argument("pilot", required=False)
@click.option("--quantity", type=click.IntRange(min=1), help="Good pieces wanted; else as with the line.")
@click.option("--from", "starts_on", type=DAY, metavar="YYYY-MM-DD",
              help="The day it starts; else as with the line, else the next working day.")  # fmt: skip
@click.option("--hours", type=ABOVE_ZERO, help="Hours the line runs a day; else as with the line.")
@click.option("--rate", type=ABOVE_ZERO, help="Good pieces an hour, planned; else as with the line.")
@click.option("--yield", "planned_yield", type=ABOVE_ZERO, metavar="%",
              help="Yield in the end, planned, such as 98; else as with the line.")  # fmt: skip
@click.option("--half-after", type=ABOVE_ZERO, metavar="DAYS",
              help="Working days until half the missing yield is gained; else 5.")  # fmt: skip
@shared_options
def ramp(
    programme: str,
    pilot: str | None,
    quantity: int | None,
    starts_on: datetime | None,
    hours: float | None,
    rate: float | None,
    planned_yield: float | None,
    half_after: float | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say on which day a quantity is there, with its band.

    It goes on from the last hours of PILOT, else of the newest, with the learning that its hours show.
    """
    open_for_reading(record)
    from offtool.steps.plain import as_plain
    from offtool.steps.ramp_found import RampAsked
    from offtool.steps.ramp_from_pilot import newest_pilot, ramp_from_pilot

    asked = RampAsked(
        quantity=quantity,
        starts_on=starts_on.date() if starts_on else None,
        hours_per_day=hours,
        planned_per_h=rate,
        planned_yield=_share(planned_yield),
        days_to_half=half_after,
    )
    found = ramp_from_pilot(programme, pilot or newest_pilot(programme), asked, today=date.today())
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_ramp import ramp_lines

    say(ramp_lines(found))


def _share(per_cent: float | None) -> float | None:
    """The yield as a share of one. Raises ImpossibleInput; 0.98 is doubted, as 98 is meant."""
    if per_cent is None:
        return None
    from offtool.core.values import ImpossibleInput

    if not 1 < per_cent <= 100:
        remedy = f"type {100 * per_cent:g}" if per_cent <= 1 else "98 of 100 is 98"
        raise ImpossibleInput("--yield", f"{per_cent:g}", "%", "must be above 1 % and at most 100 %", remedy)
    return per_cent / 100

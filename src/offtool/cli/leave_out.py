"""offtool leave-out: a reading that must not count, with the reason."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from offtool.cli.options import command, open_for_reading, place_arguments, shared_options, who
from offtool.cli.terminal import say, say_json


@command(example='offtool leave-out harbour-otter M2 T2 "BODY 4" --cavity 3 --shot 31 --because fell')
@place_arguments
@click.argument("size")
@click.option("--cavity", help="The cavity it was measured in.")
@click.option("--shot", type=click.IntRange(min=0), help="Its shot.")
@click.option("--part", type=click.IntRange(min=0), help="The number of the piece, as in the file.")
@click.option("--row", type=click.IntRange(min=1), help="The row of the file it stands in.")
@click.option("--column", type=click.IntRange(min=1), help="The column of the file it stands in.")
@click.option("--because", required=True, help="Why, in a few words; it is kept with your name.")
@click.option("--back", is_flag=True, help="Let a reading that was left out count again.")
@shared_options
def leave_out(
    programme: str, tool: str, trial: str, size: str, cavity: str | None, shot: int | None, part: int | None,
    row: int | None, column: int | None, because: str, back: bool, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Leave one reading of SIZE out of every judgement.

    SIZE is part and number, such as "BODY 4". The reading stays in the record and is shown as left out, with
    who said so and why. offtool itself never leaves a reading out: it points at those that stand apart.
    """
    open_for_reading(record)
    from offtool.steps.judge_readings import find_reading, take_back
    from offtool.steps.judge_readings import leave_out as leave_reading_out
    from offtool.steps.plain import as_plain

    which = {"cavity": cavity, "shot": shot, "part_no": part, "row": row, "column": column}
    reading = find_reading(programme, tool, trial, size=size, is_left_out=back, **which)  # type: ignore[arg-type]
    found = (take_back if back else leave_reading_out)(
        programme, tool, trial, readings=[reading.reading_id], reason=because, made_at=datetime.now(UTC),
        made_by=who(),
    )  # fmt: skip
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import sentence

    done = "counts again" if back else "is left out"
    say([*sentence(f"{reading.value:g} at {reading.cell} {done}."), *sentence(found.headline)])

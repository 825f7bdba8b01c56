"""offtool review: may production start, and what each line of the release review rests on."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from offtool.cli.options import DAY, command, open_for_reading, shared_options
from offtool.cli.terminal import say, say_json


@command(example="offtool review harbour-otter sizes")
@click.argument("programme")
@click.argument("code", required=False)
@click.option("--on", "day", type=DAY, metavar="YYYY-MM-DD",
              help="As it stands on a day; else today, an example's last day.")  # fmt: skip
@shared_options
def review(
    programme: str, code: str | None, day: datetime | None, record: Path | None, as_json: bool
) -> None:
    """Say whether production may start, line by line.

    Without CODE the whole list; with it one line and every fact behind it. What is missing is answered by
    offtool evidence, offtool concession, offtool change, offtool limit-sample; people sign by offtool sign.
    """
    open_for_reading(record)
    show_review(programme, code, [], on=day.date() if day else None, as_json=as_json)


def show_review(
    programme: str, code: str | None, done: list[str], *, on: date | None = None, as_json: bool
) -> None:
    """Write the review or one line of it, after what was done."""
    from offtool.steps.plain import as_plain
    from offtool.steps.review_release import review_release

    found = review_release(programme, on or day_of(programme))
    if as_json:
        say_json(as_plain(found.line(code) if code is not None else found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_review import line_lines, review_lines

    shown = line_lines(found, found.line(code)) if code is not None else review_lines(found)
    say([*done_lines(done), *shown])


def day_of(programme: str) -> date:
    """The day on which it is reviewed where nobody names one."""
    from offtool.steps.review_day import review_day

    return review_day(programme, today=today())


def today() -> date:
    """The day in this computer's time zone: what people give now is of today, of an example too."""
    return datetime.now().astimezone().date()

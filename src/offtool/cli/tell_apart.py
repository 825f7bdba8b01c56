"""offtool tell-apart: what the record knows to tell pieces apart, and one thing more for it to know."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from offtool.cli.options import (
    DAY,
    FROM_ZERO,
    command,
    open_for_reading,
    options_typed,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json

STAGES = (
    *("first shots", "early trial", "late trial", "engineering build", "final engineering build"),
    *("line pilot", "production", "colour change"),
)
"""The words of `offtool.handbook.terms.Stage`, written here so that help stays quick; a test holds it."""
BELONGS = {
    "--detail": ("--name", "--where", "--came", "--went", "--lost", "--comes-and-goes", "--note"),
    "--press": ("--name", "--holds", "--note"),
    "--job": (
        *("--product", "--colour", "--lab", "--begins", "--ends", "--note"),
        *("--resin", "--may-stop", "--must-run", "--margin-per-h", "--restart-min"),
    ),
    "--build": ("--stage", "--from-run", "--on", "--pieces", "--note"),
    "--run": ("--stage", "--colour", "--lab", "--interrupted", "--on", "--pieces"),
}
"""What is said of each kind of thing."""
ALWAYS = ("--change", "--record", "--json")


@command(example='offtool tell-apart harbour-otter --detail "HO-02: date-mark" --came "M1 c"')
@click.argument("programme")
@click.option("--detail", metavar="'PART: DETAIL'", help="A detail of a part, such as a date mark or a vent.")
@click.option("--came", metavar="'TOOL STATE'", help="The state of steel that it came with.")
@click.option("--went", metavar="'TOOL STATE'", help="The state that it was gone with again.")
@click.option("--lost", multiple=True, metavar="'TOOL STATE'", help="A state whose sheet is lost.")
@click.option("--comes-and-goes", is_flag=True,
              help="It can be changed back, as an insert can; else it stays.")  # fmt: skip
@click.option("--where", help="Where on the part, and how to look.")
@click.option("--press", help="A press.")
@click.option("--holds", multiple=True, metavar="TOOL", help="A tool that the press can hold; else any.")
@click.option("--job", metavar="'PRESS: JOB'", help="A job that ran on a press.")
@click.option("--product", help="What the job made.")
@click.option("--begins", type=DAY, metavar="YYYY-MM-DD", help="The first day of the job.")
@click.option("--ends", type=DAY, metavar="YYYY-MM-DD", help="Its last day.")
@click.option("--resin", help="What the job is moulded in, such as ABS or PP.")
@click.option("--may-stop", is_flag=True, help="A trial may interrupt the job.")
@click.option("--must-run", is_flag=True, help="No trial may interrupt it.")
@click.option("--margin-per-h", type=FROM_ZERO, metavar="MONEY",
              help="Contribution lost for each hour that the job stands.")  # fmt: skip
@click.option("--restart-min", type=FROM_ZERO, metavar="MIN",
              help="Minutes until good parts come again after a stop, without the colour.")  # fmt: skip
@click.option("--build", help="A build: pieces put together from parts of several runs.")
@click.option("--from-run", "runs", multiple=True, metavar="'TOOL RUN'", help="A run it took parts from.")
@click.option("--run", metavar="'TOOL RUN'", help="A run that is in the record: say more of it.")
@click.option("--interrupted", metavar="'PRESS: JOB'", help="The job that stood still while it ran.")
@click.option("--stage", type=click.Choice(STAGES), metavar="STAGE",
              help=f"How far the product had come: {', '.join(STAGES)}.")  # fmt: skip
@click.option("--on", type=DAY, metavar="YYYY-MM-DD", help="The day of the build or the run.")
@click.option("--pieces", type=click.IntRange(min=0), help="How many were made or kept.")
@click.option("--colour", help="The colour in words.")
@click.option(
    "--lab", metavar="'L A B'", help="The colour as measured, CIELAB; +-0.6 for how far pieces vary."
)
@click.option("--name", help="What people call it.")
@click.option("--note", help="Anything the next reader should know.")
@click.option("--change", is_flag=True, help="It is there: change what is said here, leave the rest.")
@shared_options
def tell_apart(programme: str, change: bool, record: Path | None, as_json: bool, **said: Any) -> None:
    """Say by what pieces are told apart, or list it.

    A detail that came with a state of the steel bounds the state of every piece that is looked at; a job with
    its colour names the days of a trial; a build names the runs of its parts. Say one thing at a time.
    """
    thing = _one_thing(change=change)
    open_for_reading(record)
    done: list[str] = []
    if thing is not None:
        from offtool.cli.ground_typed import KEEP

        typed = {key: _day(value) for key, value in said.items() if value not in (None, (), False)}
        done.append(f"{KEEP[thing](programme, typed, change=change, by=who())} is kept.")
        done += _about_resin(str(typed.get("resin", "")))
    from offtool.steps.know_ground import know_ground
    from offtool.steps.plain import as_plain

    found = know_ground(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_ground import ground_lines

    say([*done_lines(done), *ground_lines(found)])


def _about_resin(resin: str) -> list[str]:
    from offtool.handbook.colour_changes import unknown_resins

    return [
        f"{one} is no resin that is known: nobody can say what may follow it in a barrel. Write its code, "
        "such as ABS or POM."
        for one in unknown_resins(resin)
    ]


def _one_thing(*, change: bool) -> str | None:
    """Which kind of thing is said, if any. Raises UsageError for what does not go together."""
    typed = options_typed()
    things = [one for one in typed if one in BELONGS]
    if len(things) > 1:
        raise click.UsageError(f"{things[0]} and {things[1]}: say one thing at a time")
    left = [one for one in typed if one not in ALWAYS and one not in things]
    allowed = BELONGS[things[0]] if things else ()
    for one in left:
        if one not in allowed:
            owners = [thing for thing, options in BELONGS.items() if one in options]
            raise click.UsageError(f"{one} belongs to {' or '.join(owners)}")
    if change and not things:
        raise click.UsageError(f"--change belongs to {', '.join(BELONGS)}")
    return things[0].removeprefix("--") if things else None


def _day(value: Any) -> Any:
    return value.date() if isinstance(value, datetime) else value

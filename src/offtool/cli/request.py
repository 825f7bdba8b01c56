"""offtool request: ask for a trial, change what was asked, withdraw it, or list what is asked for."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from offtool.cli.options import DAY, NUMBER, command, open_for_reading, options_typed, shared_options, who
from offtool.cli.terminal import say, say_json
from offtool.handbook.terms import ColourWish, TrialPurpose

PURPOSES = [one.value for one in TrialPurpose]
WISHES = [one.value for one in ColourWish]
NOT_SAID = ("--record", "--json", "--change", "--withdraw", "--because")
"""Options that say nothing of the trial itself."""


@command(example="offtool request harbour-otter M3 T5 --for sizes --for assembly:40 --due 2026-05-08")
@click.argument("programme")
@click.argument("tool", required=False)
@click.argument("trial", required=False)
@click.option("--for", "purposes", multiple=True, metavar="PURPOSE[:PIECES]",
              help=f"What it is to show: {', '.join(PURPOSES)}; with a number of pieces where it is not the "
              "usual one.")  # fmt: skip
@click.option("--earliest", type=DAY, metavar="YYYY-MM-DD", help="Not before this day.")
@click.option("--due", type=DAY, metavar="YYYY-MM-DD", help="The day by which it should have run.")
@click.option("--hours", type=NUMBER, metavar="H",
              help="Hours it holds the press, both tool changes inside; a change of colour and the restart "
              "of the job come on top. Else they are computed.")  # fmt: skip
@click.option("--wish", type=click.Choice(WISHES), metavar="WISH", help=f"Colour: {', '.join(WISHES)}.")
@click.option("--colour", help="The product's colour in words.")
@click.option("--lab", metavar="'L A B'", help="The product's colour as measured, CIELAB for D65 and 10 deg.")
@click.option("--resin", help="What it is shot in; else the resin of the parts.")
@click.option("--late-per-day", type=NUMBER, metavar="MONEY", help="What each day after --due costs.")
@click.option("--engineer/--no-engineer", "needs_engineer", default=None,
              help="An engineer must be there to see it; so it is unless said.")  # fmt: skip
@click.option("--note", help="Anything the next reader should know.")
@click.option("--change", is_flag=True, help="It is asked for: change what is said here, leave the rest.")
@click.option("--withdraw", is_flag=True, help="It is no longer asked for.")
@click.option("--because", default="", help="Why it is withdrawn.")
@shared_options
def request(
    programme: str, tool: str | None, trial: str | None, change: bool, withdraw: bool, because: str,
    record: Path | None, as_json: bool, **said: Any,
) -> None:  # fmt: skip
    """Ask for a trial of a tool, and say what it is to show.

    Without TOOL and TRIAL it lists all that is asked for; without options it shows one.
    """
    told = {name: _day(value) for name, value in said.items() if value not in (None, ())}
    _refuse_mixed(tool, trial, told, change=change, withdraw=withdraw, because=because)
    open_for_reading(record)
    from offtool.steps import ask_trial
    from offtool.steps.plain import as_plain

    done: list[str] = []
    found: Any
    if tool is None or trial is None:
        found = ask_trial.requests_known(programme)
    elif withdraw:
        ask_trial.withdraw_trial(programme, tool, trial, because=because, by=who())
        done.append(f"Trial {trial} of tool {tool} is withdrawn.")
        found = ask_trial.requests_known(programme)
    elif told:
        from offtool.cli.request_typed import request_said

        asked = request_said(programme, tool, trial, told, change=change, by=who())
        found = ask_trial.ask_for_trial(programme, asked, by=who(), now=trial if change else "")
        done.append(f"Trial {trial} of tool {tool} is asked for.")
    else:
        found = ask_trial.request_known(programme, tool, trial)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_request import request_lines, requests_lines

    lines = requests_lines(found) if hasattr(found, "requests") else request_lines(found)
    say([*done_lines(done), *lines])


def _refuse_mixed(
    tool: str | None, trial: str | None, told: dict[str, Any], *, change: bool, withdraw: bool, because: str
) -> None:
    """Raise UsageError for what does not go together."""
    typed = [one for one in options_typed() if one not in NOT_SAID]
    if tool is not None and trial is None:
        raise click.UsageError("name the trial too: offtool request PROGRAMME TOOL TRIAL")
    if tool is None and (told or change or withdraw):
        raise click.UsageError("name the tool and the trial: offtool request PROGRAMME TOOL TRIAL")
    if withdraw and (typed or change):
        raise click.UsageError(f"--withdraw and {typed[0] if typed else '--change'} contradict each other")
    if because and not withdraw:
        raise click.UsageError("--because belongs to --withdraw")
    if change and not typed:
        raise click.UsageError("--change: say what is to be changed")


def _day(value: Any) -> Any:
    return value.date() if isinstance(value, datetime) else value

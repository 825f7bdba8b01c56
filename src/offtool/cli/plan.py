"""offtool plan: the plan of one trial, its request on paper and the labels of its bags."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from offtool.cli.options import (
    DAY,
    command,
    open_for_reading,
    options_typed,
    refuse_left_over,
    refuse_missing_folders,
    shared_options,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json


@command(example="offtool plan harbour-otter M3 T4 --request M3_T4.pdf --labels M3_T4_bags.pdf")
@click.argument("programme")
@click.argument("tool", required=False)
@click.argument("trial", required=False)
@click.option("--on", type=DAY, metavar="YYYY-MM-DD", help="The day from which it is planned; else today.")
@click.option("--request", type=NEW_PDF, help="Write the request for the trial, one page, into this PDF.")
@click.option("--labels", type=NEW_PDF, help="Write the labels of its bags into this PDF.")
@click.option("--single", is_flag=True, help="One label a page, 70 x 37 mm, for a label printer.")
@shared_options
def plan(
    programme: str, tool: str | None, trial: str | None, on: datetime | None, request: Path | None,
    labels: Path | None, single: bool, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Plan one trial: press, colour, shots and time.

    With it stands what the trial must confirm. TRIAL is asked for with offtool request. Slots of all trials
    together are planned with offtool slots. Without TOOL and TRIAL it lists the trials that are asked for.
    """
    refuse_left_over((("--single",), ("--labels",)))
    refuse_missing_folders(request, labels)
    if tool is None or trial is None:
        _say_waiting(programme, tool, record, as_json=as_json)
        return
    open_for_reading(record)
    from offtool.steps.plain import as_plain
    from offtool.steps.plan_trial import plan_trial
    from offtool.steps.planning_day import planning_day

    day = on.date() if on is not None else planning_day(programme, today=date.today())
    found = plan_trial(programme, tool, trial, on=day)
    done = []
    if request is not None:
        from offtool.reports.trial_request import trial_request

        write_file(request, trial_request(found))
        done.append(f"The request is in {request}.")
    if labels is not None:
        from offtool.reports.bag_labels import bag_labels

        write_file(labels, bag_labels(found, single=single))
        done.append(f"The labels are in {labels}.")
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_plan import plan_lines

    say([*done_lines(done), *plan_lines(found)])


def _say_waiting(programme: str, tool: str | None, record: Path | None, *, as_json: bool) -> None:
    """The trials that are asked for, and how one is planned."""
    if tool is not None:
        raise click.UsageError("name the trial too: offtool plan PROGRAMME TOOL TRIAL")
    typed = [one for one in options_typed() if one not in ("--record", "--json")]
    if typed:
        raise click.UsageError(f"{typed[0]}: name the tool and the trial: offtool plan PROGRAMME TOOL TRIAL")
    open_for_reading(record)
    from offtool.cli.show_request import requests_lines
    from offtool.steps.ask_trial import requests_known
    from offtool.steps.plain import as_plain

    found = requests_known(programme)
    if as_json:
        say_json(as_plain(found))
        return
    waiting = next((one for one in found.requests if not one.has_run), None)
    what = f"{waiting.tool} {waiting.name}" if waiting is not None else ""
    command = (
        f"offtool plan {programme} {what} plans it."
        if what
        else f"offtool request {programme} TOOL TRIAL --for PURPOSE asks for one."
    )
    say([*requests_lines(found), "", command])

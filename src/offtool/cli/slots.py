"""offtool slots and offtool jobs: which trial goes on which press and when, and the jobs around it."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    DAY,
    FILE,
    NUMBER,
    command,
    open_for_reading,
    refuse_left_over,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.slots_found import SlotsFound

USUAL_DAYS, USUAL_SECONDS, USUAL_SLIP_H = 14, 5.0, 24.0
"""As in the handbook and the step, written here so that help stays quick; a test holds them."""


@command(example="offtool slots harbour-otter --from 2026-03-23 --slip 'M3 T4' --by 24")
@click.argument("programme")
@click.option("--from", "from_day", type=DAY, metavar="YYYY-MM-DD", help="The first day; else today.")
@click.option("--days", type=int, default=USUAL_DAYS, show_default=True, help="How many days are planned.")
@click.option("--seconds", type=NUMBER, default=USUAL_SECONDS, show_default=True, help="How long to search.")
@click.option("--slip", default="", metavar="'TOOL TRIAL'", help="What moves if this trial comes later.")
@click.option("--by", "by_h", type=NUMBER, default=USUAL_SLIP_H, show_default=True, metavar="HOURS",
              help="By so many hours.")  # fmt: skip
@click.option("--fix", "fixed", multiple=True, metavar="'TOOL TRIAL'",
              help="Fix the slot that the plan gives this trial; several times for several.")  # fmt: skip
@click.option("--fix-all", is_flag=True, help="Fix all slots of the plan.")
@click.option("--release", "released", multiple=True, metavar="'TOOL TRIAL'",
              help="Leave the slot of this trial open again, before the plan is made.")  # fmt: skip
@shared_options
def slots(
    programme: str,
    from_day: datetime | None,
    days: int,
    seconds: float,
    slip: str,
    by_h: float,
    fixed: tuple[str, ...],
    fix_all: bool,
    released: tuple[str, ...],
    record: Path | None,
    as_json: bool,
) -> None:
    """Give every trial that waits a press and a time.

    Lost contribution, purging and lateness are made least; the plan says how far it can be from the best. A
    slot that is fixed stays where it is.
    """
    refuse_left_over((("--by",), ("--slip",)))
    open_for_reading(record)
    from offtool.steps.fix_trial_slot import release_trial
    from offtool.steps.place_trials import place_waiting_trials
    from offtool.steps.plain import as_plain
    from offtool.steps.planning_day import planning_day

    done = [release_trial(programme, *_both(one), by=who()) for one in released]
    first = from_day.date() if from_day is not None else planning_day(programme, today=date.today())
    found = place_waiting_trials(
        programme,
        from_day=first,
        days=days,
        now=datetime.now().astimezone(),
        seconds=seconds,
        slip=slip,
        slip_by_h=by_h,
    )
    done += _fix(programme, found, fixed, fix_all=fix_all)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_slots import slots_lines

    say([*done_lines(done), *slots_lines(found)])


def _both(named: str) -> tuple[str, str]:
    """Tool and trial of "M3 T4"."""
    tool, _, trial = named.strip().rpartition(" ")
    if not tool:
        raise click.UsageError(f"{named!r} is no tool and trial: write them as 'M3 T4'")
    return tool, trial


def _fix(programme: str, found: SlotsFound, fixed: tuple[str, ...], *, fix_all: bool) -> list[str]:
    """Fix slots of the plan, all or none."""
    if not fixed and not fix_all:
        return []
    from offtool.core.values import ImpossibleInput, nearest
    from offtool.steps.fix_trial_slot import fix_all as keep_all

    placed = {one.trial: one for one in found.placed}
    for one in fixed:
        if one not in placed:
            raise ImpossibleInput("--fix", one, "", "has no place in the plan", nearest(one, placed))
    wanted = list(placed.values()) if fix_all else [placed[one] for one in fixed]
    return [
        keep_all(programme, [(one.tool, one.name, one.press, one.begins) for one in wanted], by=who()),
    ]


@command(example="offtool jobs harbour-otter jobs.csv --keep")
@click.argument("programme")
@click.argument("file", type=FILE)
@click.option("--sheet", help="The sheet of a workbook; else the first with jobs.")
@click.option("--keep", is_flag=True, help="Keep them; without, only how they are understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read.")
@shared_options
def jobs(
    programme: str,
    file: Path,
    sheet: str | None,
    keep: bool,
    leave_out: bool,
    record: Path | None,
    as_json: bool,
) -> None:
    """Read the running jobs from FILE, CSV or XLSX, a row a job.

    A job of the same number on the same press is changed to what the file says.
    """
    refuse_left_over((("--leave-out",), ("--keep",)))
    open_for_reading(record)
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_slots import jobs_file_lines, kept_jobs_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.jobs_from_file import keep_jobs, preview_jobs

    content = content_of(file)
    preview_then_keep(
        lambda: preview_jobs(content, file.name, programme=programme, sheet=sheet),
        (
            lambda: keep_jobs(
                content, file.name, programme=programme, sheet=sheet, leave_out=leave_out, read_by=who()
            )
        )
        if keep
        else None,
        lines=jobs_file_lines,
        kept_lines=kept_jobs_lines,
        as_json=as_json,
    )

"""offtool joint: what assembled joints do, what to do about it, and the tests that say so."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import (
    DAY,
    FILE,
    command,
    open_for_reading,
    options_typed,
    refuse_left_over,
    refuse_missing_folders,
    shared_options,
    who,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.ask_of_size import SizeDemanded
    from offtool.steps.keep_joint_test import JointTestAbout


DOES = ("--read", "--set-aside", "--ask-for", "--drop")
"""What the command does with one joint instead of showing it."""
OF_A_FILE = (
    *("--name", "--gauge", "--inner-trial", "--outer-trial", "--done-on", "--note", "--sheet"),
    *("--keep", "--leave-out"),
)


@command(example="offtool joint harbour-otter shoulder --read torque.csv --inner-trial 'M3 T2' --keep")
@click.argument("programme")
@click.argument("joint", required=False)
@click.option("--read", "file", type=FILE, help="Read the file of a test of assembled pieces, CSV or XLSX.")
@click.option("--name", default="", help="A name for the test; else that of the file.")
@click.option("--gauge", default="", help="What it was measured with.")
@click.option("--inner-trial", default="", metavar="'TOOL TRIAL'",
              help="Trial that the inner parts are from; else the newest.")  # fmt: skip
@click.option("--outer-trial", default="", metavar="'TOOL TRIAL'",
              help="Trial that the outer parts are from; else the newest.")  # fmt: skip
@click.option("--done-on", type=DAY, metavar="YYYY-MM-DD", help="The day it was measured.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--sheet", help="The sheet of a workbook; else the first with a test.")
@click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read.")
@click.option("--set-aside", metavar="TEST", help="Let a test count no longer; it stays visible.")
@click.option("--ask-for", type=click.IntRange(min=1), metavar="WAY",
              help="Ask the correction for one of the ways shown, by its number.")  # fmt: skip
@click.option("--drop", metavar="'PART NUMBER'", help="Ask no longer what was asked of this size.")
@click.option("--because", default="", help="Why it is set aside or dropped; kept with your name.")
@click.option("--report", type=NEW_PDF, help="Write the report on all joints into this PDF.")
@shared_options
def joint(
    programme: str,
    joint: str | None,
    file: Path | None,
    name: str,
    gauge: str,
    inner_trial: str,
    outer_trial: str,
    done_on: datetime | None,
    note: str,
    sheet: str | None,
    keep: bool,
    leave_out: bool,
    set_aside: str | None,
    ask_for: int | None,
    drop: str | None,
    because: str,
    report: Path | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say which joints will hold, and which steel mends the rest.

    Without JOINT all joints are listed. With --read a test is shown as it is understood; nothing is kept
    until --keep. What a joint asks of a size is what offtool correct aims at.
    """
    asked = [one for one in options_typed() if one in DOES]
    if joint is None and asked:
        raise click.UsageError(f"{asked[0]}: name the joint, as in offtool joint PROGRAMME JOINT")
    if len(asked) > 1:
        raise click.UsageError(f"{asked[0]} and {asked[1]}: one thing at a time")
    refuse_left_over((OF_A_FILE, ("--read",)), (("--because",), ("--set-aside", "--drop")))
    refuse_missing_folders(report)
    open_for_reading(record)
    if file is not None and joint is not None:
        from offtool.steps.keep_joint_test import JointTestAbout

        about = JointTestAbout(
            gauge=gauge,
            inner_trial=inner_trial,
            outer_trial=outer_trial,
            done_on=done_on.date() if done_on else None,
            note=note,
        )
        name_kept = (name or file.stem) if keep else ""
        _read(
            file, programme, joint, about, name=name_kept, sheet=sheet, leave_out=leave_out, as_json=as_json
        )
        return
    done = [] if joint is None else _do(programme, joint, set_aside, ask_for, drop, because)
    if report is not None:
        done += [_write_report(programme, report)]
    if joint is None:
        _list(programme, done, as_json=as_json)
    else:
        show_joint(programme, joint, done, as_json=as_json)


def _do(
    programme: str, joint: str, set_aside: str | None, ask_for: int | None, drop: str | None, because: str
) -> list[str]:
    """Do what was asked of a joint, and say so."""
    if set_aside is not None:
        from offtool.steps.keep_joint_test import set_joint_test_aside

        set_joint_test_aside(programme, joint, set_aside, reason=because, made_by=who())
        return [f"Test {set_aside} counts no longer."]
    if ask_for is not None:
        return _ask(programme, joint, ask_for)
    if drop is not None:
        from offtool.steps.ask_of_size import drop_demand

        drop_demand(programme, joint, drop, reason=because, made_by=who())
        return [f"Nothing is asked of {drop} any more."]
    return []


def _list(programme: str, done: list[str], *, as_json: bool) -> None:
    from offtool.steps.judge_joint import judge_joints
    from offtool.steps.plain import as_plain

    found = judge_joints(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_joint import joints_lines

    say([*done_lines(done), *joints_lines(found)])


def show_joint(programme: str, joint: str, done: list[str] | None = None, *, as_json: bool) -> None:
    """Write one joint, after what was done with it."""
    from offtool.steps.judge_joint import judge_joint
    from offtool.steps.plain import as_plain

    found = judge_joint(programme, joint)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_joint import joint_lines

    say([*done_lines(done or []), *joint_lines(found)])


def _ask(programme: str, joint: str, way: int) -> list[str]:
    """Ask for a way, and what is now asked, in words."""
    from offtool.steps.ask_for_steel import ask_for_steel

    asked = ask_for_steel(programme, joint, way, made_at=datetime.now(UTC), made_by=who())
    return [_asked(way, one) for one in asked]


def _asked(way: int, one: SizeDemanded) -> str:
    from offtool.reports.words import number

    asked = f"{number(one.target, 3)} {one.unit} of {one.size}"
    return f"Way {way}: joint {one.joint} now asks {asked}; offtool correct aims at it."


def _write_report(programme: str, path: Path) -> str:
    from offtool.reports.joints_report import joints_report
    from offtool.steps.judge_joint import judge_joints

    write_file(path, joints_report(judge_joints(programme), made_by=who()))
    return f"The report on the joints is in {path}."


def _read(
    file: Path,
    programme: str,
    joint: str,
    about: JointTestAbout,
    *,
    name: str,
    sheet: str | None,
    leave_out: bool,
    as_json: bool,
) -> None:
    """Show how a test is understood; keep it where it has a name. One that cannot be kept is shown too."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_joint_test import joint_test_lines, kept_joint_test_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.keep_joint_test import keep_joint_test, preview_joint_test

    about_it: dict[str, Any] = {"programme": programme, "joint": joint, "about": about, "sheet": sheet}
    content = content_of(file)
    when: dict[str, Any] = {"leave_out": leave_out, "read_at": datetime.now(UTC), "read_by": who()}
    preview_then_keep(
        lambda: preview_joint_test(content, file.name, **about_it),
        (lambda: keep_joint_test(content, file.name, **about_it, test=name, **when)) if name else None,
        lines=joint_test_lines,
        kept_lines=kept_joint_test_lines,
        as_json=as_json,
    )

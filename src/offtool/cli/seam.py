"""offtool seam: whether welded seams hold, how to set the welder, and the studies that say so."""

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
    refuse_left_over,
    refuse_missing_folders,
    shared_options,
    who,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.keep_weld_study import WeldStudyAbout


OF_A_FILE = (
    *("--name", "--gauge", "--top-trial", "--bottom-trial", "--done-on", "--note", "--sheet"),
    *("--keep", "--leave-out"),
)


@command(example="offtool seam harbour-otter torso --read weld.csv --gauge PUL-01 --top-trial 'M1 T2' --keep")
@click.argument("programme")
@click.argument("seam", required=False)
@click.option("--read", "file", type=FILE, help="Read the file of a weld study, CSV or XLSX.")
@click.option("--name", default="", help="A name for the study; else that of the file.")
@click.option("--gauge", default="", help="What the pulls were measured with.")
@click.option("--top-trial", default="", metavar="'TOOL TRIAL'",
              help="Trial that the parts under the horn are from; else the newest.")  # fmt: skip
@click.option("--bottom-trial", default="", metavar="'TOOL TRIAL'",
              help="Trial that those in the nest are from; else the newest.")  # fmt: skip
@click.option("--done-on", type=DAY, metavar="YYYY-MM-DD", help="The day it was welded and pulled.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--sheet", help="The sheet of a workbook; else the first with a study.")
@click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read.")
@click.option("--set-aside", metavar="STUDY", help="Let a study count no longer; it stays visible.")
@click.option("--because", default="", help="Why it is set aside; kept with your name.")
@click.option("--report", type=NEW_PDF, help="Write the report on all seams into this PDF.")
@shared_options
def seam(
    programme: str,
    seam: str | None,
    file: Path | None,
    name: str,
    gauge: str,
    top_trial: str,
    bottom_trial: str,
    done_on: datetime | None,
    note: str,
    sheet: str | None,
    keep: bool,
    leave_out: bool,
    set_aside: str | None,
    because: str,
    report: Path | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say which welded seams will hold, and how to set the welder.

    Without SEAM all seams are listed. With --read a study is shown as it is understood; nothing is kept until
    --keep. Amplitudes are peak-to-peak throughout.
    """
    if seam is None and (file or set_aside):
        raise click.UsageError("name the seam, as in offtool seam PROGRAMME SEAM")
    if file and set_aside:
        raise click.UsageError("read a study or set one aside, not both at once")
    refuse_left_over((OF_A_FILE, ("--read",)), (("--because",), ("--set-aside",)))
    refuse_missing_folders(report)
    open_for_reading(record)
    if file is not None and seam is not None:
        from offtool.steps.keep_weld_study import WeldStudyAbout

        about = WeldStudyAbout(
            gauge=gauge,
            top_trial=top_trial,
            bottom_trial=bottom_trial,
            done_on=done_on.date() if done_on else None,
            note=note,
        )
        name_kept = (name or file.stem) if keep else ""
        _read(file, programme, seam, about, name=name_kept, sheet=sheet, leave_out=leave_out, as_json=as_json)
        return
    done: list[str] = []
    if seam is not None and set_aside is not None:
        from offtool.steps.keep_weld_study import set_weld_study_aside

        set_weld_study_aside(programme, seam, set_aside, reason=because, made_by=who())
        done.append(f"Study {set_aside} counts no longer.")
    if report is not None:
        done.append(_write_report(programme, report))
    if seam is None:
        _list(programme, done, as_json=as_json)
    else:
        show_seam(programme, seam, done, as_json=as_json)


def _list(programme: str, done: list[str], *, as_json: bool) -> None:
    from offtool.steps.judge_seam import judge_seams
    from offtool.steps.plain import as_plain

    found = judge_seams(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_seam import seams_lines

    say([*done_lines(done), *seams_lines(found)])


def show_seam(programme: str, seam: str, done: list[str] | None = None, *, as_json: bool) -> None:
    """Write one seam, after what was done with it."""
    from offtool.steps.judge_seam import judge_seam
    from offtool.steps.plain import as_plain

    found = judge_seam(programme, seam)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_seam import seam_lines

    say([*done_lines(done or []), *seam_lines(found)])


def _write_report(programme: str, path: Path) -> str:
    from offtool.reports.seams_report import seams_report
    from offtool.steps.judge_seam import judge_seams

    write_file(path, seams_report(judge_seams(programme), made_by=who()))
    return f"The report on the seams is in {path}."


def _read(
    file: Path,
    programme: str,
    seam: str,
    about: WeldStudyAbout,
    *,
    name: str,
    sheet: str | None,
    leave_out: bool,
    as_json: bool,
) -> None:
    """Show how a study is understood; keep it where it has a name. One that cannot be kept is shown too."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_weld_study import kept_weld_study_lines, weld_study_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.keep_weld_study import keep_weld_study, preview_weld_study

    about_it: dict[str, Any] = {"programme": programme, "seam": seam, "about": about, "sheet": sheet}
    content = content_of(file)
    when: dict[str, Any] = {"leave_out": leave_out, "read_at": datetime.now(UTC), "read_by": who()}
    preview_then_keep(
        lambda: preview_weld_study(content, file.name, **about_it),
        (lambda: keep_weld_study(content, file.name, **about_it, study=name, **when)) if name else None,
        lines=weld_study_lines,
        kept_lines=kept_weld_study_lines,
        as_json=as_json,
    )

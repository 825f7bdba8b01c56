"""offtool gauge: how far the gauges can be trusted, and the studies that say so."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import DAY, FILE, command, open_for_reading, shared_options, who
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.keep_study import StudyAbout

KINDS = ("crossed", "nested", "reference part", "linearity")
"""The words of `offtool.handbook.terms.StudyKind`, written here so that help stays quick; a test holds it."""


@command(example="offtool gauge harbour-otter MIC-07 --read MIC-07.csv --size 'HO-05 3' --name S1 --keep")
@click.argument("programme")
@click.argument("gauge", required=False)
@click.option("--study", help="Show this study; else the one that counts.")
@click.option("--read", "file", type=FILE, help="Read the file of a study, CSV or XLSX.")
@click.option("--kind", type=click.Choice(KINDS), default=KINDS[0], show_default=True,
              help="How the study was laid out.")  # fmt: skip
@click.option("--size", default="", metavar="'PART NUMBER'", help="The size that was measured.")
@click.option("--name", default="", help="A name for the study, to keep it by.")
@click.option("--tolerance", type=float, help="Upper less lower limit; else that of the size.")
@click.option("--reference", type=float, help="Known size of the reference part; else a column of the file.")
@click.option("--reference-uncertainty", type=float, default=0.0, help="Its standard uncertainty.")
@click.option("--done-on", type=DAY, metavar="YYYY-MM-DD", help="The day it was measured.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--sheet", help="The sheet of a workbook; else the first with a study.")
@click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read.")
@click.option("--set-aside", metavar="STUDY", help="Let a study count no longer; it stays visible.")
@click.option("--because", default="", help="Why it is set aside.")
@shared_options
def gauge(
    programme: str,
    gauge: str | None,
    study: str | None,
    file: Path | None,
    kind: str,
    size: str,
    name: str,
    tolerance: float | None,
    reference: float | None,
    reference_uncertainty: float,
    done_on: datetime | None,
    note: str,
    sheet: str | None,
    keep: bool,
    leave_out: bool,
    set_aside: str | None,
    because: str,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say how far a gauge can be trusted.

    Without GAUGE all gauges are listed. With --read a study is shown as it is understood; nothing is kept
    until --keep. A study is set aside with a reason, never deleted.
    """
    if gauge is None and (file or set_aside or study):
        raise click.UsageError("name the gauge, as in offtool gauge PROGRAMME GAUGE")
    if file and set_aside:
        raise click.UsageError("read a study or set one aside, not both at once")
    open_for_reading(record)
    if gauge is None:
        _list(programme, as_json=as_json)
        return
    if file is not None:
        from offtool.handbook.terms import StudyKind
        from offtool.steps.keep_study import StudyAbout

        about = StudyAbout(
            kind=StudyKind(kind),
            size=size,
            tolerance=tolerance,
            reference=reference,
            reference_uncertainty=reference_uncertainty,
            done_on=done_on.date() if done_on else None,
            note=note,
        )
        name_kept = (name or file.stem) if keep else ""
        _read(
            file, programme, gauge, about, name=name_kept, sheet=sheet, leave_out=leave_out, as_json=as_json
        )
        return
    if set_aside is not None:
        from offtool.steps.keep_study import set_aside as let_go

        let_go(programme, gauge, set_aside, reason=because, made_by=who())
    _show(programme, gauge, study, as_json=as_json)


def _list(programme: str, *, as_json: bool) -> None:
    from offtool.steps.plain import as_plain
    from offtool.steps.study_gauge import gauges_of

    found = gauges_of(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_gauge import gauges_lines

    say(gauges_lines(found))


def _show(programme: str, gauge: str, study: str | None, *, as_json: bool) -> None:
    from offtool.steps.plain import as_plain
    from offtool.steps.study_gauge import study_gauge

    found = study_gauge(programme, gauge, study)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_gauge import gauge_lines

    say(gauge_lines(found))


def _read(
    file: Path,
    programme: str,
    gauge: str,
    about: StudyAbout,
    *,
    name: str,
    sheet: str | None,
    leave_out: bool,
    as_json: bool,
) -> None:
    """Show how a study is understood; keep it where it has a name. One that cannot be kept is shown too."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_study import kept_study_lines, study_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.keep_study import keep_study, preview_study

    about_it: dict[str, Any] = {"programme": programme, "gauge": gauge, "about": about, "sheet": sheet}
    content = content_of(file)
    when: dict[str, Any] = {"leave_out": leave_out, "read_at": datetime.now(UTC), "read_by": who()}
    preview_then_keep(
        lambda: preview_study(content, file.name, **about_it),
        (lambda: keep_study(content, file.name, **about_it, study=name, **when)) if name else None,
        lines=study_lines,
        kept_lines=kept_study_lines,
        as_json=as_json,
    )

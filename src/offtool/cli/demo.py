"""offtool demo: the invented harbour otter, from a trial's files to its corrections, joints and samples."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    NEW_FOLDER,
    command,
    make_folder,
    open_for_writing,
    shared_options,
    who,
    write_file,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.demo import DemoResult
    from offtool.steps.findings import Action


@command(example="offtool demo")
@click.option(
    "--out",
    type=NEW_FOLDER,
    default="harbour_otter_demo",
    show_default=True,
    help="The folder for the sheet, the workbook, the reports, and the demo's own record.",
)
@shared_options
def demo(out: Path, record: Path | None, as_json: bool) -> None:
    """Show the whole job on the invented harbour otter.

    Loads the programme into a fresh record, reads the files of the third trials, says what holds, which
    joints and seams do, how the next trial is run, where two pieces without a tag are from, what the pilot of
    the line showed, and how far the release is; writes the
    corrections, the sheet for the toolmaker, the workbook of the findings, the reports on joints and seams,
    the request for the next trial, the card of a sample, and the release review.
    Without --record it has a record of its own and touches no other.
    """
    make_folder(out)
    record = record or out / "record.sqlite3"
    open_for_writing(record)
    from offtool.steps.demo import run_demo
    from offtool.steps.plain import as_plain

    result = run_demo(read_at=datetime.now(UTC), read_by=who())
    written = _write(result, out)
    if as_json:
        paths = {name: str(path) for name, path in {"record": record, **written}.items()}
        say_json({**as_plain(result), "written": paths})
    else:
        say(_lines(result, record, written))


def _write(result: DemoResult, out: Path) -> dict[str, Path]:
    """The sheet, the workbook, the reports, the request for the next trial, the card of a sample."""
    from offtool.reports.dossier import dossier_paths
    from offtool.reports.findings_workbook import findings_workbook
    from offtool.reports.joints_report import joints_report
    from offtool.reports.review_report import review_report
    from offtool.reports.sample_card import PRINTED, sample_card
    from offtool.reports.seams_report import seams_report
    from offtool.reports.steel_change_sheet import steel_change_sheet
    from offtool.reports.trial_request import trial_request
    from offtool.steps.sample_photograph import first_photograph

    piece = result.pieces[0]
    name = f"{result.findings.tool}_after_{result.findings.trial}"
    written = {
        "sheet": (out / f"{name}_steel.pdf", steel_change_sheet(result.correction)),
        "workbook": (out / f"{name}_findings.xlsx", findings_workbook(result.findings)),
        "joints": (out / "joints.pdf", joints_report(result.joints)),
        "seams": (out / "seams.pdf", seams_report(result.seams)),
        "request": (out / f"{result.plan.tool}_{result.plan.trial}_request.pdf", trial_request(result.plan)),
        "card": (
            out / f"sample_{piece.number}.pdf",
            sample_card(piece, photograph=first_photograph(piece, longest=PRINTED)),
        ),
        "review": (out / "release_review.pdf", review_report(result.dossier, dossier_paths(result.dossier))),
    }
    for path, content in written.values():
        write_file(path, content)
    return {what: path for what, (path, _) in written.items()}


WRITTEN = {
    "sheet": "sheet for the toolmaker",
    "workbook": "workbook of the findings",
    "joints": "report on the joints",
    "seams": "report on the seams",
    "request": "request for the next trial",
    "card": "card of a sample",
    "review": "release review",
}


def _lines(result: DemoResult, record: Path, written: dict[str, Path]) -> list[str]:
    from offtool.cli.shared_lines import heading, steps
    from offtool.cli.show_correction import correction_lines
    from offtool.cli.show_findings import findings_lines
    from offtool.cli.terminal import width
    from offtool.cli.typeset import table

    place = f"--record {record}"
    decide = " ".join(["offtool correct", *_trial(result), "--keep all"])
    go_on = [
        (f"offtool serve {place}", "opens the pages."),
        (f"{decide} {place}", "decides on the cuts."),
        (f"offtool joint {result.programme} shoulder {place}", "says all of one joint."),
        (
            f"offtool plan {result.programme} {result.plan.tool} {result.plan.trial} {place}",
            "says all of the plan.",
        ),
        (f"offtool sample {result.programme} {result.pieces[0].number} {place}", "says all of one piece."),
        (f"offtool review {result.programme} {place}", "goes through the lines of the review."),
    ]
    files = [[WRITTEN[what], str(path)] for what, path in written.items()]
    return [
        *_read(result), "", *findings_lines(result.findings, everything=False),
        "", *correction_lines(result.correction),
        *_joints_and_seams(result),
        *_next_trial(result),
        *_pieces(result),
        *_release(result),
        *heading("What was written"),
        *table([*files, ["record", str(record)]], width=width(), indent=2),
        *heading("Where to go on"),
        *steps(go_on),
    ]  # fmt: skip


def _joints_and_seams(result: DemoResult) -> list[str]:
    """What each joint and seam says, and one thing to do about it: the steel where steel mends it."""
    from offtool.cli.shared_lines import heading, sentence, steps

    said = [(one.headline, _to_do(one.actions)) for one in result.joints.joints]
    said += [(one.headline, _to_do(one.actions)) for one in result.seams.seams]
    return [
        *heading("Joints and seams"),
        *sentence(f"{result.joints.headline} {result.seams.headline}"),
        "",
        *steps(said),
    ]


def _next_trial(result: DemoResult) -> list[str]:
    """Where the next trial goes, and the first thing to do before it."""
    from offtool.cli.shared_lines import heading, steps

    plan = result.plan
    return [*heading("The next trial"), *steps([(plan.headline, _to_do(plan.actions))])]


def _pieces(result: DemoResult) -> list[str]:
    """Where the pieces without a tag are from, and in which order the loose arms were made."""
    from offtool.cli.shared_lines import heading, steps

    said = [(f"{one.number}, {one.name}: {one.headline}", _to_do(one.actions)) for one in result.pieces]
    lot = result.lot
    said.append((f"Loose parts {lot.part}: {lot.headline}", _to_do(lot.actions)))
    return [*heading("What is this piece?"), *steps(said)]


def _release(result: DemoResult) -> list[str]:
    """What the line can make and its pilot showed, what the review says, and how far the release is."""
    from offtool.cli.shared_lines import heading, sentence, steps

    pilot, review, way = result.pilots.pilots[0], result.dossier.review, result.way
    said = [
        (result.line.headline, f"offtool run-line {result.programme} says where pieces wait."),
        (pilot.headline, _to_do(pilot.actions)),
        (review.headline, review.actions[0].words if review.actions else "Nothing is to be done."),
    ]
    return [*heading("How far is production?"), *sentence(way.headline), "", *steps(said)]


def _to_do(actions: Sequence[Action]) -> str:
    """The action that leads to steel, else the first."""
    first = next((one for one in actions if one.leads_to == "steel"), next(iter(actions), None))
    return first.do if first is not None else "Nothing is to be done."


def _read(result: DemoResult) -> list[str]:
    """What was read of the file."""
    from offtool.cli.shared_lines import counted, sentence

    understood = result.understood
    found = [
        counted(understood.readings, "reading"),
        f"{counted(len(understood.repairs), 'cell')} repaired",
        f"{counted(len(understood.refused), 'cell')} left out",
    ]
    done = "was read before" if result.read is None else "is read"
    return sentence(
        f"{result.programme_title}; all of it is invented. {understood.file} {done}: {', '.join(found)}."
    )


def _trial(result: DemoResult) -> tuple[str, str, str]:
    return result.programme, result.findings.tool, result.findings.trial

"""offtool correct: which steel to cut, the decision, the sheet, and the steel as it was measured again."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    DAY,
    FILE,
    NEW_FILE,
    command,
    open_for_reading,
    place_arguments,
    refuse_missing_folders,
    shared_options,
    who,
    write_file,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.steel_changes import ToolCorrection

ALL = "all"


@command(example="offtool correct harbour-otter M2 T2 --keep all --sheet M2-after-T2.pdf")
@place_arguments
@click.option(
    "--keep", multiple=True, metavar="all|FEATURE/CAVITY",
    help="Decide on all cuts, or on one (may be given several times): it is kept with its prediction.",
)  # fmt: skip
@click.option(
    "--sheet", type=NEW_FILE, help="Write the steel-change sheet, English and Chinese, into this PDF."
)
@click.option(
    "--to-measure", type=NEW_FILE,
    help="Write a CSV with a row for every cut that was decided, for the toolmaker to fill in measured_mm.",
)  # fmt: skip
@click.option(
    "--remeasured", type=FILE,
    help="The CSV as it comes back: feature, cavity, measured_mm, and if known allowance_mm (still to remove)"
    " and uncertainty_mm. The steel in it becomes the tool's next state.",
)  # fmt: skip
@click.option(
    "--cut-on", type=DAY, metavar="YYYY-MM-DD", help="With --remeasured: the day the steel was ready."
)
@shared_options
def correct(
    programme: str, tool: str, trial: str, keep: tuple[str, ...], sheet: Path | None, to_measure: Path | None,
    remeasured: Path | None, cut_on: datetime | None, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say which steel to cut after a trial, by how much, and why.

    Each cut comes with what the next trial should find. Nothing is decided until --keep. After the cut,
    --remeasured records the steel as it is now.
    """
    if remeasured is not None and (keep or sheet or to_measure):
        raise click.UsageError(
            "--remeasured comes after the cut; give it without --keep, --sheet and --to-measure"
        )
    if cut_on is not None and remeasured is None:
        raise click.UsageError("--cut-on belongs to --remeasured")
    chosen = _chosen(keep)
    refuse_missing_folders(sheet, to_measure)
    open_for_reading(record)
    if remeasured is not None:
        _record_cut(programme, tool, remeasured, cut_on.date() if cut_on else None, as_json)
        return
    found = _decide(programme, tool, trial, chosen) if keep else _propose(programme, tool, trial)
    written = [*_write_sheet(found, sheet), *_write_to_measure(found, to_measure)]
    if as_json:
        from offtool.steps.plain import as_plain

        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import sentence
    from offtool.cli.show_correction import correction_lines

    after = [line for said in (*written, *_next(found, keep=bool(keep))) for line in sentence(said)]
    say([*correction_lines(found), *([""] if after else []), *after])


def _chosen(keep: tuple[str, ...]) -> Collection[tuple[str, str]] | None:
    """(feature, cavity) of each; None for all."""
    if ALL in keep:
        return None
    chosen = []
    for one in keep:
        feature, slash, cavity = one.rpartition("/")
        if not slash:
            raise click.BadParameter(
                f"{one!r} is neither all nor FEATURE/CAVITY, such as F12/3", param_hint="--keep"
            )
        chosen.append((feature, cavity))
    return chosen


def _propose(programme: str, tool: str, trial: str) -> ToolCorrection:
    from offtool.steps.correct_tool import correct_tool

    return correct_tool(programme, tool, trial)


def _decide(
    programme: str, tool: str, trial: str, chosen: Collection[tuple[str, str]] | None
) -> ToolCorrection:
    from offtool.steps.correct_tool import keep_changes

    return keep_changes(programme, tool, trial, chosen=chosen, made_at=datetime.now(UTC), made_by=who())


def _record_cut(programme: str, tool: str, file: Path, cut_on: date | None, as_json: bool) -> None:
    from offtool.cli.steel_file import read_steel_file
    from offtool.steps.cut_steel import record_cut

    measured = read_steel_file(file)
    state = record_cut(programme, tool, remeasured=measured, made_on=cut_on)
    if as_json:
        say_json({"programme": programme, "tool": tool, "state": state, "measured": len(measured)})
        return
    sizes = f"{len(measured)} steel size{'s' * (len(measured) > 1)}"
    say([f"Tool {tool} is now in state {state}: {sizes} as measured again.",
         f"Next: offtool read {programme} {tool} NEXT-TRIAL FILE"])  # fmt: skip


def _write_sheet(found: ToolCorrection, path: Path | None) -> list[str]:
    if path is None:
        return []
    from offtool.reports.steel_change_sheet import steel_change_sheet

    write_file(path, steel_change_sheet(found, made_by=who()))
    return [f"The sheet for the toolmaker is in {path}."]


def _write_to_measure(found: ToolCorrection, path: Path | None) -> list[str]:
    if path is None:
        return []
    from offtool.cli.steel_file import empty_steel_file
    from offtool.core.values import OfftoolError

    waiting = [one for one in found.kept if one.status == "proposed"]
    if not waiting:
        raise OfftoolError(
            "nothing waits to be cut", where="--to-measure", remedy="decide on cuts with --keep first"
        )
    write_file(path, empty_steel_file(waiting))
    return [f"The table for the steel as measured again is {path}."]


def _next(found: ToolCorrection, *, keep: bool) -> list[str]:
    if keep:
        return [
            "The cuts and their predictions are kept. After the cut, record the steel with --remeasured FILE."
        ]
    if found.changes and not found.kept:
        return ["Nothing is decided yet: add --keep all, or --keep FEATURE/CAVITY for single cuts."]
    return []

"""What the previews of joint tests and weld studies share: what to do with the file, how it was read."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, counted, heading
from offtool.cli.show_preview import DECIMALS, SEPARATORS
from offtool.cli.show_study import cells_lines
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.steps.assembled_pieces import FilePreview


def to_do(found: FilePreview, *, refused: bool) -> list[tuple[str, str]]:
    """What stands in the way of keeping the file, or that nothing does."""
    if found.problems:
        return [(f"Mend: {problem}", "") for problem in found.problems]
    if found.refused:
        return [
            (
                "Correct the refused cells below in the file, or leave them out: --keep --leave-out.",
                "What is left out stays noted with the file.",
            )
        ]
    return [] if refused else [("Look through how it was read, then add --name and --keep.", "")]


def how_it_was_read(
    found: FilePreview, about: Sequence[Sequence[str]], *, names_gauge: bool = True
) -> list[str]:
    """What the file is about, how it is written, and every repair and refusal, or the first of many."""
    file = found.file
    rows = [
        *about,
        ["Gauge", found.gauge or ("not named" if names_gauge else "")],
        ["Sheet", file.sheet or ""],
        ["Text", "" if file.encoding == "XLSX" else file.encoding],
        ["Separator", SEPARATORS.get(file.delimiter, file.delimiter)],
        ["Decimal mark", DECIMALS.get(file.decimal, file.decimal)],
        ["Empty", counted(file.missing, "cell") if file.missing else ""],
    ]
    return [
        *heading("How it was read"),
        *table([row for row in rows if row[1]], width=width(), indent=2),
        *bullets(file.notes),
        *cells_lines("repaired", file.repairs),
        *cells_lines("refused", found.refused),
    ]


def refused_cells(found: FilePreview) -> str:
    """The end of the sentence that says what was understood."""
    return f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""


def left_out_cells(left_out: int) -> str:
    """The end of the sentence that says what was kept."""
    return f"; {counted(left_out, 'refused cell')} left out" if left_out else ""

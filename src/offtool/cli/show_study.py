"""How the file of a gauge study was understood, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps
from offtool.cli.show_preview import DECIMALS, SEPARATORS, SHOWN
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.words import listed
from offtool.steps.study_preview import StudyKept, StudyPreview

MOST_NAMES = 12


def study_lines(found: StudyPreview, *, refused: bool = False) -> list[str]:
    """All lines of a study that is not kept yet, or that was refused."""
    to_do = _to_do(found, refused=refused)
    return [
        *sentence(f"{_understood(found)} Nothing is kept yet."),
        *([*heading("What to do"), *steps(to_do)] if to_do else []),
        *_how_it_was_read(found),
        *cautions(found.cautions),
    ]


def kept_study_lines(kept: StudyKept, found: StudyPreview) -> list[str]:
    """All lines of a study that is now in the record."""
    left_out = f"; {counted(kept.left_out, 'refused cell')} left out" if kept.left_out else ""
    said = (
        f"Kept: {counted(kept.readings, 'reading')} of {kept.file} as study {kept.study} of gauge "
        f"{kept.gauge}, programme {kept.programme}{left_out}."
    )
    return [
        *sentence(said),
        *sentence(found.headline),
        *heading("What to do"),
        *steps([(f"offtool gauge {kept.programme} {kept.gauge} says what it means.", "")]),
        *_how_it_was_read(found),
    ]


def _understood(found: StudyPreview) -> str:
    read = f"{found.file}: {counted(found.readings, 'reading')} of {counted(len(found.parts), 'part')}"
    people = f" by {counted(len(found.operators), 'person', 'people')}" if found.operators else ""
    refused = f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""
    says = f" {found.headline}" if found.headline else ""
    return f"{read}{people} understood{refused}.{says}"


def _to_do(found: StudyPreview, *, refused: bool) -> list[tuple[str, str]]:
    if found.problems:
        return [(f"Mend: {problem}", "") for problem in found.problems]
    if found.refused:
        return [
            (
                "Correct the refused cells below in the file, or leave them out: --keep --leave-out.",
                "What is left out stays noted with the study.",
            )
        ]
    return [] if refused else [("Look through how it was read, then add --name and --keep.", "")]


def _how_it_was_read(found: StudyPreview) -> list[str]:
    rows = [
        ["Kind", found.kind],
        ["Size", found.measured or "none given"],
        ["Tolerance", f"{found.tolerance:.6g} {found.unit}".rstrip() if found.tolerance else "none"],
        ["Layout", found.layout],
        ["Sheet", found.sheet or ""],
        ["Text", "" if found.encoding == "XLSX" else found.encoding],
        ["Separator", SEPARATORS.get(found.delimiter, found.delimiter)],
        ["Decimal mark", DECIMALS.get(found.decimal, found.decimal)],
        ["Unit", found.unit or "not stated"],
        ["Parts", names_of(found.parts)],
        ["People", names_of(found.operators) or "not named"],
        ["Repeats", f"up to {found.repeats}"],
        ["Empty", counted(found.missing, "cell") if found.missing else ""],
    ]
    lines = [*heading("How it was read"), *table([row for row in rows if row[1]], width=width(), indent=2)]
    lines += bullets(found.notes)
    lines += cells_lines("repaired", found.repairs)
    return lines + cells_lines("refused", found.refused)


def names_of(names: Sequence[str]) -> str:
    """The first names, and how many more there are."""
    more = len(names) - MOST_NAMES
    return listed(names) if more <= 0 else f"{', '.join(names[:MOST_NAMES])} and {more} more"


def cells_lines(done: str, cells: Sequence[object]) -> list[str]:
    """The first cells that were repaired or refused, under their number; nothing where there are none."""
    if not cells:
        return []
    more = len(cells) - SHOWN
    lines = [
        *heading(f"{counted(len(cells), 'cell')} {done}"),
        *bullets([str(cell) for cell in cells[:SHOWN]]),
    ]
    return [*lines, *(bullets([f"and {more:,} more; --json lists all"]) if more > 0 else [])]

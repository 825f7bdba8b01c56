"""How a file of samples was understood, on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import left_out_cells
from offtool.cli.show_preview import DECIMALS, SEPARATORS
from offtool.cli.show_study import cells_lines
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.steps.samples_from_file import PartInFile, SampleInFile, SamplesKept, SamplesPreview

SHOWN = 12
"""Samples that are listed; --json has all."""


def samples_file_lines(found: SamplesPreview, *, refused: bool = False) -> list[str]:
    """All lines of a file that is not kept yet, or that was refused."""
    things = list(_to_do(found, refused=refused))
    cannot = f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""
    understood = f"{counted(len(found.samples), 'sample')} with {counted(found.parts, 'part')} understood"
    return [
        *sentence(f"{found.file.name}: {understood}{cannot}. Nothing is kept yet."),
        *([*heading("What to do"), *steps(things)] if things else []),
        *_samples(found.samples),
        *_how_it_was_read(found),
        *cautions(found.cautions),
    ]


def kept_samples_lines(kept: SamplesKept, found: SamplesPreview) -> list[str]:
    """All lines of a file whose samples are now in the register."""
    said = (
        f"Kept: {counted(len(kept.numbers), 'sample')} of {kept.file} in the register of {kept.programme}"
        f"{left_out_cells(kept.left_out)}."
    )
    return [
        *sentence(said),
        *heading("What to do"),
        *steps([(f"offtool labels {kept.programme} --out labels.pdf writes their labels.", "")]),
        *_samples(found.samples),
        *_how_it_was_read(found),
        *cautions(found.cautions),
    ]


def _to_do(found: SamplesPreview, *, refused: bool) -> Iterator[tuple[str, str]]:
    yield from ((f"Mend: {problem}", "") for problem in found.problems)
    if found.refused and not found.problems:
        yield (
            "Correct the refused cells below in the file, or leave them out: --keep --leave-out.",
            "A row with a cell that is left out may be left out whole: it is said there.",
        )
    elif not found.problems and not refused:
        yield "Look through how it was read, then add --keep.", ""


def _samples(samples: tuple[SampleInFile, ...]) -> list[str]:
    if not samples:
        return []
    rows = [
        [one.number, one.name, ", ".join(_part(each) for each in one.parts), _also(one)]
        for one in samples[:SHOWN]
    ]
    more = len(samples) - SHOWN
    said = [", ".join(filter(None, row)) for row in rows]
    lines = [*heading("The samples"), *table_or_bullets(rows, said)]
    return [*lines, *(bullets([f"and {more:,} more; --json lists all"]) if more > 0 else [])]


def _also(one: SampleInFile) -> str:
    """Where it lies, who has it, and all else that would be kept."""
    return "; ".join(
        [*filter(None, (one.place, one.holder)), *(f"{about} {said}" for about, said in one.also)]
    )


def _part(one: PartInFile) -> str:
    """torso (HO-02) T1 of M1, state a, cavity 2, shot 12, teal."""
    named = f"{one.label} ({one.part})" if one.label and one.label != one.part else one.part
    run = f"{one.trial} of {one.tool}" if one.trial and one.tool else one.trial or one.tool
    tag = (
        run,
        f"state {one.state}" if one.state else "",
        f"cavity {one.cavity}" if one.cavity else "",
        f"shot {one.shot}" if one.shot is not None else "",
        one.colour,
    )
    return " ".join(filter(None, (named, ", ".join(filter(None, tag)))))


def _how_it_was_read(found: SamplesPreview) -> list[str]:
    file = found.file
    rows = [
        ["Sheet", file.sheet or ""],
        ["Text", "" if file.encoding == "XLSX" else file.encoding],
        ["Separator", SEPARATORS.get(file.delimiter, file.delimiter)],
        ["Decimal mark", DECIMALS.get(file.decimal, file.decimal)],
    ]
    return [
        *heading("How it was read"),
        *table([row for row in rows if row[1]], width=width(), indent=2),
        *bullets(file.notes),
        *cells_lines("repaired", file.repairs),
        *cells_lines("refused", found.refused),
    ]

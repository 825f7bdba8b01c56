"""How a sheet of a pilot was understood, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import how_it_was_read, left_out_cells, to_do
from offtool.steps.pilot_file_preview import PilotFileKept, PilotFilePreview, StationInFile


def sheet_lines(found: PilotFilePreview, *, refused: bool = False) -> list[str]:
    """All lines of a sheet that is not kept yet, or that was refused."""
    things = _to_do(found, refused=refused)
    cannot = counted(len(found.refused), "row or cell", "rows or cells")
    left = f"; {cannot} cannot be taken" if found.refused else ""
    said = f"{found.file.name}: {counted(found.rows, 'row')} of {found.kind} of pilot {found.pilot}{left}."
    return [
        *sentence(f"{said} Nothing is kept yet."),
        *([*heading("What to do"), *steps(things)] if things else []),
        *_seen(found.seen),
        *how_it_was_read(found, [], names_gauge=False),
        *cautions(found.cautions),
    ]


def _to_do(found: PilotFilePreview, *, refused: bool) -> list[tuple[str, str]]:
    if found.problems or found.refused:
        return to_do(found, refused=refused)
    return [] if refused else [("Look through how it was read, then add --keep.", "")]


def kept_sheet_lines(kept: PilotFileKept, found: PilotFilePreview) -> list[str]:
    """All lines of a sheet that is now in the record."""
    said = (
        f"Kept: {counted(kept.rows, 'row')} of {kept.file} as {kept.kind} {kept.name} of pilot {kept.pilot}, "
        f"programme {kept.programme}{left_out_cells(kept.left_out)}."
    )
    return [
        *sentence(said),
        *heading("What to do"),
        *steps([(f"offtool pilot {kept.programme} {kept.pilot} says what it means.", "")]),
        *_seen(found.seen),
        *how_it_was_read(found, [], names_gauge=False),
        *cautions(found.cautions),
    ]


def _seen(seen: Sequence[StationInFile]) -> list[str]:
    if not seen:
        return []
    rows = [[one.name, f"{one.rows:,}", _hours(one), one.says] for one in seen]
    in_words = [f"{row[0]}: {row[1]} rows, hours {row[2]}; {row[3]}" for row in rows]
    return [
        *heading("What is in it"),
        *table_or_bullets([["", "rows", "hours", ""], *rows], in_words, sides="<><"),
    ]


def _hours(one: StationInFile) -> str:
    if not one.hours:
        return "not said"
    return f"{one.hours[0]} to {one.hours[-1]}" if len(one.hours) > 1 else str(one.hours[0])

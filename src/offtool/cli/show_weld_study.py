"""How the file of a weld study was understood, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import how_it_was_read, left_out_cells, refused_cells, to_do
from offtool.steps.weld_study_preview import NumberSeen, WeldStudyKept, WeldStudyPreview


def weld_study_lines(found: WeldStudyPreview, *, refused: bool = False) -> list[str]:
    """All lines of a study that is not kept yet, or that was refused."""
    things = to_do(found, refused=refused)
    return [
        *sentence(f"{_understood(found)} Nothing is kept yet."),
        *([*heading("What to do"), *steps(things)] if things else []),
        *_seen(found.seen),
        *how_it_was_read(found, _about(found)),
        *cautions(found.cautions),
    ]


def kept_weld_study_lines(kept: WeldStudyKept, found: WeldStudyPreview) -> list[str]:
    """All lines of a study that is now in the record."""
    said = (
        f"Kept: {counted(kept.runs, 'run')} of {kept.file} as study {kept.study} of seam {kept.seam}, "
        f"programme {kept.programme}{left_out_cells(kept.left_out)}."
    )
    return [
        *sentence(said),
        *heading("What to do"),
        *steps([(f"offtool seam {kept.programme} {kept.seam} says what it means.", "")]),
        *_seen(found.seen),
        *how_it_was_read(found, _about(found)),
        *cautions(found.cautions),
    ]


def _understood(found: WeldStudyPreview) -> str:
    held = f", {found.held} of them held until the pull was stopped" if found.held else ""
    return (
        f"{found.file.name}: {counted(found.runs, 'run')} of seam {found.seam} understood{held}"
        f"{refused_cells(found)}."
    )


def _seen(seen: Sequence[NumberSeen]) -> list[str]:
    if not seen:
        return []
    head = ["", "unit", "runs", "different", "lowest", "highest"]
    in_words = [
        f"{one.what}: {one.lowest:g} to {one.highest:g} {one.unit}; {counted(one.runs, 'run')}, "
        f"{one.levels:,} different"
        for one in seen
    ]
    rows = [
        [one.what, one.unit, f"{one.runs:,}", f"{one.levels:,}", f"{one.lowest:g}", f"{one.highest:g}"]
        for one in seen
    ]
    return [
        *heading("What was set and measured"),
        *table_or_bullets([head, *rows], in_words, sides="<<>>>>"),
    ]


def _about(found: WeldStudyPreview) -> list[list[str]]:
    return [
        ["Under the horn", f"{found.top_part}, {found.top_trial or 'trial not known'}"],
        ["In the nest", f"{found.bottom_part}, {found.bottom_trial or 'trial not known'}"],
    ]

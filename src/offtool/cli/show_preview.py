"""How a file of readings was understood, on the terminal: what stands in the way, then what was read."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.words import between, listed
from offtool.steps.reading_preview import MatchedCharacteristic, ReadingPreview, ReadingsKept

SHOWN = 20
"""Repairs and refused cells shown in full; --json has all of them."""
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright stroke"}
DECIMALS = {",": "comma", ".": "point"}


def preview_lines(found: ReadingPreview) -> list[str]:
    """All lines of a file that is not kept yet: what was understood, what to do, how it was read."""
    return [
        *sentence(_understood(found)),
        *heading("What to do"),
        *steps(_to_do(found)),
        *how_it_was_read(found),
    ]


def kept_lines(kept: ReadingsKept, found: ReadingPreview) -> list[str]:
    """All lines of a file that is now in the record."""
    left_out = f"; {counted(kept.left_out, 'refused cell')} left out" if kept.left_out else ""
    judged = (
        f" {counted(kept.predictions_judged, 'prediction')} judged by it." if kept.predictions_judged else ""
    )
    where = f"trial {kept.trial} of tool {kept.tool} in state {kept.state}, programme {kept.programme}"
    return [
        *sentence(f"Kept: {counted(kept.readings, 'reading')} of {kept.file} in {where}{left_out}.{judged}"),
        *heading("What to do"),
        *steps([(f"offtool inspect {kept.programme} {kept.tool} {kept.trial} says what holds.", "")]),
        *how_it_was_read(found),
    ]


def how_it_was_read(found: ReadingPreview) -> list[str]:
    """Layout, encoding and marks; the sizes; every repair and refusal, or the first of many."""
    rows = [
        [
            "Layout",
            f"{found.layout} (--layout sets another of {listed(found.layouts)})",
        ],
        ["Sheet", found.sheet or ""],
        ["Text", "" if found.encoding == "XLSX" else found.encoding],
        ["Separator", SEPARATORS.get(found.delimiter, found.delimiter)],
        ["Decimal mark", DECIMALS.get(found.decimal, found.decimal)],
        ["Cavities", listed(found.cavities) or "not recorded"],
        ["Shots", f"{found.shots[0]} to {found.shots[1]}" if found.shots else "not recorded"],
        ["Empty", counted(found.missing, "cell") if found.missing else ""],
    ]
    lines = [*heading("How it was read"), *table([row for row in rows if row[1]], width=width(), indent=2)]
    lines += bullets(found.notes)
    lines += [*heading(counted(len(found.characteristics), "size")), *table(
        [_characteristic(one) for one in found.characteristics], width=width(), sides="<<<>", indent=2
    )]  # fmt: skip
    lines += _listed("repaired", found.repairs)
    return lines + _listed("refused", found.refused)


def _understood(found: ReadingPreview) -> str:
    read = (
        f"{found.file}: {counted(found.readings, 'reading')} of {counted(len(found.characteristics), 'size')}"
    )
    cavities = f" in {counted(len(found.cavities), 'cavity', 'cavities')}" if found.cavities else ""
    refused = f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""
    return f"{read}{cavities} understood{refused}. Nothing is kept yet."


def _to_do(found: ReadingPreview) -> list[tuple[str, str]]:
    if found.problems:
        return [(f"Mend: {problem}", "") for problem in found.problems]
    if not found.readings:
        return [("Choose a file with readings.", "")]
    if found.refused:
        return [
            (
                "Correct the refused cells below in the file, or leave them out: --keep --leave-out.",
                "What is left out stays listed beside the file.",
            ),
        ]
    return [("Look through how it was read, then add --keep.", "")]


def _characteristic(one: MatchedCharacteristic) -> list[str]:
    limits = (
        between(one.lower, one.upper, decimals=3) if (one.lower, one.upper) != (None, None) else "no limits"
    )
    name = " ".join(f"{one.part} {one.number} {one.name}".split())
    label = "" if one.label in name else f"from {one.label!r}"
    return [name, f"{limits} {one.unit}".rstrip(), label, counted(one.readings, "reading"), one.problem]


def _listed(done: str, cells: Sequence[object]) -> list[str]:
    if not cells:
        return []
    more = len(cells) - SHOWN
    lines = [
        *heading(f"{counted(len(cells), 'cell')} {done}"),
        *bullets([str(cell) for cell in cells[:SHOWN]]),
    ]
    return [*lines, *(bullets([f"and {more:,} more; --json lists all"]) if more > 0 else [])]

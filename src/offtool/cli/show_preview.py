"""How a file of readings was understood, on the terminal: what stands in the way, then what was read."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.words import between, listed
from offtool.steps.reading_preview import FilePreview, MatchedCharacteristic, ReadingPreview, ReadingsKept

SHOWN = 20
"""Repairs and refused cells shown in full; --json has all of them."""
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright stroke"}
DECIMALS = {",": "comma", ".": "point"}
QIF = "QIF"


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
    readings = counted(kept.readings, "reading")
    missed = f"; {counted(len(kept.files_left_out), 'file')} left out" if kept.files_left_out else ""
    where = f"trial {kept.trial} of tool {kept.tool} in state {kept.state}, programme {kept.programme}"
    return [
        *sentence(f"Kept: {readings} of {kept.what} in {where}{left_out}{missed}.{judged}"),
        *heading("What to do"),
        *steps([(f"offtool inspect {kept.programme} {kept.tool} {kept.trial} says what holds.", "")]),
        *how_it_was_read(found),
    ]


def how_it_was_read(found: ReadingPreview) -> list[str]:
    """Layout, encoding and marks; the sizes; every repair and refusal, or the first of many."""
    rows = [
        ["Layout", _layout(found)],
        ["Sheet", found.sheet or ""],
        ["File", found.encoding if found.layout == QIF else ""],
        ["Text", "" if found.encoding == "XLSX" or found.layout == QIF else found.encoding],
        ["Separator", SEPARATORS.get(found.delimiter, found.delimiter)],
        ["Decimal mark", "" if found.layout == QIF else DECIMALS.get(found.decimal, found.decimal)],
        ["Cavities", listed(found.cavities) or "not recorded"],
        ["Shots", f"{found.shots[0]} to {found.shots[1]}" if found.shots else "not recorded"],
        ["Empty", counted(found.missing, "cell") if found.missing else ""],
    ]
    lines = [*heading("How it was read"), *table([row for row in rows if row[1]], width=width(), indent=2)]
    lines += bullets(found.notes)
    lines += _files(found)
    lines += [*heading(counted(len(found.characteristics), "size")), *table(
        [_characteristic(one) for one in found.characteristics], width=width(), sides="<<<>", indent=2
    )]  # fmt: skip
    lines += _listed("repaired", found.repairs)
    return lines + _listed("refused", found.refused)


def _layout(found: ReadingPreview) -> str:
    """The layout, and those a table could be set to instead; QIF is no table and cannot be set otherwise."""
    if found.layout == QIF:
        return found.layout
    tables = [one for one in found.layouts if one != QIF]
    return f"{found.layout} (--layout sets another of {listed(tables)})"


def _understood(found: ReadingPreview) -> str:
    count = counted(len(found.files), "file")
    of = f", {count}" if found.files and found.file != count else ""
    sizes = counted(len(found.characteristics), "size")
    read = f"{found.file}{of}: {counted(found.readings, 'reading')} of {sizes}"
    cavities = f" in {counted(len(found.cavities), 'cavity', 'cavities')}" if found.cavities else ""
    refused = f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""
    refused += f"; {counted(len(found.missed), 'file')} cannot be read" if found.missed else ""
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
    if found.missed:
        return [
            (
                "Correct or remove the files that cannot be read, or leave them out: --keep --leave-out.",
                "",
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


def _files(found: ReadingPreview) -> list[str]:
    """Each file among several with the place it is of; then those left out, with the reason."""
    lines: list[str] = []
    if found.files:
        rows = [_file(one) for one in found.files[:SHOWN]]
        lines += [
            *heading(counted(len(found.files), "file")),
            *table(rows, width=width(), sides="<<>", indent=2),
        ]
        more = len(found.files) - SHOWN
        lines += bullets([f"and {more:,} more; --json lists all"]) if more > 0 else []
    if found.left_out:
        lines += heading(f"{counted(len(found.left_out), 'file')} left out")
        lines += bullets([str(one) for one in found.left_out[:SHOWN]])
    return lines


def _file(one: FilePreview) -> list[str]:
    said = (("cavity", one.cavity or None), ("shot", one.shot), ("part", one.part))
    place = " ".join(f"{what} {which}" for what, which in said if which is not None)
    return [one.name, place, counted(one.readings, "reading")]


def _listed(done: str, cells: Sequence[object]) -> list[str]:
    if not cells:
        return []
    more = len(cells) - SHOWN
    lines = [
        *heading(f"{counted(len(cells), 'cell')} {done}"),
        *bullets([str(cell) for cell in cells[:SHOWN]]),
    ]
    return [*lines, *(bullets([f"and {more:,} more; --json lists all"]) if more > 0 else [])]

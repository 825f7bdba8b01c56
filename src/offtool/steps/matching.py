"""Which size of the record a heading of a file means, and which cavity its label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings import FoundCharacteristic, ReadingTable
from offtool.records.models import Characteristic, Tool
from offtool.records.queries import nearest
from offtool.records.reading_arrays import NOT_RECORDED, ReadingColumns
from offtool.steps.reading_preview import MatchedCharacteristic
from offtool.steps.what_is_asked import size_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """Each heading of the file beside the size it is taken for; what stands in the way, and what differs."""

    headings: tuple[MatchedCharacteristic, ...]
    sizes: tuple[Characteristic | None, ...]
    problems: tuple[str, ...]
    notes: tuple[str, ...]


def match_table(table: ReadingTable, tool: Tool) -> Match:
    """Match a file's headings and cavities with what a tool makes."""
    known = list(
        Characteristic.objects.filter(part__in=tool.cavities.values("part"))
        .select_related("part")
        .order_by("pk")
    )
    readings = np.bincount(table.characteristic, minlength=len(table.characteristics))
    headings, sizes, notes = [], [], []
    for found, number in zip(table.characteristics, readings.tolist(), strict=True):
        size, problem = _find(found, known)
        if size is not None and found.unit is not None and found.unit != size.unit:
            problem = f"is in {found.unit}, and {size_key(size)} is kept in {size.unit}: correct the unit"
        if size is not None and not problem:
            notes.extend(_differing_limits(found, size))
        sizes.append(size)
        headings.append(_matched(found, size, number, problem))
    problems = [f"{one.label!r} {one.problem}" for one in headings if one.problem]
    problems += _doubles(headings, sizes) + _unknown_cavities(table, tool, sizes)
    return Match(headings=tuple(headings), sizes=tuple(sizes), problems=tuple(problems), notes=tuple(notes))


def columns_of(table: ReadingTable, tool: Tool, sizes: Sequence[Characteristic | None]) -> ReadingColumns:
    """The file's readings with the record's own ids; every heading must have its size."""
    ids = np.array([one.pk if one else 0 for one in sizes], dtype=np.int64)
    parts = np.array([one.part_id if one else 0 for one in sizes], dtype=np.int64)
    return ReadingColumns(
        characteristic_id=ids[table.characteristic],
        cavity_id=_cavity_ids(table, tool, parts[table.characteristic]),
        shot=table.shot,
        part=table.part,
        value=table.value,
        row=table.row.astype(np.int64),
        column=table.column.astype(np.int64),
    )


def _find(found: FoundCharacteristic, known: Sequence[Characteristic]) -> tuple[Characteristic | None, str]:
    """The one size meant; by part and number, by number and name, by number, by name, in that order."""
    both = f"{found.number} {found.name}"  # the reader takes the P1 of "P1 12" for a number
    said = {_plain(text) for text in (found.label, found.name, both)} - {""}
    if whole := [one for one in known if _plain(size_key(one)) in said | {_plain(found.number)}]:
        return whole[0], ""
    if whole := [one for one in known if _plain(_number_and_name(one)) in said]:
        return (whole[0], "") if len(whole) == 1 else (None, _could_be(whole))
    by_number = [one for one in known if found.number and _plain(one.number) == _plain(found.number)]
    if len(by_number) > 1 and found.name:
        by_number = [one for one in by_number if _plain(one.name) == _plain(found.name)] or by_number
    if len(by_number) == 1:
        return by_number[0], ""
    if by_number:
        return None, _could_be(by_number)
    by_name = [one for one in known if _plain(one.name) in said]
    meant = by_name or [one for one in known if _plain(one.number) in said]
    if meant:
        return (meant[0], "") if len(meant) == 1 else (None, _could_be(meant))
    return None, "is not a size of this tool; " + nearest(
        found.label, [_number_and_name(one) for one in known]
    )


def _could_be(sizes: Sequence[Characteristic]) -> str:
    return f"could be {', '.join(map(size_key, sizes))}: put the part's code before the number"


def _number_and_name(one: Characteristic) -> str:
    return f"{one.number} {one.name}".strip()


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _matched(
    found: FoundCharacteristic, size: Characteristic | None, readings: int, problem: str
) -> MatchedCharacteristic:
    if size is None:
        return MatchedCharacteristic(
            label=found.label,
            number="",
            name=found.name,
            part="",
            unit=found.unit or "",
            nominal=found.nominal,
            lower=found.lower,
            upper=found.upper,
            readings=readings,
            problem=problem,
        )
    return MatchedCharacteristic(
        label=found.label,
        number=size.number,
        name=size.name,
        part=size.part.code,
        unit=size.unit,
        nominal=size.nominal,
        lower=size.lower,
        upper=size.upper,
        readings=readings,
        problem=problem,
    )


def _differing_limits(found: FoundCharacteristic, size: Characteristic) -> list[str]:
    """An old drawing is a usual reason for a wrong verdict: say where file and record differ."""
    said = {
        "nominal": (found.nominal, size.nominal),
        "lower limit": (found.lower, size.lower),
        "upper limit": (found.upper, size.upper),
    }
    return [
        f"{size_key(size)}: the file gives the {what} as {in_file:g}, the drawing on record "
        + (f"{kept:g}" if kept is not None else "none")
        + "; the record's counts"
        for what, (in_file, kept) in said.items()
        if in_file is not None and (kept is None or abs(in_file - kept) > 1e-6)
    ]


def _doubles(headings: Sequence[MatchedCharacteristic], sizes: Sequence[Characteristic | None]) -> list[str]:
    first: dict[int, str] = {}
    problems = []
    for heading, size in zip(headings, sizes, strict=True):
        if size is None:
            continue
        if size.pk in first:
            problems.append(
                f"{heading.label!r} and {first[size.pk]!r} both mean {size_key(size)}: take one out"
            )
        first.setdefault(size.pk, heading.label)
    return problems


def _labels(tool: Tool) -> dict[int, dict[str, int]]:
    """Cavities of each part by their plain label."""
    by_part: dict[int, dict[str, int]] = {}
    for cavity in tool.cavities.all():
        by_part.setdefault(cavity.part_id, {})[_plain(cavity.label)] = cavity.pk
    return by_part


def _unknown_cavities(table: ReadingTable, tool: Tool, sizes: Sequence[Characteristic | None]) -> list[str]:
    by_part = _labels(tool)
    pairs = (
        np.unique(np.stack([table.characteristic, table.cavity]), axis=1).T.tolist()
        if len(table.value)
        else []
    )
    missing: dict[tuple[str, str], str] = {}
    for characteristic, cavity in pairs:
        size = sizes[characteristic]
        if size is None or cavity < 0:
            continue
        label, known = table.cavities[cavity], by_part.get(size.part_id, {})
        if _plain(label) not in known:
            missing[size.part.code, label] = (
                f"cavity {label!r}: tool {tool.code} has no such cavity of part {size.part.code}; "
                + nearest(label, [one.label for one in tool.cavities.all() if one.part_id == size.part_id])
            )
    return list(missing.values())


def _cavity_ids(table: ReadingTable, tool: Tool, part_ids: NDArray[np.int64]) -> NDArray[np.int64]:
    """Ids of the cavities; a part with one cavity only needs none to be said."""
    result = np.full(len(table.value), NOT_RECORDED, dtype=np.int64)
    for part_id, labels in _labels(tool).items():
        here = part_ids == part_id
        only = next(iter(labels.values())) if len(labels) == 1 else NOT_RECORDED
        ids = np.array(
            [*(labels.get(_plain(one), NOT_RECORDED) for one in table.cavities), only], dtype=np.int64
        )
        result[here] = ids[table.cavity[here]]
    return result


def shot_span(table: ReadingTable) -> tuple[int, int] | None:
    """First and last shot of a file; None where it gives none."""
    known = table.shot[table.shot >= 0]
    return (int(known.min()), int(known.max())) if len(known) else None


def options_of(table: ReadingTable) -> Mapping[str, object]:
    """How a file was understood, as kept beside it."""
    return {
        "layout": table.layout.value,
        "sheet": table.sheet,
        "encoding": table.encoding,
        "delimiter": table.delimiter,
        "decimal": table.decimal,
        "missing": table.missing,
        "notes": list(table.notes),
    }

"""Writing down a joint or a seam with its sizes, as a whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Manager, Model, TextField

from offtool.records.acting import acting_as
from offtool.records.models import Characteristic
from offtool.records.plain import plain_name, plain_text
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSize:
    """One size of a joint or a seam: a characteristic or a number; neither for the gap of a loop.

    `factor` and the angles are for chains and loops; `place` is where it stands among the sizes of a joint.
    """

    role: str
    characteristic: Characteristic | None = None
    value: float | None = None
    plus_minus: float = 0.0
    factor: float = 1.0
    angle_deg: float | None = None
    angle_role: str = ""
    place: int = 0


SEAM_SIZE = ("characteristic", "value", "plus_minus")
JOINT_SIZE = (*SEAM_SIZE, "factor", "angle_deg", "angle_role", "place")


def plain_columns(columns: Mapping[str, Any]) -> dict[str, Any]:
    """Columns of a definition as the record holds them: text that every database can store.

    Raises OfftoolError for a name that is longer than the record takes.
    """
    return {name: _plain(name, value) for name, value in columns.items()}


R = TypeVar("R", bound=Model)


def written_row(row: R, columns: Mapping[str, Any]) -> R:
    """The row with these columns, saved where anything differs or it is new."""
    long = {one.name for one in row._meta.concrete_fields if isinstance(one, TextField)}
    told = plain_columns({name: value for name, value in columns.items() if name not in long})
    told |= {name: plain_text(str(columns[name]).strip()) for name in long & set(columns)}
    if row.pk is None or any(getattr(row, name) != value for name, value in told.items()):
        for name, value in told.items():
            setattr(row, name, value)
        row.save()
    return row


def _plain(name: str, value: Any) -> Any:
    if not isinstance(value, str):
        return value
    return plain_text(value.strip()) if name == "note" else plain_name(value, name)


def write_defined(
    row: Any,
    columns: Mapping[str, Any],
    sizes: Sequence[NewSize],
    size_columns: Iterable[str],
    *,
    made_by: str,
) -> None:
    """Write a joint or a seam and its sizes, in one transaction.

    Raises OfftoolError for what the record refuses, names that are too long too; nothing is changed then.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        for name, value in plain_columns(columns).items():
            setattr(row, name, value)
        row.save()
        write_sizes(row.sizes, sizes, size_columns)


def write_sizes(kept: Manager[Any], sizes: Sequence[NewSize], columns: Iterable[str]) -> None:
    """Make the sizes what is given: change those of the same role, add new ones, take out the others."""
    now: dict[str, Model] = {one.role: one for one in kept.all()}
    asked = {one.role for one in sizes}
    for role, gone in now.items():
        if role not in asked:
            gone.delete()
    for size in sizes:
        values = {column: getattr(size, column) for column in columns}
        row = now.get(size.role)
        if row is None:
            kept.create(role=plain_name(size.role, "the name of a size"), **plain_columns(values))
        elif any(getattr(row, column) != value for column, value in values.items()):
            for column, value in values.items():
                setattr(row, column, value)
            row.save()

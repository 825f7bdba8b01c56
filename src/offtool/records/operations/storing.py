"""Storing a file of readings: the bytes, the shots and every reading, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np
from django.db import IntegrityError, transaction
from numpy.typing import NDArray

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import LARGEST_NUMBER, LONGEST_FILE_NAME, LONGEST_NAME
from offtool.records.models import Cavity, Characteristic, SourceFile, Trial
from offtool.records.operations.bulk import ROWS_AT_ONCE, insert_readings, insert_shots, look_up
from offtool.records.plain import plain_json, plain_text
from offtool.records.reading_arrays import NOT_RECORDED, ReadingColumns


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadFile:
    """A file of readings as it came, and how it was understood."""

    name: str
    content: bytes = field(repr=False)
    layout: str
    read_options: Mapping[str, Any]
    repairs: Sequence[Any] = ()
    left_out: Sequence[Any] = ()

    @property
    def sheet(self) -> str:
        """The sheet of a workbook that was read; empty for any other file."""
        return plain_text(str(self.read_options.get("sheet") or ""))[:LONGEST_NAME]


class AlreadyRead(OfftoolError):
    """The same bytes were read before in this programme; `first` is the file as it was kept then."""

    def __init__(self, name: str, first: SourceFile) -> None:
        self.first = first
        trial = first.trial
        what = f"the same file, sheet {first.sheet}," if first.sheet else "the same file"
        super().__init__(
            f"{what} was read before as {first.name} in trial {trial.name} of tool {trial.tool.code}, "
            f"{first.read_at:%Y-%m-%d %H:%M} UTC" + (f" by {first.read_by}" if first.read_by else ""),
            where=name,
            remedy="look there; a corrected file has other bytes and can be read",
        )


def store_readings(
    trial: Trial, file: ReadFile, readings: ReadingColumns, *, read_at: datetime, read_by: str
) -> SourceFile:
    """Keep a file and all its readings under a trial, in one transaction.

    Parameters
    ----------
    trial : the trial that was measured
    file : the bytes as they came and how they were understood
    readings : columns of equal length, see ReadingColumns
    read_at : when; read_by : who

    Returns the source file as kept.

    Raises
    ------
    AlreadyRead
        These bytes, or this sheet of them, were read before in this programme.
    NotEnoughData
        The file holds no reading.
    OfftoolError
        A value that cannot be, a characteristic that the tool does not make, or a cavity that does not
        fit the tool or the characteristic; names the file's row and column. Nothing is stored.
    """
    if not len(readings):
        raise NotEnoughData("no readings in it", where=file.name, remedy="read a file with values")
    sha256 = hashlib.sha256(file.content).hexdigest()
    programme = trial.tool.programme
    try:
        with transaction.atomic():
            _refuse_second_reading(file, programme.pk, sha256)
            inspector = _Inspector(file.name, trial)
            for portion in readings.portions(ROWS_AT_ONCE):
                inspector.refuse_impossible_numbers(portion)
                inspector.refuse_what_the_tool_does_not_make(portion)
            source = SourceFile.objects.create(
                programme=programme,
                trial=trial,
                name=plain_text(file.name)[:LONGEST_FILE_NAME],
                sheet=file.sheet,
                sha256=sha256,
                content=file.content,
                size=len(file.content),
                layout=file.layout,
                read_options=plain_json(dict(file.read_options)),
                repairs=plain_json(file.repairs),
                left_out=plain_json(file.left_out),
                read_at=read_at,
                read_by=plain_text(read_by)[:LONGEST_NAME],
            )
            insert_readings(source.pk, readings, _shots(trial, readings))
    except IntegrityError:
        # another process stored the same bytes between our look and our write
        _refuse_second_reading(file, programme.pk, sha256)
        raise
    return source


def _refuse_second_reading(file: ReadFile, programme_id: int, sha256: str) -> None:
    first = (
        SourceFile.objects.filter(programme_id=programme_id, sha256=sha256, sheet=file.sheet)
        .select_related("trial__tool")
        .defer("content")
        .first()
    )
    if first is not None:
        raise AlreadyRead(file.name, first)


class _Inspector:
    """Looks through a file's readings before any is stored, a portion at a time."""

    def __init__(self, name: str, trial: Trial) -> None:
        self.name, self.tool = name, trial.tool
        self.part_of_cavity = dict(Cavity.objects.filter(tool=self.tool).values_list("pk", "part_id"))
        made_here = Characteristic.objects.filter(part__in=set(self.part_of_cavity.values()))
        self.part_of_characteristic = dict(made_here.values_list("pk", "part_id"))

    def refuse_impossible_numbers(self, readings: ReadingColumns) -> None:
        """Values are finite and of this world; shots and parts are counted from 0 or 1."""
        self._refuse(
            ~(np.abs(readings.value) <= LARGEST_NUMBER),  # NaN is in no range
            readings,
            lambda at: f"value {readings.value[at]}: no measured size, angle, weight, force or torque",
            "correct or empty the cell",
        )
        self._refuse(
            (readings.shot < NOT_RECORDED) | (readings.part < NOT_RECORDED),
            readings,
            lambda at: f"shot {readings.shot[at]}, part {readings.part[at]}: must be 0 or more",
            "number shots and parts from 1, or leave the cell empty",
        )

    def refuse_what_the_tool_does_not_make(self, readings: ReadingColumns) -> None:
        """Every characteristic is of a part the tool makes, every cavity of that tool and that part."""
        part_measured = look_up(self.part_of_characteristic, readings.characteristic_id)
        part_moulded = look_up(self.part_of_cavity, readings.cavity_id)
        cavity_given = readings.cavity_id != NOT_RECORDED
        self._refuse(
            part_measured == NOT_RECORDED,
            readings,
            lambda at: (
                f"characteristic {_shown(Characteristic, readings.characteristic_id[at])} "
                f"is of no part that tool {self.tool.code} makes"
            ),
            "choose the trial of the right tool, or add the part's cavities to the tool",
        )
        self._refuse(
            cavity_given & (part_moulded == NOT_RECORDED),
            readings,
            lambda at: f"cavity {_shown(Cavity, readings.cavity_id[at])} is not in tool {self.tool.code}",
            "choose the trial of the right tool, or add the cavity to the tool",
        )
        self._refuse(
            cavity_given & (part_moulded != part_measured),
            readings,
            lambda at: (
                f"cavity {_shown(Cavity, readings.cavity_id[at])} makes another part than the one with "
                f"characteristic {_shown(Characteristic, readings.characteristic_id[at])}"
            ),
            "give a cavity of the part that was measured",
        )

    def _refuse(
        self, wrong: NDArray[np.bool_], readings: ReadingColumns, what: Callable[[int], str], remedy: str
    ) -> None:
        """Raise for the first reading that is wrong, naming its cell."""
        if wrong.any():
            at = int(wrong.argmax())
            where = f"{self.name} row {readings.row[at]}, column {readings.column[at]}"
            raise OfftoolError(what(at), where=where, remedy=remedy)


def _shown(model: type[Characteristic | Cavity], key: int) -> str:
    found = model.objects.filter(pk=int(key)).first()
    return str(found) if found is not None else f"with id {key}"


def _shots(trial: Trial, readings: ReadingColumns) -> dict[int, int]:
    """The trial's shots, number to id, with those of the file made where they are new."""
    known = dict(trial.shots.values_list("number", "pk"))
    wanted: set[int] = set()
    for portion in readings.portions(ROWS_AT_ONCE):
        wanted.update(np.unique(portion.shot).tolist())
    missing = sorted(wanted - known.keys() - {NOT_RECORDED})
    if not missing:
        return known
    insert_shots(trial.pk, missing)
    return dict(trial.shots.values_list("number", "pk"))

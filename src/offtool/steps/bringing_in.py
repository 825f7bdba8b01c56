"""Bringing the rows of a folder's table into the record: what is new is added, what differs is changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model
from simple_history.utils import bulk_create_with_history

from offtool.core.values import OfftoolError
from offtool.exchange.programme.rows import PredictionRow, Row
from offtool.records.models import Prediction
from offtool.records.refusals import refusals_in_words
from offtool.steps.answering import Known, Table
from offtool.steps.programme_tables import PREDICTIONS

REASON = "loaded from a programme folder"


@dataclass(frozen=True, slots=True, kw_only=True)
class TableLoaded:
    """What loading did to one table; `kept` rows are in the record and not in the folder."""

    table: str
    added: int = 0
    changed: int = 0
    unchanged: int = 0
    kept: int = 0


def bring_in(
    table: Table, rows: Sequence[Row], known: Known, content_of: Callable[[Any], bytes] | None = None
) -> TableLoaded:
    """Bring one table into the record, and learn the names of all its rows.

    `content_of` gives the bytes for a new row of a table that keeps files.

    Raises OfftoolError, naming the folder's file and line, for a change of what is settled.
    """
    by_name: dict[tuple[str, ...], Any] = getattr(known, table.name)
    before: dict[tuple[str, ...], Row] = {}
    for kept in table.kept(known.programme):
        row = table.row_of(kept)
        before[row.names], by_name[row.names] = row, kept
    differing = [row for row in rows if row.names in before and row != before[row.names]]
    # a size that gets another forming feature must lose the old one first
    for row in sorted(differing, key=lambda row: getattr(row, "forms", False)):
        change(table, row, before[row.names], by_name[row.names], known)
    new = [row for row in rows if row.names not in before]
    if content_of is None:
        made = add_rows(table, new, known)
    else:
        made = [_add_file(table, row, known, content_of(row)) for row in new]
    by_name.update(zip((row.names for row in new), made, strict=True))
    return TableLoaded(
        table=table.name,
        added=len(new),
        changed=len(differing),
        unchanged=len(rows) - len(new) - len(differing),
        kept=len(before.keys() - {row.names for row in rows}),
    )


def add_rows(table: Table, rows: Sequence[Row], known: Known) -> list[Any]:
    """Make new rows in the record, with their first state in the history where the table keeps one."""
    made = [table.model(**table.values_of(row, known)) for row in rows]
    with refusals_in_words(table.row.table):
        if made and hasattr(table.model, "history"):
            bulk_create_with_history(made, table.model, default_change_reason=REASON)
        else:
            table.model._default_manager.bulk_create(made)
    return made


def _add_file(table: Table, row: Row, known: Known, content: bytes) -> Model:
    """Make one row with its bytes; given back without them, so that one file at a time is in memory."""
    made = table.model(**table.values_of(row, known), content=content)
    made._change_reason = REASON  # type: ignore[attr-defined]
    with refusals_in_words(str(row.place())):
        made.save()
    return table.model._default_manager.defer("content").get(pk=made.pk)


def change(table: Table, row: Row, before: Row, kept: Any, known: Known) -> None:
    """Make a row of the record what the folder says. Raises OfftoolError for a change of what is settled."""
    for column in table.settled:
        if getattr(row, column) != getattr(before, column) and table.is_used(kept, column):
            raise is_settled(row, column, before)
    for name, value in table.values_of(row, known).items():
        setattr(kept, name, value)
    kept._change_reason = REASON
    with refusals_in_words(str(row.place())):
        kept.save()


def is_settled(row: Row, column: str, before: Row) -> OfftoolError:
    """The error for a change of what is settled; for the caller to raise."""
    return OfftoolError(
        f"{getattr(row, column)!r}, but the record has {getattr(before, column)!r}, and that is settled",
        where=str(row.place(column)),
        remedy="what was measured or decided is never changed; add a new row beside it",
    )


def bring_in_predictions(rows: Sequence[PredictionRow], known: Known) -> TableLoaded:
    """Predictions are added; of those in the record only one that was not judged may get its outcome."""
    waiting: dict[tuple[Any, ...], list[Prediction]] = {}
    for kept in PREDICTIONS.kept(known.programme):
        waiting.setdefault(_foretold(PREDICTIONS.row_of(kept)), []).append(kept)
    count: Counter[str] = Counter()
    new: list[Prediction] = []
    for row in rows:
        same = waiting.get(_foretold(row), [])
        if not same:
            new.append(Prediction(**PREDICTIONS.values_of(row, known)))
            continue
        count["changed" if _judge(row, same.pop(0), known) else "unchanged"] += 1
    with refusals_in_words(PredictionRow.table):
        Prediction.objects.bulk_create(new)
    left = sum(len(same) for same in waiting.values())
    return TableLoaded(table=PREDICTIONS.name, added=len(new), kept=left, **count)


def _foretold(row: Any) -> tuple[Any, ...]:
    """All of a prediction that is settled when it is made."""
    return (
        *(row.tool, row.trial, row.part, row.characteristic, row.cavity, row.feature, row.made_at),
        *(row.mean, row.low, row.high, row.confidence, row.sd),
    )


def _judge(row: PredictionRow, kept: Prediction, known: Known) -> bool:
    """Give a waiting prediction the outcome the folder has; whether anything was changed."""
    before = PREDICTIONS.row_of(kept)
    if before == row:
        return False
    if kept.judged_in is not None and not row.judged_in:
        return False  # a folder written before the trial that judged it: what the record learned since stays
    if kept.judged_in is not None:
        raise is_settled(row, "outcome", before)
    kept.judged_in = known.trials[row.tool, row.judged_in]
    kept.outcome = row.outcome
    with refusals_in_words(str(row.place())):
        kept.save(update_fields=["judged_in", "outcome"])
    return True

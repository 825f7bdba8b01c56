"""What a release asks and rests on: where the product is sold, the list, evidence, changes, days of steps."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db import transaction

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.release_list import Change, changes_named
from offtool.handbook.terms import LONGEST_FILE_NAME, EvidenceSays
from offtool.handbook.toy_law import MARKETS, markets_named
from offtool.records.acting import acting_as
from offtool.records.models import (
    ChangeMade,
    Evidence,
    EvidenceState,
    Joint,
    Part,
    Programme,
    ReleaseLine,
    Seam,
    StepDays,
    Tool,
    ToolState,
)
from offtool.records.operations.defining import plain_columns, written_row
from offtool.records.operations.line import a_reason, only_of
from offtool.records.plain import plain_name, plain_text
from offtool.records.queries.release import release_codes
from offtool.records.refusals import refusals_in_words

MARKET_COLUMNS = ("markets", "from_months", "to_months", "mass_kg", "release_due")
"""For whom the product is, and by when it should be released."""
RELEASE_LINE_COLUMNS = (*("title", "asks", "fed_by", "stale_by", "stale_after_days", "source", "not_asked"),)
"""What a line of the programme's own list says."""
LARGEST_PAPER = 25 * 1024 * 1024
"""Bytes of a file of evidence."""


def define_market(programme: Programme, columns: Mapping[str, Any], *, made_by: str) -> Programme:
    """Write where the product is sold, for what age, what it weighs, and by when it should be released.

    `columns` are of MARKET_COLUMNS; those not named stay. Raises OfftoolError for an unknown market and for a
    number that cannot be.
    """
    only_of(MARKET_COLUMNS, columns)
    told = dict(columns)
    if "markets" in told:
        told["markets"] = _in_words(markets_named, str(told["markets"] or ""), " ", "market", MARKETS)
    with refusals_in_words(programme.slug), acting_as(made_by), transaction.atomic():
        return written_row(Programme.objects.select_for_update().get(pk=programme.pk), told)


def define_release_line(
    programme: Programme, code: str, columns: Mapping[str, Any], *, made_by: str, because: str = ""
) -> ReleaseLine:
    """Write a line of the programme's own list: a new one, or the one of this code.

    `columns` are of RELEASE_LINE_COLUMNS; those not named stay. A reason is kept with the history. Raises
    OfftoolError for a change that the list does not know, and for a number that cannot be.
    """
    only_of(RELEASE_LINE_COLUMNS, columns)
    told = dict(columns)
    if "stale_by" in told:
        told["stale_by"] = _in_words(
            changes_named, str(told["stale_by"] or ""), "; ", "change", tuple(Change)
        )
    plain = plain_name(code, "the code")
    with refusals_in_words(plain), acting_as(made_by), transaction.atomic():
        line = programme.release_lines.filter(code=plain).first()
        row = line or ReleaseLine(programme=programme, code=plain)
        row._change_reason = because.strip()  # type: ignore[attr-defined]  # kept with the history
        return written_row(row, told)


def _in_words(read: Any, text: str, between: str, thing: str, known: Any) -> str:
    """The words as the record keeps them. Raises OfftoolError for one that is none."""
    try:
        return between.join(read(text))
    except ValueError as error:
        word = str(error)
        raise OfftoolError(f"no {thing} {word!r}", remedy=nearest(word, known)) from error


def drop_release_line(line: ReleaseLine, because: str, *, made_by: str) -> None:
    """Take a line of the programme's own list out; the handbook's of that code stands again.

    Raises OfftoolError without a reason.
    """
    reason = a_reason(because, "say why the line is no longer the programme's own")
    with acting_as(made_by), transaction.atomic():
        line._change_reason = reason  # type: ignore[attr-defined]  # kept with the history
        line.delete()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEvidence:
    """A paper or a test that answers a line of the list; its file as it came, where there is one."""

    code: str
    says: EvidenceSays
    tested_on: date
    lab: str = ""
    number: str = ""
    accredited: bool = False
    file_name: str = ""
    content: bytes = field(default=b"", repr=False)
    states: tuple[ToolState, ...] = ()
    """States of tools it hangs on; none: those that were newest on the day."""
    note: str = ""


def keep_evidence(programme: Programme, new: NewEvidence, *, given_at: datetime, given_by: str) -> Evidence:
    """Keep a paper or a test that answers a line of the list. Returns it as kept.

    Raises OfftoolError for a line that the list does not have, a file that is too large or without a name,
    and a state of another programme's tool.
    """
    refuse_unknown_line(programme, new.code)
    with refusals_in_words(new.code), acting_as(given_by), transaction.atomic():
        kept = Evidence.objects.create(
            programme=programme,
            says=new.says.value,
            tested_on=new.tested_on,
            accredited=new.accredited,
            given_at=given_at,
            **_file_columns(new),
            **plain_columns(
                {"code": new.code, "lab": new.lab, "number": new.number, "note": new.note}
                | {"given_by": given_by}
            ),
        )
        EvidenceState.objects.bulk_create(EvidenceState(evidence=kept, state=one) for one in new.states)
    return kept


def _file_columns(new: NewEvidence) -> dict[str, Any]:
    if not new.content:
        return {}
    if len(new.content) > LARGEST_PAPER:
        raise OfftoolError(
            f"the file has {len(new.content) / 1024**2:.0f} MB, and {LARGEST_PAPER // 1024**2} MB are kept",
            where=new.file_name,
            remedy="make it smaller, or keep it elsewhere and write its number",
        )
    return {
        "file_name": plain_name(new.file_name, "the name of the file", longest=LONGEST_FILE_NAME),
        "sha256": hashlib.sha256(new.content).hexdigest(),
        "content": new.content,
    }


def refuse_unknown_line(programme: Programme, code: str) -> None:
    """Raise OfftoolError for a code that neither the handbook's list nor the programme's own has."""
    known = release_codes(programme)
    if code not in known:
        raise OfftoolError(f"the list has no line {code!r}", remedy=nearest(code, known))


def set_evidence_aside(evidence: Evidence, reason: str, *, made_by: str) -> None:
    """Let a paper or a test count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for one that is set aside already.
    """
    set_row_aside(evidence, "set_aside", reason, f"evidence {evidence}", made_by=made_by)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewChange:
    """A change that was made, and what of the product it touches, where that is known."""

    what: Change
    on: date
    words: str
    tool: Tool | None = None
    part: Part | None = None
    joint: Joint | None = None
    seam: Seam | None = None


def tell_change(programme: Programme, new: NewChange, *, told_at: datetime, told_by: str) -> ChangeMade:
    """Tell a change after which evidence may be stale. Returns it as kept.

    Raises OfftoolError without words, and for a tool, part, joint or seam of another programme.
    """
    a_reason(new.words, "say what was changed, such as new masterbatch")
    with refusals_in_words(new.what.value), acting_as(told_by), transaction.atomic():
        return ChangeMade.objects.create(
            programme=programme,
            what=new.what.value,
            on=new.on,
            words=plain_text(new.words).strip(),
            told_at=told_at,
            told_by=plain_name(told_by, "your name"),
            **{name: getattr(new, name) for name in ("tool", "part", "joint", "seam")},
        )


def set_change_aside(change: ChangeMade, reason: str, *, made_by: str) -> None:
    """Let a change that was told count no longer, such as one told by mistake; it stays with the reason.

    Raises OfftoolError without a reason, and for one that is set aside already.
    """
    set_row_aside(change, "set_aside", reason, f"the change {change}", made_by=made_by)


def set_row_aside(row: Any, column: str, reason: str, thing: str, *, made_by: str, **more: Any) -> None:
    """Write why a row no longer counts, once."""
    said = a_reason(reason, f"say why {thing} no longer counts")
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        rows = type(row)._default_manager.select_for_update()
        current = (rows.defer("content") if hasattr(type(row), "content") else rows).get(pk=row.pk)
        if getattr(current, column):
            raise OfftoolError(
                f"{thing} counts no longer already: {getattr(current, column)}",
                remedy="nothing more is to be done",
            )
        for name, value in {column: said, **more}.items():
            setattr(current, name, value)
            setattr(row, name, value)
        current.save(update_fields=[column, *more])


def define_step_days(
    programme: Programme, step: str, low_days: float, high_days: float, *, made_by: str
) -> StepDays:
    """Write how many days a step to the release takes in this shop. Returns it as kept.

    Raises OfftoolError for days below 0 or out of order.
    """
    plain = plain_name(step, "the step")
    with refusals_in_words(plain), acting_as(made_by), transaction.atomic():
        row = programme.step_days.filter(step=plain).first() or StepDays(programme=programme, step=plain)
        return written_row(row, {"low_days": low_days, "high_days": high_days})


def drop_step_days(days: Sequence[StepDays], *, made_by: str) -> None:
    """Take back how long steps take in this shop; the handbook's ranges hold again."""
    with acting_as(made_by), transaction.atomic():
        for one in days:
            one.delete()

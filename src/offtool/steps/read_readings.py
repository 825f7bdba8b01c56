"""Read a file of readings into a trial: first shown as it is understood, then kept, in whole or not at
all."""

from __future__ import annotations

import hashlib
import shlex
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime

from django.db import transaction

from offtool.core.correction import Outcome as Judged
from offtool.core.values import OfftoolError
from offtool.exchange.readings import Layout, ReadingTable, read_table
from offtool.handbook.terms import Outcome
from offtool.records.models import Tool, ToolState, Trial
from offtool.records.operations import ReadFile, judge_predictions, store_readings
from offtool.records.queries import find_programme, find_tool, latest_state
from offtool.records.queries.finding import NotInRecord
from offtool.records.refusals import refusals_in_words
from offtool.steps.inspect_trial import predictions_of
from offtool.steps.matching import Match, columns_of, match_table, options_of, shot_span
from offtool.steps.reading_preview import ReadingPreview, ReadingsKept
from offtool.steps.sentences import count
from offtool.steps.trial_evidence import TrialEvidence


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialAbout:
    """What is known of a trial besides its readings; blanks leave what is on record."""

    shot_on: date | None = None
    press: str = ""
    colour: str = ""
    resin_lot: str = ""
    age_h: float | None = None
    moulded_at: datetime | None = None
    measured_at: datetime | None = None
    state: str = ""


class CannotKeep(OfftoolError):
    """A file that is understood but cannot be kept as it is."""


def preview_readings(
    content: bytes,
    name: str,
    *,
    programme: str,
    tool: str,
    layout: Layout | None = None,
    sheet: str | None = None,
) -> ReadingPreview:
    """How a file would be read into a trial of a tool; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme or tool.
    """
    found = tool_to_read(programme, tool)
    table = read_table(content, name, layout=layout, sheet=sheet)
    return preview_of(content, table, match_table(table, found))


def keep_readings(
    content: bytes,
    name: str,
    *,
    programme: str,
    tool: str,
    trial: str,
    read_at: datetime,
    read_by: str,
    layout: Layout | None = None,
    sheet: str | None = None,
    leave_out: bool = False,
    about: TrialAbout | None = None,
) -> ReadingsKept:
    """Keep a file's readings in a trial, which is made on the tool's latest state if it is new.

    Raises what `preview_readings` raises; CannotKeep for headings or cavities that fit nothing, and for
    refused cells unless `leave_out`; AlreadyRead for bytes read before. Nothing is kept then.
    """
    found = tool_to_read(programme, tool)
    table = read_table(content, name, layout=layout, sheet=sheet)
    match = match_table(table, found)
    refuse_problems(name, match.problems, table.refused, leave_out=leave_out)
    with transaction.atomic():
        into = trial_for(found, trial, about or TrialAbout())
        return store_table(content, table, into, match, read_at=read_at, read_by=read_by)


def tool_to_read(programme: str, code: str) -> Tool:
    """The tool a file is to be read into. Raises NotInRecord, which says how a new tool is added."""
    found = find_programme(programme)
    try:
        return find_tool(found, code)
    except NotInRecord as error:
        add = shlex.join(["offtool", "start", programme, "FILE", "--add", "--part", "PART", "--tool", code])
        raise NotInRecord(error.what, remedy=f"{error.remedy}; a new tool is added with {add}") from error


def store_table(
    content: bytes, table: ReadingTable, trial: Trial, match: Match, *, read_at: datetime, read_by: str
) -> ReadingsKept:
    """Store a matched file and judge the predictions that were waiting for it."""
    source = store_readings(
        trial,
        as_read(content, table),
        columns_of(table, trial.tool, match.sizes),
        read_at=read_at,
        read_by=read_by,
    )
    return ReadingsKept(
        programme=trial.tool.programme.slug,
        tool=trial.tool.code,
        trial=trial.name,
        state=trial.state.label,
        source_id=source.pk,
        file=source.name,
        readings=len(table.value),
        repairs=len(table.repairs),
        left_out=len(table.refused),
        predictions_judged=judge_waiting(trial),
    )


def as_read(content: bytes, table: ReadingTable) -> ReadFile:
    """A file as the record keeps it: its bytes, and how they were understood."""
    return ReadFile(
        name=table.name,
        content=content,
        layout=table.layout.value,
        read_options=options_of(table),
        repairs=[asdict(one) for one in table.repairs],
        left_out=[asdict(one) for one in table.refused],
    )


def preview_of(content: bytes, table: ReadingTable, match: Match) -> ReadingPreview:
    """What was understood of a file, with what it is matched to."""
    return ReadingPreview(
        file=table.name,
        sha256=hashlib.sha256(content).hexdigest(),
        size=len(content),
        layout=table.layout.value,
        layouts=tuple(one.value for one in Layout),
        sheet=table.sheet,
        encoding=table.encoding,
        delimiter=table.delimiter,
        decimal=table.decimal,
        readings=len(table.value),
        missing=table.missing,
        characteristics=match.headings,
        cavities=table.cavities,
        shots=shot_span(table),
        repairs=table.repairs,
        refused=table.refused,
        notes=table.notes + match.notes,
        problems=match.problems,
    )


def refuse_problems(
    name: str,
    problems: Sequence[str],
    refused: Sequence[object],
    missed: Sequence[object] = (),
    *,
    leave_out: bool,
) -> None:
    """Raise CannotKeep for what stands in the way of keeping what was sent: problems, refused cells unless
    they may be left out, and files that are missed.
    """
    if problems:
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        raise CannotKeep(problems[0] + more, where=name, remedy="nothing was kept")
    for kept_out, thing, remedy in (
        (refused, "cell", "correct the file, or leave these cells out"),
        (missed, "file", "correct or remove it, or leave these files out"),
    ):
        if kept_out and not leave_out:
            what = f"{count(len(kept_out), thing)} cannot be read, the first: {kept_out[0]}"
            raise CannotKeep(what, where=name, remedy=remedy)


def trial_for(tool: Tool, name: str, about: TrialAbout) -> Trial:
    """The trial of that name with what is now known of it; made where it is new."""
    name = name.strip()
    if not name:
        raise CannotKeep("the trial has no name", remedy="name it, such as T1")
    state = _state(tool, about.state)
    given = {
        field: value for field, value in asdict(about).items() if field != "state" and value not in (None, "")
    }
    with refusals_in_words():
        trial = tool.trials.filter(name=name).select_related("state").first()
        if trial is None:
            return Trial.objects.create(tool=tool, name=name, state=state, **given)
        if about.state and trial.state_id != state.pk:
            raise CannotKeep(
                f"{name} was run in tool state {trial.state.label}", remedy="leave the state blank"
            )
        for field, value in given.items():
            setattr(trial, field, value)
        if given:
            trial.save()
    return trial


def _state(tool: Tool, label: str) -> ToolState:
    state = tool.states.filter(label=label).first() if label else latest_state(tool)
    if state is None:
        raise CannotKeep(
            f"tool {tool.code} has no state {label!r}" if label else f"tool {tool.code} has no state yet",
            remedy="add its first state, a, to the programme folder and load it",
        )
    return state


def judge_waiting(trial: Trial) -> int:
    """Confirm, refute or leave undecided every prediction that waited for this trial."""
    outcomes = {
        made.pk: Outcome(Judged(seen.judged.outcome).value)
        for made, seen in predictions_of(TrialEvidence(trial))
        if made.judged_in_id is None
    }
    if outcomes:
        judge_predictions(trial, outcomes)
    return len(outcomes)

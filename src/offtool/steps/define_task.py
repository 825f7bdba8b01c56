"""Say one task of a line, or take it out; the rest of the table stays."""

from __future__ import annotations

from dataclasses import replace

from offtool.core.values import OfftoolError
from offtool.records.queries import find_line, find_programme
from offtool.steps.know_line import known_line, need_task
from offtool.steps.line_doubts import equipment_doubts
from offtool.steps.line_known import TaskKnown
from offtool.steps.line_table import Beside, faults_of, paired_once, put_tasks
from offtool.steps.sentences import sentence
from offtool.steps.sizes_given import DefinitionRefused


def keep_task(programme: str, line: str | None, said: TaskKnown, *, by: str, now: str = "") -> str:
    """Write a task; `now` is the name of the one that is changed, else it is new. Returns a sentence.

    A changed name is changed in the lists of the other tasks too. Raises DefinitionRefused, naming the field,
    for what cannot be; NotInRecord.
    """
    own = find_programme(programme)
    found = find_line(own, line)
    known, beside = known_line(found), Beside.of(own)
    if now:
        need_task(known, now)
        tasks = [said if one.task == now else _renamed(one, now, said.task) for one in known.tasks]
    else:
        tasks = [*known.tasks, said]
    tasks = paired_once(tasks)
    for fault in faults_of(tasks, beside):
        field = fault.field if fault.task in ("", said.task) or fault.field == "after" else None
        what = fault.what if fault.task == said.task else str(fault)
        raise DefinitionRefused(field or "", what, fault.remedy if fault.task == said.task else "")
    equipment = tuple(one.name for one in known.equipment)
    doubts = [sentence(one) for one in equipment_doubts(tasks, equipment)]
    put_tasks(found, tasks, beside, by=by)
    return " ".join([f"Task {said.task} is kept.", *doubts])


def _renamed(one: TaskKnown, was: str, name: str) -> TaskKnown:
    """A task whose lists call another by its new name."""
    if was == name:
        return one

    def new(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(name if other == was else other for other in names)

    return replace(one, after=new(one.after), together=new(one.together), apart=new(one.apart))


def remove_task(programme: str, line: str | None, task: str, *, by: str) -> str:
    """Take a task out of the line. What came after it comes after what it came after. Returns a sentence.

    Raises NotInRecord; OfftoolError for the last task, and for one that a pilot timed.
    """
    own = find_programme(programme)
    found = find_line(own, line)
    known = known_line(found)
    gone = need_task(known, task)
    if len(known.tasks) == 1:
        raise OfftoolError("a line has one task at least", remedy="change it instead")
    left = [_without(one, gone) for one in known.tasks if one.task != task]
    put_tasks(found, left, Beside.of(own), by=by)
    return f"Task {task} is taken out."


def _without(one: TaskKnown, gone: TaskKnown) -> TaskKnown:
    after = one.after
    if gone.task in after:
        kept = [other for other in after if other != gone.task]
        after = tuple(dict.fromkeys([*kept, *gone.after]))
    together, apart = (
        tuple(other for other in names if other != gone.task) for names in (one.together, one.apart)
    )
    return replace(one, after=after, together=together, apart=apart)

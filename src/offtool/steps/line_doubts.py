"""What is doubted of the tasks of a line: no order, columns not read, equipment that is new or a task."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from difflib import get_close_matches

from offtool.steps.line_in_record import names_in_words
from offtool.steps.line_known import TaskKnown

NO_ORDER = "no column says what must be done before what: any order is taken as allowed"


def order_doubts(tasks: Sequence[TaskKnown], *, has_column: bool) -> Iterator[str]:
    """Where nothing says what comes before what."""
    if len(tasks) < 2 or any(one.after for one in tasks):
        return
    if has_column:
        yield "no task comes after another: any order is taken as allowed"
        return
    yield f"{NO_ORDER}; a column headed after says it, in German nach or vorher"


def column_doubts(ignored: Sequence[str]) -> Iterator[str]:
    """Columns under headings that nobody knows."""
    if ignored:
        names = names_in_words([repr(one) for one in ignored])
        yield f"not read, since no known word heads it: {names}; rename it where it matters"


def equipment_doubts(tasks: Sequence[TaskKnown], known: Collection[str]) -> Iterator[str]:
    """Equipment that is the name of a task, and equipment that the line did not have yet."""
    names = {one.task for one in tasks}
    needed = tuple(dict.fromkeys(name for one in tasks for name in one.needs))
    for name in needed:
        if name in names and name not in known:
            yield (
                f"{name} is needed as equipment and is a task: is it meant as what must be done before? In a "
                "file that is parted by semicolons, quote a cell that holds several names"
            )
    new = [name for name in needed if name not in known and name not in names]
    if new:
        yield f"new equipment: {names_in_words([_beside(one, known) for one in new])}; {_HOW_MANY}"


_HOW_MANY = "no number is said, so as many are taken as are needed"


def _beside(name: str, known: Collection[str]) -> str:
    """The name, with the one that may be meant."""
    near = get_close_matches(name, known, n=1)
    return f"{name} (is {near[0]} meant?)" if near else name

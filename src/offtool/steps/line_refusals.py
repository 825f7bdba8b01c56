"""What cannot be in a line, in the words of the shop: the balance names arguments, people name tasks."""

from __future__ import annotations

from offtool.core.values import ImpossibleInput, OfftoolError

SAYS = {
    "time_s": "the time",
    "spread_s": "the spread",
    "readings": "the number of readings",
    "after": "what comes before",
    "together": "what is tied to",
    "apart": "what is kept apart from",
    "equipment": "the equipment",
    "station": "the station",
    "at_most": "the number",
}
OF_LINE = {
    "together": "tied tasks",
    "equipment": "the equipment",
    "most_stations": "the stations there is room for",
    "stations": "the stations",
    "people": "the people",
    "people of the line": "the people",
    "task": "the task",
    "station": "the station",
}


def in_shop_words(error: OfftoolError) -> str:
    """An error of the balance as people of the shop say it, with its remedy."""
    if not isinstance(error, ImpossibleInput):
        return str(error)
    what, _, name = error.argument.partition(" of ")
    value = f"{error.value:g}" if isinstance(error.value, int | float) else str(error.value)
    shown = f"{value} {error.unit}".rstrip()
    said = _of(what, name, error.argument)
    whole = f"{said}, {shown}, {error.limit}" if shown else f"{said} {error.limit}"
    return f"{whole}; {error.remedy}" if error.remedy else whole


def _of(what: str, name: str, argument: str) -> str:
    if argument in OF_LINE:
        return OF_LINE[argument]
    if what in SAYS and name:
        if what in ("after", "together", "apart"):
            return f"{SAYS[what]} task {name}"
        return f"{SAYS[what]} of {name}"
    return argument.replace("_", " ")

"""What was looked at on a tool, and which defects its programme looks for."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db.models import QuerySet

from offtool.core.values import OfftoolError, nearest
from offtool.records.models import Cavity, Defect, Flaw, Look, Photograph, Programme, Tool, Trial
from offtool.records.queries.finding import NotInRecord

_EVER = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookFound:
    """A look with all that hangs on it; the bytes of its photographs come when they are asked for."""

    look: Look
    flaws: tuple[Flaw, ...]
    photographs: tuple[Photograph, ...]


def looks_of(trials: list[Trial]) -> list[LookFound]:
    """Every look of these trials, in order of time."""
    return _with_all(Look.objects.filter(trial__in=trials))


def find_look(trial: Trial, number: int) -> LookFound:
    """A look of this trial. Raises NotInRecord."""
    found = _with_all(trial.looks.filter(pk=number))
    if not found:
        raise NotInRecord(f"no look {number} in trial {trial.name}", remedy="choose one of those listed")
    return found[0]


def _with_all(looks: QuerySet[Look]) -> list[LookFound]:
    """Three queries; Django's own way to fetch what hangs on a row takes twice the time."""
    flaws: dict[int, list[Flaw]] = defaultdict(list)
    photographs: dict[int, list[Photograph]] = defaultdict(list)
    for flaw in Flaw.objects.filter(look__in=looks).select_related("defect").order_by("pk"):
        flaws[flaw.look_id].append(flaw)
    for picture in Photograph.objects.filter(look__in=looks).defer("content").order_by("pk"):
        photographs[picture.look_id].append(picture)
    return [
        LookFound(look=one, flaws=tuple(flaws[one.pk]), photographs=tuple(photographs[one.pk]))
        for one in looks.select_related("cavity__part").order_by("looked_at", "pk")
    ]


def find_photograph(trial: Trial, number: int) -> Photograph:
    """A photograph of this trial; its bytes come when they are asked for. Raises NotInRecord."""
    found = Photograph.objects.filter(pk=number, look__trial=trial).defer("content").first()
    if found is None:
        raise NotInRecord(f"no photograph {number} in trial {trial.name}", remedy="choose one of those shown")
    return found


def cavity_names(tool: Tool) -> dict[int, str]:
    """What each cavity is called, in the order of the steel: its label, behind the part's code where the
    tool makes several parts."""
    cavities = list(tool.cavities.select_related("part").order_by("part__code", "pk"))
    several = len({one.part_id for one in cavities}) > 1
    return {one.pk: f"{one.part.code} {one.label}" if several else one.label for one in cavities}


def find_cavity(tool: Tool, name: str) -> Cavity:
    """The cavity with this label, with the part's code before it where two parts have the label.

    Raises NotInRecord; OfftoolError where the label alone does not tell.
    """
    names = cavity_names(tool)
    whole = [key for key, known in names.items() if known == name.strip()]
    found = list(tool.cavities.filter(pk__in=whole) if whole else tool.cavities.filter(label=name.strip()))
    if not found:
        remedy = nearest(name, names.values())
        raise NotInRecord(f"no cavity {name!r} in tool {tool.code}", where="cavity", remedy=remedy)
    if len(found) > 1:
        raise OfftoolError(
            f"{len(found)} parts have a cavity {name!r}",
            where="cavity",
            remedy=f"name the part too: {', '.join(names[one.pk] for one in found)}",
        )
    return found[0]


def listing_changes(programme: Programme) -> dict[str, list[tuple[datetime, bool]]]:
    """From when on each defect was listed or not, by its code, in order of time; the first was ever so."""
    changes: dict[str, list[tuple[datetime, bool]]] = {}
    rows = Defect.objects.filter(programme=programme)
    for code, is_listed, told in rows.values_list("code", "is_listed", "list_changes"):
        known = sorted((datetime.fromisoformat(at), listed) for at, listed in told.items())
        before = not known[0][1] if known else is_listed
        changes[code] = [(_EVER, before), *known]
    return changes

"""The defects that a programme looks for: the handbook's list, overlaid by the programme's own words."""

from __future__ import annotations

from django.db import transaction

from offtool.core.values import ImpossibleInput, OfftoolError, nearest
from offtool.handbook.defects import STANDARD_DEFECTS, StandardDefect
from offtool.handbook.terms import LONGEST_NAME, WeightClass
from offtool.records.models import Defect, Programme
from offtool.records.operations import keep_defect
from offtool.records.queries import find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.press_findings import DefectOnList


def defect_list(programme: str) -> tuple[DefectOnList, ...]:
    """Every defect of the list: those looked for first, in the order of the handbook, own ones after them.

    Raises NotInRecord for an unknown programme.
    """
    return list_of(find_programme(programme))


def list_of(programme: Programme) -> tuple[DefectOnList, ...]:
    """The list of a programme that is at hand."""
    own = {one.code: one for one in programme.defects.order_by("name", "pk")}
    rows = [_overlaid(one, own.pop(one.code, None)) for one in STANDARD_DEFECTS]
    rows += [_own(one) for one in own.values()]
    return tuple(sorted(rows, key=lambda one: not one.is_listed))


def _overlaid(standard: StandardDefect, own: Defect | None) -> DefectOnList:
    return DefectOnList(
        code=standard.code,
        name=own.name if own else standard.name,
        also_called=standard.also_called,
        meaning=own.meaning or standard.meaning if own else standard.meaning,
        weight_class=own.weight_class if own else standard.weight_class.value,
        process=standard.process,
        steel=standard.steel,
        is_listed=own.is_listed if own else True,
        is_common=standard.is_common,
        is_standard=True,
        source=standard.source,
    )


def _own(defect: Defect) -> DefectOnList:
    return DefectOnList(
        code=defect.code,
        name=defect.name,
        also_called="",
        meaning=defect.meaning,
        weight_class=defect.weight_class,
        process="",
        steel="",
        is_listed=defect.is_listed,
        is_common=False,
        is_standard=False,
        source="this programme",
    )


def edit_defect(
    programme: str,
    code: str,
    *,
    name: str | None = None,
    meaning: str | None = None,
    weight_class: WeightClass | None = None,
    is_listed: bool | None = None,
    made_by: str,
    reason: str = "",
) -> DefectOnList:
    """Add a defect to the list, rename it, or take it off; what is None stays as it is.

    Raises NotInRecord for an unknown programme; OfftoolError for an empty name, or a new code without one.
    """
    found = find_programme(programme)
    code = code.strip()
    for argument, written in (("code", code), ("name", name or "")):
        if len(written) > LONGEST_NAME:
            raise ImpossibleInput(argument, f"{written[:20]} …", "", f"at most {LONGEST_NAME} signs are kept")
    with transaction.atomic():
        now = next((one for one in list_of(found) if one.code == code), None)
        if now is None and not (name or "").strip():
            known = nearest(code, [one.code for one in list_of(found)])
            raise OfftoolError(
                f"there is no defect {code!r}", where="name", remedy=f"give a new one a name; {known}"
            )
        keep_defect(
            found,
            code,
            name=(name if name is not None else now.name if now else "").strip(),
            meaning=(meaning if meaning is not None else now.meaning if now else "").strip(),
            weight_class=weight_class or WeightClass(now.weight_class if now else WeightClass.MAJOR),
            is_listed=is_listed if is_listed is not None else now.is_listed if now else True,
            made_by=made_by,
            reason=reason,
        )
    return next(one for one in list_of(found) if one.code == code)


def defect_named(programme: Programme, word: str, *, made_by: str) -> Defect:
    """The programme's row for a code, a name or another name of a defect on its list; made at first use.

    Raises NotInRecord for a word that the list does not have, OfftoolError for a defect taken off the list.
    """
    wanted = word.strip().casefold()
    rows = list_of(programme)
    found = next((one for one in rows if one.code.casefold() == wanted), None) or next(
        (one for one in rows if wanted in _names(one)), None
    )
    if found is None:
        listed = [one.code for one in rows if one.is_listed]
        raise NotInRecord(f"no defect {word!r} on the list", where="defect", remedy=nearest(word, listed))
    if not found.is_listed:
        raise OfftoolError(
            f"{found.name} was taken off the list", where="defect", remedy="put it on the list again first"
        )
    return keep_defect(
        programme,
        found.code,
        name=found.name,
        meaning=found.meaning,
        weight_class=WeightClass(found.weight_class),
        is_listed=True,
        made_by=made_by,
        reason="seen for the first time",
    )


def _names(row: DefectOnList) -> set[str]:
    return {one.strip().casefold() for one in (row.name, *row.also_called.split(","))} - {""}

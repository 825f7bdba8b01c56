"""What was seen at the press, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.core.inspection.attributes import ShareFinding
from offtool.reports.words import percent_span
from offtool.steps.look_at_pieces import LooksKept
from offtool.steps.press_actions import press_actions
from offtool.steps.press_findings import DefectOnList, DefectSeen, FindingFollowed, LookShown, PressFindings

MARKS = {
    "open": "x",
    "not shown gone": "?",
    "not looked at since": "?",
    "shown gone": "ok",
    "off the list": "-",
}
"""Beside the words, never instead of them."""


def kept_lines(kept: LooksKept) -> list[str]:
    """What is in the record now."""
    seen = counted(kept.flaws, "flaw") if kept.flaws else "nothing wrong"
    pictures = f", {counted(kept.photographs, 'photograph')}" if kept.photographs else ""
    made = " The trial was made." if kept.is_new_trial else ""
    pieces = f"{counted(kept.pieces, 'piece')} in {counted(kept.looks, 'look')}"
    return sentence(f"Kept in {kept.trial}, state {kept.state}: {pieces}, {seen}{pictures}.{made}")


def press_lines(found: PressFindings) -> list[str]:
    """The headline, what to do, every defect with its cavities and its standing, the latest looks."""
    where = f"{found.programme_title}, tool {found.tool} in state {found.state}, trial {found.trial}"
    lines = [*sentence(found.headline), *sentence(f"{where}; {counted(found.pieces, 'piece')} looked at.")]
    todo = list(press_actions(found))
    if todo:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in todo])]
    for defect in found.defects:
        lines += _defect(defect)
    if aside := [one for one in found.looks if one.set_aside]:
        lines += [*heading(f"{counted(len(aside), 'look')} set aside"), *bullets(list(map(_aside, aside)))]
    return [*lines, *cautions(found.cautions)]


def _defect(defect: DefectSeen) -> list[str]:
    here = _share(defect) if defect.here else "not looked at here"
    lines = ["", *paragraph(f"{defect.name}, {defect.weight_class}: {here}", width=width(), indent="  ")]
    for one in defect.followed:
        lines += paragraph(f"{_where(one)}. {one.says}", width=width(), indent="       ", first=_mark(one))
    for part in defect.compared:
        rows = [[f"cavity {one.cavity}", _with_ends(one.found)] for one in part.shares.cavities]
        lines += table(rows, width=width(), indent=7)
        lines += paragraph(part.says, width=width(), indent="       ")
    if defect.along_says:
        lines += paragraph(defect.along_says, width=width(), indent="       ")
    return lines


def _mark(one: FindingFollowed) -> str:
    return f"    {MARKS[one.standing]:<3}"


def _where(one: FindingFollowed) -> str:
    where = ", ".join(filter(None, [f"cavity {one.cavity}" if one.cavity else "cavity unknown", one.place]))
    return f"{where}, {_with_ends(one.here)}" if one.here else where


def _with_ends(share: ShareFinding) -> str:
    return f"{share.seen} of {share.looked_at} ({percent_span(share.interval)})"


def _share(defect: DefectSeen) -> str:
    if defect.here is None:
        return ""
    return f"{defect.here.seen} of {counted(defect.here.looked_at, 'piece')} here"


def _aside(look: LookShown) -> str:
    return f"{_of(look)}: {look.set_aside}"


def _of(look: LookShown) -> str:
    shot = f", shot {look.shot}" if look.shot is not None else ""
    return f"cavity {look.cavity or 'unknown'}{shot}"


def look_lines(found: PressFindings) -> list[str]:
    """The looks that count, each with the number by which it is set aside."""
    rows = [
        [str(one.number), _of(one), counted(one.pieces, "piece"), _flaws(one)]
        for one in found.looks
        if not one.set_aside
    ]
    return [*heading("Looks"), *table(rows, width=width(), indent=2)] if rows else []


def _flaws(look: LookShown) -> str:
    seen = (f"{one.name}, {one.place}" if one.place else one.name for one in look.flaws)
    return "; ".join(seen) or "nothing wrong"


def defect_lines(rows: Sequence[DefectOnList]) -> list[str]:
    """The list; what is off it comes last."""
    listed = [row for row in rows if row.is_listed]
    retired = [row for row in rows if not row.is_listed]
    lines = table([[one.code, one.weight_class, _meaning(one)] for one in listed], width=width(), indent=2)
    if retired:
        lines += [
            *heading("Off the list"),
            *table([[one.code, one.name] for one in retired], width=width(), indent=2),
        ]
    sources = dict.fromkeys(one.source for one in rows if one.is_standard)
    return [
        *lines,
        *(["", *sentence(f"Standard words and actions: {'; '.join(sources)}.")] if sources else []),
    ]


def _meaning(row: DefectOnList) -> str:
    named = f"{row.name} ({row.also_called})" if row.also_called else row.name
    return f"{named}: {row.meaning}" if row.meaning else named

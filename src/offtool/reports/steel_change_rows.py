"""The steel-change sheet as plain rows of text and drawings: everything the page shows, already worded.

The layout only places these; no number is formatted there, and no text of a user is ever read as layout.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isclose
from typing import Any

from offtool.handbook.terms import CorrectionStatus, Stated
from offtool.reports import words
from offtool.reports.move_bar import draw_move_bar, move_in_words
from offtool.reports.plain_text import printable, shorten
from offtool.reports.steel_drawing import draw_steel_view, view_in_words, view_of
from offtool.reports.toolmaker_words import CAUTIONS, LABELS, both, day_in_both, label
from offtool.steps.steel_changes import (
    DirectionShrinkage,
    KeptCorrection,
    NotChanged,
    SizeExpected,
    SteelChange,
    ToolCorrection,
)

Pair = tuple[str, str]
STATED = {Stated.DIAMETER: "on diameter", Stated.PER_SIDE: "per side", Stated.LENGTH: "in length"}
LONGEST_TEXT = 300
LONGEST_FOOTER = 24
LONGEST_CAVITY = 30
MOST_SIZES_TOGETHER = 4
MOST_SIGNS_TOGETHER = 600
"""A block with more sizes or more text than this may go on over the page; any other stays in one piece."""
UNBROKEN = r"[^\s\-\u2e80-\U0010ffff]"
LONGEST_RUN, LONGEST_RUN_IN_NARROW_CELL = 14, 4
"""Signs of a script that breaks at spaces only: longer runs are given places to break, so that no name leaves
its cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """Which changes the sheet asks for: the decided ones where any are decided, else all proposed."""

    status: str
    """"proposed", "decided" or "done"; the label of the same name says what it means."""
    changes: tuple[tuple[SteelChange, KeptCorrection | None], ...]
    not_decided: tuple[SteelChange, ...] = ()
    cut_already: tuple[SteelChange, ...] = ()
    no_longer_asked: tuple[KeptCorrection, ...] = ()


def choose_changes(correction: ToolCorrection) -> Chosen:
    """What is to be cut. The amount that was decided stands, also where the readings now ask for another."""
    kept = {
        (one.feature, one.cavity): one for one in correction.kept if one.status != CorrectionStatus.DROPPED
    }
    if not kept:
        return Chosen(status="proposed", changes=tuple((one, None) for one in correction.changes))
    asked = {(one.feature, one.cavity): one for one in correction.changes}
    decided = [(_as_decided(one, kept[place]), kept[place]) for place, one in asked.items() if place in kept]
    cut = [change for change, one in decided if one.status == CorrectionStatus.CUT]
    done = all(one.status == CorrectionStatus.CUT for one in kept.values())
    return Chosen(
        status="done" if done else "decided",
        changes=tuple(pair for pair in decided if done or pair[0] not in cut),
        not_decided=tuple(one for place, one in asked.items() if place not in kept),
        cut_already=() if done else tuple(cut),
        no_longer_asked=tuple(one for place, one in kept.items() if place not in asked),
    )


def sheet_rows(correction: ToolCorrection, *, made_by: str = "") -> dict[str, Any]:
    """All that the sheet shows."""
    chosen = choose_changes(correction)
    blocks = [_block(i, *one) for i, one in enumerate(chosen.changes, start=1)]
    return {
        "label": LABELS,
        "title": _text(f"{label('sheet')[0]}: {correction.tool}, {correction.trial}"),
        "date": _date_parts(correction),
        "headline": _headline(chosen),
        "status": chosen.status,
        "facts": list(_facts(correction, made_by)),
        "footer": _text(f"{correction.tool} · {correction.state} · {correction.trial}", LONGEST_FOOTER),
        "changes": blocks,
        "not_decided": [_at_place(one, *_in_a_line(one)) for one in chosen.not_decided],
        "cut_already": [_at_place(one, *_in_a_line(one)) for one in chosen.cut_already],
        "no_longer_asked": [
            _at_place(one, amount := f"{words.amount(one.amount_mm)} mm", amount)
            for one in chosen.no_longer_asked
        ],
        "not_changed": [_not_changed(one) for one in correction.not_changed],
        "shrinkage": [_shrinkage(one, cut=bool(blocks)) for one in correction.directions],
        "cautions": [
            *(CAUTIONS if blocks else CAUTIONS[-1:]),
            *(_both(str(one)) for one in correction.cautions),
        ],
    }


def _as_decided(change: SteelChange, kept: KeptCorrection) -> SteelChange:
    """The change with the decided amount; without an expectation where that is no longer the proposed one."""
    if isclose(change.amount_mm, kept.amount_mm, abs_tol=1e-6):
        return change
    left = change.allowance_left_mm + change.amount_mm - kept.amount_mm
    return replace(
        change,
        amount_mm=kept.amount_mm,
        size_after_mm=kept.size_after_mm,
        allowance_left_mm=max(left, 0.0),
        short_because="",
        expected=(),
    )


def _block(number: int, change: SteelChange, kept: KeptCorrection | None) -> dict[str, Any]:
    view, half_amount = view_of(change), abs(change.amount_mm) / 2
    other: Pair | None = None
    if change.stated == Stated.DIAMETER:
        other = (f"= {words.amount(half_amount)} mm per side", f"单边 {words.amount(half_amount)} mm")
    elif view.both_sides:
        over_both = words.amount(2 * change.amount_mm)
        other = (f"= {over_both} mm over both sides", f"两边共 {over_both} mm")
    return {
        "number": str(number),
        "correction": str(kept.correction_id) if kept else "",
        "feature": _text(change.feature),
        "name": _text(change.feature_name),
        "part": _text(f"{change.part} {change.part_name}".strip()),
        "half": _both(change.half),
        "cavity": _cavity(change.cavity),
        "removes": change.removes,
        "verb": label("remove" if change.removes else "add"),
        "how": None if change.removes else label("by_insert" if change.by_insert else "by_welding"),
        "amount": words.amount(change.amount_mm),
        "stated": _stated(change),
        "in_a_line": _in_a_line(change),
        "other": other,
        "end": None if view.both_sides else label("which_end"),
        "before": view.before,
        "after": view.after,
        "drawing": draw_steel_view(view),
        "drawing_says": view_in_words(view),
        "sizes": [_size(one) for one in change.expected],
        "long": len(change.expected) > MOST_SIZES_TOGETHER or _signs(change) > MOST_SIGNS_TOGETHER,
        "reason": _both(change.reason or change.cause),
        "short": _both(change.short_because) if change.short_because else None,
        "allowance": f"{words.number(change.allowance_left_mm, 3)} mm",
    }


def _signs(change: SteelChange) -> int:
    """How much a block has to say in words of the user."""
    names = (change.feature, change.feature_name, change.part, change.part_name, change.cavity, change.reason)
    return sum(map(len, (*names, *(one.name for one in change.expected))))


def _size(size: SizeExpected) -> dict[str, Any]:
    larger = size.gets == "LARGER"
    return {
        "name": _text(f"{size.number} {size.name}".strip()),
        "part": _text(size.part),
        "larger": larger,
        "gets": label("larger" if larger else "smaller"),
        "now": words.number(size.now, size.decimals),
        "expected": words.with_interval(size.expected, size.interval, size.decimals),
        "confidence": words.percent(size.interval.confidence, 0),
        "limits": words.between(size.lower, size.upper, decimals=size.decimals),
        "bar": draw_move_bar(size),
        "bar_says": move_in_words(size),
    }


def _headline(chosen: Chosen) -> Pair:
    if not chosen.changes:
        return label("nothing")
    removed = sum(one.removes for one, _ in chosen.changes)
    added = len(chosen.changes) - removed
    english = [f"{_times(removed, 'cut')} to remove steel"] if removed else []
    chinese = [f"去除钢料 {removed} 处"] if removed else []
    if added:
        english.append(f"{_times(added, 'place')} to add steel")
        chinese.append(f"加钢料 {added} 处")
    return words.listed(english), "，".join(chinese)


def _times(count: int, thing: str) -> str:
    return f"{count} {thing}{'s' * (count != 1)}"


def _facts(correction: ToolCorrection, made_by: str) -> Iterator[tuple[Pair, Pair]]:
    """What stands in the head of the sheet, each with its label."""
    yield label("programme"), _alone(correction.programme_title or correction.programme)
    yield label("tool"), _alone(f"{correction.tool} {correction.tool_name}".strip())
    yield label("state"), _alone(correction.state)
    yield label("trial"), _alone(correction.trial)
    yield label("trial_date"), day_in_both(correction.made_on)
    yield label("made_by"), _alone(made_by) if made_by else label("not_given")
    step = words.decimals_to_write([correction.step_mm], 2)
    yield label("step"), _alone(f"{words.number(correction.step_mm, step)} mm")
    yield label("worked_out"), _alone(correction.method)


def _in_a_line(change: SteelChange) -> Pair:
    """remove 0.04 mm on diameter, 直径去除 0.04 mm."""
    english, chinese = label("remove_short" if change.removes else "add_short")
    amount, stated = f"{words.amount(change.amount_mm)} mm", _stated(change)
    return f"{english} {amount} {stated[0]}", f"{stated[1]}{chinese} {amount}"


def _at_place(one: SteelChange | KeptCorrection, english: str, chinese: str) -> Pair:
    """The same with the feature and cavity it is for."""
    return (
        _text(f"{one.feature}, {words.cavity(one.cavity)}: {english}"),
        _text(f"{one.feature}，{label('cavity')[1]} {one.cavity or words.NONE}：{chinese}"),
    )


def _not_changed(one: NotChanged) -> dict[str, Any]:
    return {
        "name": _text(f"{one.number} {one.name}".strip()),
        "part": _text(one.part),
        "cavities": ", ".join(map(_cavity, one.cavities)),
        "why": _both(one.why),
        "instead": _both(one.remedy),
    }


def _shrinkage(one: DirectionShrinkage, *, cut: bool) -> dict[str, Any]:
    found = one.found
    return {
        "resin": _text(one.resin),
        "direction": _both(one.direction or "direction not given"),
        "allowed": words.percent(one.allowed),
        "found": words.percent(found.value),
        "span": f"{words.percent(found.interval.low)} to {words.percent(found.interval.high)}",
        "explains": label("sizes_of", explains=one.explains, sizes=one.sizes),
        "off": one.off,
        "verdict": label(("taken_in" if cut else "not_as_allowed") if one.off else "as_allowed"),
    }


def _stated(change: SteelChange) -> Pair:
    return _both(STATED[Stated(change.stated)])


def _date_parts(correction: ToolCorrection) -> list[int]:
    made_on = correction.made_on
    return [made_on.year, made_on.month, made_on.day] if made_on else []


def _cavity(label: str) -> str:
    return _text(label or words.NONE, LONGEST_CAVITY, run=LONGEST_RUN_IN_NARROW_CELL)


def _alone(text: str) -> Pair:
    """A name, which is the same in both languages."""
    return _text(text), ""


def _both(text: str) -> Pair:
    english, chinese = both(text)
    return _text(english), _text(chinese)


def _text(text: str, most: int = LONGEST_TEXT, *, run: int = LONGEST_RUN) -> str:
    """User text for a cell: on one line, cut where it is endless, with places to break in long runs."""
    return re.sub(rf"({UNBROKEN}{{{run}}})(?={UNBROKEN})", "\\1\u200b", shorten(printable(text), most))
